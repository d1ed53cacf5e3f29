package sound

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// Whatever a tab asks of the strings, in whatever order, the recording is made
// of numbers, stays under the ceiling and is as long as the timeline says, and
// the timeline runs forwards.
func TestAnyTabSounds(t *testing.T) {
	rigs := rig.Builtins()
	checks := 0
	rapid.Check(t, func(rt *rapid.T) {
		checks++
		r := rigs[rapid.IntRange(0, len(rigs)-1).Draw(rt, "rig")]
		var notes []note
		for range rapid.IntRange(1, 10).Draw(rt, "notes") {
			n := note{
				str:    rapid.IntRange(1, len(r.Strings)).Draw(rt, "string"),
				fret:   float64(rapid.IntRange(0, 48).Draw(rt, "fret")) / 2,
				len:    int64(rapid.IntRange(1, 2).Draw(rt, "len")),
				attack: tab.Attack(rapid.IntRange(0, int(tab.PalmHarmonic)).Draw(rt, "attack")),
				glide:  rapid.Bool().Draw(rt, "glide"),
			}
			lean := rapid.IntRange(-2, 2).Draw(rt, "lean")
			scoop := rapid.IntRange(-2, 2).Draw(rt, "scoop")
			damp, vibrato := rapid.Bool().Draw(rt, "damp"), rapid.Bool().Draw(rt, "vibrato")
			benders := rapid.Uint16Range(0, 1<<len(r.Benders)-1).Draw(rt, "benders")
			n.more = func(s *tab.Stroke, p *tab.Pluck) {
				p.Damp, p.Vibrato, p.Scoop = damp, vibrato, float64(scoop)
				s.Benders = rig.BenderSet(benders)
				if p.Attack == tab.Harmonic || p.Attack == tab.PalmHarmonic {
					p.Node = 2
				}
				if lean != 0 && n.fret > 3 {
					kind := steel.Forward
					if lean < 0 {
						kind = steel.Reverse
					}
					s.Placement = steel.Placement{Kind: kind, First: 1, Last: int8(len(r.Strings)), FirstFret: n.fret + float64(lean), LastFret: n.fret}
					p.Fret = steel.New(r).Contact(s.Placement, p.String)
				}
			}
			notes = append(notes, n)
		}
		tb := makeTab(t, r, int64(rapid.IntRange(200, 900).Draw(rt, "speed")), notes...)
		o := Options{CountIn: rapid.IntRange(0, 1).Draw(rt, "countIn"), Click: rapid.Bool().Draw(rt, "click")}
		a, err := Render(tb, o)
		if err != nil {
			rt.Fatalf("it can't be sounded: %v", err)
		}
		times, err := Timeline(tb, o)
		if err != nil {
			rt.Fatal(err)
		}
		if err := a.Check(); err != nil {
			rt.Fatal(err)
		}
		if a.Seconds() != times.Total {
			rt.Fatalf("%g s of sound, the timeline says %g", a.Seconds(), times.Total)
		}
		if _, peak := Loudness(a); peak > Ceiling+0.01 || math.IsInf(peak, -1) {
			rt.Fatalf("the true peak is %g dBTP", peak)
		}
		for i := 1; i < len(times.Strokes); i++ {
			if times.Strokes[i].At < times.Strokes[i-1].At {
				rt.Fatalf("stroke %d is heard before the one before it", i)
			}
		}
	})
	if checks == 0 {
		t.Fatal("no tab was tried")
	}
}
