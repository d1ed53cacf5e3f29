package midi

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/tune"
)

// timed is one event of a made-up file, in ticks. Of one tick note-offs come first and note-ons last.
type timed struct {
	at, order int
	bytes     string
}

// struck is a note from a tick on, so long.
func struck(at, length, ch, key int) []timed {
	return []timed{{at, 2, string([]byte{0x90 | byte(ch-1), byte(key), 0x50})}, {at + length, 0, string([]byte{0x80 | byte(ch-1), byte(key), 0x40})}}
}

// bentTo is a bend on a channel that bends by two semitones.
func bentTo(at, ch int, semitones float64) timed {
	v := max(min(8192+int(math.Round(semitones*4096)), 16383), 0)
	return timed{at, 1, string([]byte{0xe0 | byte(ch-1), byte(v & 127), byte(v >> 7)})}
}

// toldAt says something in a meta event.
func toldAt(at int, kind byte, text string) timed {
	return timed{at, 1, "\xff" + string([]byte{kind, byte(len(text))}) + text}
}

func tempoAt(at, us int) timed {
	return toldAt(at, 0x51, string([]byte{byte(us >> 16), byte(us >> 8), byte(us)}))
}

func tracked(events ...timed) string {
	slices.SortStableFunc(events, func(a, b timed) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.order, b.order)) })
	out, at := "", 0
	for _, e := range events {
		out += string(appendVar(nil, uint32(e.at-at))) + e.bytes
		at = e.at
	}
	return out + endTrack
}

// described is everything that an import says: what was decided, what was told and moved, and every
// bar and event.
func described(im *Import) string {
	var out strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&out, format+"\n", args...) }
	say("track %d, channels %d, %s; times %s; %d notes, %d ends settled", im.Track, im.Channels, im.Why, im.Grid, im.Notes, im.Ended)
	for _, w := range im.Warnings {
		say("  told: %s", w)
	}
	for _, m := range im.Moved {
		say("  moved: bar %d, at %s by %s, its end by %s", m.BarNumber, m.At, m.By, m.Ends)
	}
	for _, b := range im.Tune.Bars {
		line := fmt.Sprintf("bar %d %d/%d long %s, %s", b.Number, b.Meter.Beats, b.Meter.Unit, b.Len, b.Key)
		for _, t := range b.Tempos {
			line += fmt.Sprintf(", %d a minute at %s", t.PerMinute, t.At)
		}
		if b.Part != "" {
			line += ", part " + b.Part
		}
		for _, t := range b.Texts {
			line += fmt.Sprintf(", %q at %s", t.Text, t.At)
		}
		say("%s", line)
		for v, events := range b.Lines {
			line := fmt.Sprintf("  %d:", v+1)
			for _, e := range events {
				line += fmt.Sprintf(" %s+%s", e.At, e.Len)
				if e.Kind != tune.Sounding {
					line += map[tune.Kind]string{tune.Rest: "=rest", tune.Skip: "=skip"}[e.Kind]
				}
				for i, n := range e.Notes {
					line += []string{"=", "&"}[min(i, 1)] + n.Name.String()
					if n.Scoop != 0 {
						line += fmt.Sprintf("(%d)", n.Scoop)
					}
					if n.Tie {
						line += "-"
					}
					if n.Glide {
						line += "~"
					}
				}
				for _, l := range e.Lyrics {
					line += fmt.Sprintf("'%s'", l.Text)
					if l.Hyphen {
						line += "-"
					}
				}
			}
			say("%s", line)
		}
	}
	return out.String()
}

// manner plays note values as people and programs do: so many per cent of them, early or late by up to
// so many ticks, which an arithmetic sequence says.
type manner struct {
	name                 string
	percent, late, drift int
}

func (m manner) play(notes [][3]int) []timed {
	var out []timed
	for i, n := range notes {
		off := func(k int) int {
			if m.drift == 0 {
				return 0
			}
			return (k*17+k*k*5)%(2*m.drift+1) - m.drift
		}
		at := max(n[0]+off(2*i), 0)
		end := n[0] + n[1]*m.percent/100 + m.late + off(2*i+1)
		out = append(out, struck(at, max(end-at, 1), 1, n[2])...)
	}
	return out
}

// The pieces are of 480 ticks a quarter: a waltz with a pickup, a triplet, a rest, a chord, a grace and a short
// last bar; and a melody over held notes with sixteenths, a triplet in the second bar and notes that go over the barline.
var (
	waltz = [][3]int{
		{0, 480, 62}, {480, 480, 67}, {960, 240, 71}, {1200, 240, 69}, {1440, 480, 67},
		{1920, 160, 64}, {2080, 160, 66}, {2240, 160, 67}, {2400, 720, 71},
		{3360, 960, 67}, {3360, 960, 71}, {3360, 960, 74}, {4290, 30, 74}, {4320, 480, 71},
		{4800, 960, 67},
	}
	held = [][3]int{
		{0, 1920, 43}, {0, 120, 67}, {120, 120, 69}, {240, 240, 71}, {480, 360, 72}, {840, 120, 71}, {960, 480, 69}, {1680, 480, 67},
		{1920, 960, 48}, {2160, 80, 66}, {2240, 80, 67}, {2320, 80, 66}, {2400, 160, 64}, {2560, 320, 62}, {2880, 960, 50}, {3000, 120, 61}, {3120, 720, 62},
	}
	manners = []manner{{"exact", 100, 0, 0}, {"nine tenths", 90, 0, 0}, {"half", 50, 0, 0}, {"legato", 100, 20, 0}, {"drifting", 96, 0, 12}, {"unsteady", 100, 4, 29}}
)

// TestPerformances: what is made of music that is played as people and programs play it, for every grid; looked through
// by what was meant (docs/formats/midi.md says what goes where).
func TestPerformances(t *testing.T) {
	signs := []timed{
		toldAt(0, 0x58, "\x01\x02\x18\x08"), toldAt(480, 0x58, "\x03\x02\x18\x08"), toldAt(0, 0x59, "\x01\x00"), toldAt(3500, 0x59, "\xfe\x01"),
		tempoAt(0, 600_000), tempoAt(1960, 500_000), tempoAt(2640, 450_000), toldAt(480, 6, "A"), toldAt(2640, 6, "rit."), toldAt(3360, 6, "B"),
		toldAt(480, 5, "har-"), toldAt(960, 5, "bour"),
	}
	var out strings.Builder
	show := func(name string, b []byte, options ...Options) {
		f, err := Read(b, "x.mid")
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, o := range options {
			fmt.Fprintf(&out, "== %s, %+v\n", name, o)
			im, err := f.Tune(o)
			if err != nil {
				fmt.Fprintf(&out, "%v\n", err)
				continue
			}
			out.WriteString(described(im))
		}
	}
	for _, m := range manners {
		grids := []Options{{}}
		if m.drift > 0 {
			grids = []Options{{}, {Grid: 4}, {Grid: 8}, {Grid: 32}, {Grid: 64}}
		}
		show("a waltz, "+m.name, smf(0, 480, tracked(append(slices.Clone(signs), m.play(waltz)...)...)), grids...)
		show("held notes, "+m.name, smf(0, 480, tracked(m.play(held)...)), grids...)
	}
	// Half of the notes stand 1/7 of a quarter late: no note values write that.
	var odd []timed
	for i := range 24 {
		at := i * 480
		if i%12 == 5 {
			at += 35
		}
		odd = append(odd, struck(at, i*480+480-at, 1, 60+i%5)...)
	}
	show("two odd ones", smf(0, 480, tracked(odd...)), Options{}, Options{Grid: 16})
	var many []timed
	for i := range 12 {
		many = append(many, struck(i*60, 1920-i*90, 1, 72-2*i)...)
	}
	show("twelve lines", smf(0, 480, tracked(many...)), Options{}, Options{Grid: 8})
	show("two pieces", smf(2, 480, tracked(append(manner{percent: 100}.play(waltz[:5]), toldAt(0, 3, "one"), tempoAt(480, 400_000), toldAt(0, 6, "X"))...),
		tracked(append(manner{percent: 100}.play(held[:8]), toldAt(0, 3, "two"), tempoAt(960, 700_000), toldAt(0, 0x58, "\x06\x03\x24\x08"), toldAt(960, 6, "Y"))...)), Options{Track: 1}, Options{Track: 2}, Options{})
	show("SMPTE", smf(0, 0xE728, tracked(append(manner{percent: 90, drift: 9}.play(waltz[:9]), tempoAt(0, 480_000))...)), Options{}, Options{Grid: 8})
	golden.File(t, "testdata/performances.txt", []byte(out.String()))
}

// TestBentPerformances: glides within a bar and over the barline, scoops, chords that glide, vibrato, and where
// a channel of its own makes a unison of one key.
func TestBentPerformances(t *testing.T) {
	glide := func(at, ch int, from, to float64) (out []timed) {
		for i := range 9 {
			out = append(out, bentTo(at+i*15, ch, from+(to-from)*float64(i+1)/9))
		}
		return out
	}
	shake := func(at, n int) (out []timed) {
		for i := range n {
			out = append(out, bentTo(at+i*10, 1, []float64{.15, .25, .15, 0, -.15, -.25, -.15, 0}[i%8]))
		}
		return out
	}
	var out strings.Builder
	for _, c := range []struct {
		name   string
		events [][]timed
	}{
		{"in the bar", [][]timed{struck(0, 960, 1, 60), glide(345, 1, 0, 2), struck(960, 960, 1, 64)}},
		{"over the barline", [][]timed{struck(960, 1920, 1, 60), glide(1785, 1, 0, -2), glide(2265, 1, -2, 1)}},
		{"across it", [][]timed{struck(960, 1920, 1, 60), glide(2265, 1, 0, 2)}},
		{"into notes", [][]timed{{bentTo(480, 1, -2)}, struck(480, 480, 1, 60), glide(495, 1, -2, 0), {bentTo(960, 1, 1)}, struck(960, 480, 1, 60), glide(975, 1, 1, 0), struck(1440, 480, 1, 62)}},
		{"a chord", [][]timed{struck(0, 960, 2, 64), struck(0, 960, 3, 67), glide(345, 2, 0, 2), glide(345, 3, 0, 1), struck(960, 480, 2, 60), struck(960, 480, 3, 60)}},
		{"one of a chord", [][]timed{struck(0, 960, 2, 64), struck(0, 960, 3, 67), glide(345, 2, 0, 2)}},
		{"vibrato", [][]timed{struck(0, 960, 1, 64), shake(100, 80), struck(960, 480, 1, 65)}},
		{"vibrato, then a glide", [][]timed{struck(0, 1920, 1, 64), shake(100, 64), glide(1305, 1, 0, 2)}},
		{"drifting", [][]timed{struck(7, 930, 1, 60), glide(352, 1, 0, 2), struck(950, 950, 1, 64), glide(1800, 1, 2, 0), struck(1931, 400, 1, 60), struck(2410, 350, 1, 62)}},
		{"ended before it", [][]timed{struck(0, 478, 1, 60), glide(345, 1, 0, 2), struck(480, 478, 1, 64), struck(960, 478, 1, 65)}},
	} {
		f, err := Read(smf(0, 480, tracked(slices.Concat(c.events...)...)), "x.mid")
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		im, err := f.Tune(Options{Track: 1})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		fmt.Fprintf(&out, "== %s\n%s", c.name, described(im))
		for _, h := range f.Sounding() {
			fmt.Fprintf(&out, "  heard at %s for %s, tick %d: %d %+.1f cents, channel %d, slid %v, scoop %.2f, %d.%d\n", h.At, h.Len, h.Ticks, h.Key, h.Cents+1e-9, h.Channel, h.Slid, h.Scoop, h.First, h.Pitch)
		}
	}
	golden.File(t, "testdata/bent.txt", []byte(out.String()))
}
