package sound

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/internal/golden"
)

// What the hands do for everything that a tab can ask for, string by string in the order of time, in milliseconds: strokes,
// stops and lifts, moves of the steel, vibrato, the pedal's swells, and what knocks. It was read as a player would read it, and
// changes only where somebody means it; other tests say why it is so.
func TestWhatTheHandsDo(t *testing.T) {
	for _, name := range []string{"reso-open-g", "bender-open-d", "pedal10-e9"} {
		t.Run(name, func(t *testing.T) {
			tb := mixed(t, name)
			o := Options{CountIn: 1, Click: true, Speed: 0.9, Glides: 1.5}
			sc, err := write(tb, o)
			if err != nil {
				t.Fatal(err)
			}
			ms := func(sample int) float64 { return 1000 * float64(sample) / Rate }
			var b strings.Builder
			line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
			for s, p := range sc.parts {
				line("string %d from key %.2f", s+1, p.first)
				for _, a := range p.actions {
					switch a.kind {
					case pluck:
						line("  pluck %.2f level %.4f width %.3f from %.2f lean %.4f cents %.3f snap %.4f fresh %t barred %t", ms(a.at), a.level, a.width, a.from, a.lean, a.cents, a.snap, a.fresh, a.barred)
					case damp:
						line("  damp %.2f T60 %.3f", ms(a.at), a.t60)
					case lift:
						line("  lift %.2f of %.2f", ms(a.at), ms(a.since))
					}
				}
				for _, w := range p.sweeps {
					line("  move %.2f to %.2f key %.3f barred %t scrapes %t", ms(w.from), ms(w.to), w.key, w.barred, w.scrapes)
				}
				for _, w := range p.wobbles {
					line("  shake %.2f to %.2f by %.2f cents", ms(w.from), ms(w.to), w.Width)
				}
				for _, w := range p.swells {
					line("  swell %.2f to %.2f", ms(w.from), ms(w.to))
				}
			}
			for _, k := range sc.knocks {
				line("knock %.2f of %.4f", ms(k.at), k.level)
			}
			for _, k := range sc.landings {
				line("steel down or up %.2f of %.4f", ms(k.at), k.level)
			}
			times, err := Timeline(tb, o)
			if err != nil {
				t.Fatal(err)
			}
			line("count-in %.3f end %.3f total %.3f", times.CountIn, times.End, times.Total)
			for _, x := range times.Bars {
				line("bar %d %+v", x.BarIndex, x)
			}
			for _, x := range times.Strokes {
				line("stroke %d in pass %d from %.4f to %.4f begins %v holds %v", x.StrokeIndex, x.PassIndex, x.At, x.End, x.Strings, x.Held)
			}
			for _, x := range times.Clicks {
				line("click %+v", x)
			}
			for _, x := range times.Steel {
				line("steel at %.4f %s strings %d to %d frets %.3f to %.3f leaning %.2f", x.At, x.Kind, x.First, x.Last, x.FirstFret, x.LastFret, x.Angle)
			}
			golden.Table(t, "testdata/hands/"+name+".txt", b.String(), 0.02)
		})
	}
}

// A magnet's coil hears a stretch of the string, evenly: what it hears of each sample is its share of the stretch, the middle
// one in the middle (counted by hand).
func TestApertureIsEven(t *testing.T) {
	for samples, want := range map[float64][]float64{
		1:   {1},
		2:   {0.25, 0.5, 0.25},
		2.5: {0.3, 0.4, 0.3},
		3:   {1.0 / 3, 1.0 / 3, 1.0 / 3},
		4:   {0.125, 0.25, 0.25, 0.25, 0.125},
	} {
		got := aperture(samples)
		if fmt.Sprintf("%.6f", got) != fmt.Sprintf("%.6f", want) {
			t.Errorf("over %g samples: %.4f, want %.4f", samples, got, want)
		}
	}
}
