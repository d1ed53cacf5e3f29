package band

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"lapwright/feel"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// lines writes what is played in a tab's performance, or in another one of its tune; places are whole ticks.
func lines(t testing.TB, tb *tab.Tab, p *tune.Performance, f *feel.Feel) (*Backing, *written) {
	t.Helper()
	b, err := NewBacking(tb, f)
	if err != nil {
		t.Fatal(err)
	}
	if p == nil {
		p = tb.Performance()
	}
	return b, b.write(p, func(at tune.Ticks) int { return int(math.Round(p.Clock.Seconds(at) * sound.Rate)) })
}

// classes names the notes that begin at a sample, by pitch class, the lowest first.
func classes(notes []sound.Struck, at, within int) string {
	var keys []int
	for _, n := range notes {
		if n.At >= at && n.At <= at+within {
			keys = append(keys, n.Key)
		}
	}
	slices.Sort(keys)
	s := ""
	for _, k := range keys {
		s += pitch.SpellKey(k, 1).Class.String()
	}
	return s
}

const strumAll = 1500 // samples in which all strings of a stroke are struck

// Every chord begins with its own bass at the sample at which the lead's clock has it, and the guitar's notes are the
// chord's: reckoned by hand for two bars of each meter.
func TestChordsBeginWhereTheyStand(t *testing.T) {
	for _, f := range feel.All() {
		tb := song(t, f, "G", "C", "D7", "Em", "Am7", "G/B", "D7", "G")
		_, w := lines(t, tb, nil, f)
		p := tb.Performance()
		for k, want := range []string{"G", "C", "D", "E", "A", "B", "D", "G"} {
			at := int(math.Round(p.Clock.Seconds(p.Passes[k].Start) * sound.Rate))
			if got := classes(w.bass, at, 0); got != want {
				t.Errorf("%s, bar %d: the bass begins with %q, want %q", f.Name, k+1, got, want)
			}
		}
		for i, n := range w.guitar {
			k := len(p.Passes) - 1
			for k > 0 && int(math.Round(p.Clock.Seconds(p.Passes[k].Start)*sound.Rate)) > n.At {
				k--
			}
			c := tb.Tune.Bars[k].Chords[0].Chord
			if _, in := c.Tone(pitch.SpellKey(n.Key, 0).Class); !in {
				t.Errorf("%s: note %d of the guitar, key %d, is not of %s", f.Name, i, n.Key, c)
			}
		}
		if len(w.guitar) < 20 || len(w.bass) < 8 || len(w.brush) < 8 {
			t.Errorf("%s: %d notes of guitar, %d of bass, %d strokes of brush", f.Name, len(w.guitar), len(w.bass), len(w.brush))
		}
	}
}

// A tune is accompanied as it unfolds: repeats and endings, a chord that goes on over a repeat; the last chord is
// struck once and rings, whatever the feel does in other bars.
func TestBackingUnfoldsAndEnds(t *testing.T) {
	f, _ := feel.Find("boom-chuck")
	tb := read(t, "X:1\nT:x\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\nd|:\"G\"gggg|[1\"D\"ffff:|[2\"C\"eeee|\"G\"g4|]\n")
	_, w := lines(t, tb, nil, f)
	const bar = 2 * sound.Rate
	lead := sound.Rate / 2 // the pickup
	for _, n := range w.bass {
		if n.At < lead {
			t.Errorf("the bass plays in the pickup, at sample %d", n.At)
		}
	}
	for k, want := range []string{"G", "D", "G", "C", "G"} {
		if got := classes(w.bass, lead+k*bar, 0); got != want {
			t.Errorf("bar %d as it sounds begins with %q, want %q", k+1, got, want)
		}
	}
	last := lead + 4*bar
	ringing := 0
	for _, list := range [][]sound.Struck{w.bass, w.guitar} {
		for _, n := range list {
			if n.At >= last {
				ringing++
				if n.End != 0 {
					t.Errorf("a note of the last chord is stopped at %d", n.End)
				}
				if n.At > last+strumAll {
					t.Errorf("the last chord is struck again at %d", n.At)
				}
			}
		}
	}
	if ringing < 4 {
		t.Errorf("the last chord has %d notes", ringing)
	}
}

// A loop of bars begins on the chord of its first bar though that is written before it, and comes round to it again.
func TestLoopBeginsOnItsChord(t *testing.T) {
	f, _ := feel.Find("boom-chuck")
	tb := read(t, "X:1\nT:x\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"gggg|gggg|\"D\"ffff|ffff|\"Em\"gggg|gggg|\"G\"gggg|g4|]\n")
	span := tune.Span{From: 3, To: 5} // the second bar of D, the first of E minor
	p := tb.Performance().Rearranged(span, span, span)
	_, w := lines(t, tb, p, f)
	for k, want := range []string{"D", "E", "D", "E", "D"} {
		if got := classes(w.bass, k*2*sound.Rate, 0); got != want {
			t.Errorf("bar %d of the loop begins with %q, want %q", k+1, got, want)
		}
	}
	if got := classes(w.guitar, sound.Rate/2, strumAll); got != "DF#A" && got != "F#AD" && got != "ADF#" {
		t.Errorf("the loop's first chord is %q", got)
	}
}

// Bass and guitar stay clear of what the lead plays meanwhile: of the guitar's notes at most one in twenty lies nearer to it than a tone, though the lead goes where the guitar likes to be.
func TestBackingStaysClear(t *testing.T) {
	f, _ := feel.Find("boom-chuck")
	chords := []string{"G", "C", "D7", "G", "Em", "Am", "D7", "G"}
	for _, at := range []struct{ octave, notes string }{{"high", "d'c'ba"}, {"usual", "dBAG"}, {"low", "DB,A,G,"}} {
		src := "X:1\nT:x\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n"
		for _, c := range chords {
			src += fmt.Sprintf("%q%s|", c, at.notes)
		}
		tb := read(t, src+"\n")
		_, w := lines(t, tb, nil, f)
		in, all := 0, 0
		for _, n := range w.guitar {
			lo, hi := leadIn(tb.Tune, min(n.At/(2*sound.Rate), len(chords)-1), 0, tune.Whole)
			all++
			if n.Key > lo-2 && n.Key < hi+2 {
				in++
				t.Logf("%s: key %d in bar %d, the lead from %d to %d", at.octave, n.Key, n.At/(2*sound.Rate)+1, lo, hi)
			}
		}
		for _, n := range w.bass {
			if lo, _ := leadIn(tb.Tune, 0, 0, tune.Whole); n.Key >= lo-2 {
				t.Errorf("%s: the bass comes to key %d, the lead down to %d", at.octave, n.Key, lo)
			}
		}
		if all == 0 || 20*in > all {
			t.Errorf("%s: %d of the guitar's %d notes lie within the lead", at.octave, in, all)
		}
	}
}

// Without symbols the harmony is guessed, and said. The tune has only notes of three chords, in bars of one each, so
// that what is meant is clear; in a minor key the tonic is a minor chord.
func TestHarmonyIsGuessed(t *testing.T) {
	for _, c := range []struct{ key, bars, want, said string }{
		{"G", "GBdB|cege|dfad|gdBG|", "GCDG", "G C D"},
		{"Am", "Aceg|dfad|E^GBe|aecA|", "ADEA", "Am Dm E"},
	} {
		tb := read(t, "X:1\nT:x\nM:4/4\nL:1/4\nQ:1/4=120\nK:"+c.key+"\n"+c.bars+"\n")
		b, w := lines(t, tb, nil, nil)
		if b.Guessed != c.said {
			t.Errorf("%s: guessed %q, want %q", c.bars, b.Guessed, c.said)
		}
		for k, want := range c.want {
			if got := classes(w.bass, k*2*sound.Rate, 0); got != string(want) {
				t.Errorf("%s: bar %d begins with %q, want %c", c.bars, k+1, got, want)
			}
		}
	}
	if b, _ := lines(t, song(t, feel.All()[0], "G", "C"), nil, nil); b.Guessed != "" {
		t.Errorf("chords that are written are called guessed: %q", b.Guessed)
	}
}

// Under N.C. bass and guitar are silent.
func TestNoChord(t *testing.T) {
	tb := read(t, "X:1\nT:x\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"gggg|\"N.C.\"gggg|\"G\"gggg|g4|]\n")
	_, w := lines(t, tb, nil, nil)
	for _, list := range [][]sound.Struck{w.bass, w.guitar} {
		for _, n := range list {
			if n.At >= 2*sound.Rate && n.At < 4*sound.Rate {
				t.Errorf("key %d is struck at %d, under no chord", n.Key, n.At)
			}
		}
	}
}

func TestFreeMeterIsRefused(t *testing.T) {
	if _, err := NewBacking(read(t, "X:1\nT:x\nM:none\nL:1/4\nK:G\nGABc|\n"), nil); err == nil {
		t.Error("a band plays in free meter")
	}
}
