package arrange

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// A situation is a little piece of music in which one price decides: at the price that
// holds it is played as a player would, for the reason that is said (common practice, no
// source), and otherwise when that price alone is changed by half.
type situation struct {
	price string
	times float64 // 1.5 or 0.5
	why   string
	on    playable
	want  string // as it is played
	then  string // and with the price changed
}

// playable is what a situation is about. It is played at prices, nil for those that hold.
type playable interface {
	play(t *testing.T, g *grip.Prices, own *prices) string
}

// piece is notes on an instrument, in the written key and octave without a capo unless
// free.
type piece struct {
	rig, key, rhythm string
	tempo            int // quarter notes a minute; 0 for none written
	lines            []string
	level            grip.Level
	o                Options
	chord            string   // the symbol over every bar
	shape            *Options // the tab to follow is the one with these
	melody           bool     // and it is kept to wherever it can be had (Shape.Melody)
	free             bool     // key, octave and capo are chosen
}

func (c piece) play(t *testing.T, g *grip.Prices, own *prices) string {
	t.Helper()
	tn := tunetest.Score(t, c.key, c.lines...)
	tn.Rhythm = c.rhythm
	if c.tempo > 0 {
		tn.Bars[0].Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: int64(c.tempo) * 1000}}
	}
	if c.chord != "" {
		chord, err := pitch.ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		for i := range tn.Bars {
			tn.Bars[i].Chords = []tune.ChordAt{{Text: c.chord, Chord: &chord}}
		}
	}
	o := c.o
	o.Level = c.level
	if !c.free {
		o.Octave, o.Key, o.Capo = Octaves(0), &tn.Bars[0].Key.Tonic, new(int)
	}
	arrange := func(o Options) *Result {
		res, err := Arrange(t.Context(), tn, rigtest.Builtin(t, c.rig), o)
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	if c.shape != nil {
		like := *c.shape
		like.Octave, like.Key, like.Capo = o.Octave, o.Key, o.Capo
		o.Shape = ShapeOf(arrange(like).Tab, 0, 0)
		o.Shape.Melody = c.melody
	}
	lim := o.limits()
	lim.Prices, o.own = g, own
	o.other = &lim
	res := arrange(o)
	words := strings.Fields(grid(res))
	for i := range res.Tab.Strokes {
		for _, p := range res.Tab.Strokes[i].Plucks {
			if p.Finger != tab.NoFinger {
				words[i] += p.Finger.String()
			}
		}
	}
	out := strings.Join(words, " ")
	if c.free {
		out = fmt.Sprintf("%+d capo %d: %s", res.Transposed, res.Tab.Rig.Capo.At, out)
	}
	return out
}

// chordOn is a chord to find on an instrument.
type chordOn struct {
	rig, chord string
	o          grip.Options
}

func (c chordOn) play(t *testing.T, g *grip.Prices, _ *prices) string {
	t.Helper()
	want, err := grip.ParseWant(c.chord)
	if err != nil {
		t.Fatal(err)
	}
	c.o.Prices, c.o.Max = g, 1
	ways := grip.Find(rigtest.Builtin(t, c.rig), want, c.o)
	if len(ways) == 0 {
		t.Fatalf("%s can't be had on %s", c.chord, c.rig)
	}
	var out []string
	for _, n := range ways[0].Notes {
		out = append(out, fmt.Sprintf("%d:%s", n.String, fretText(n.Fret)))
	}
	return strings.Join(out, "+")
}

// TestEveryPriceDecides goes over all prices of package grip and of this one: each has a
// situation, and changing the price by half changes what is played in it.
func TestEveryPriceDecides(t *testing.T) {
	cases := map[string]situation{}
	for _, c := range situations {
		if _, twice := cases[c.price]; twice {
			t.Errorf("the price %s has two situations", c.price)
		}
		cases[c.price] = c
	}
	count, flips := 0, 0
	over := func(of reflect.Type, changed func(field int, times float64) (*grip.Prices, *prices)) {
		for i := range of.NumField() {
			name := of.Field(i).Name
			c, ok := cases[name]
			count++
			delete(cases, name)
			if !ok {
				t.Errorf("the price %s has no situation", name)
				continue
			}
			if c.times != 1.5 && c.times != 0.5 || c.why == "" {
				t.Errorf("%s is changed %g times, because %q", name, c.times, c.why)
			}
			if got := c.on.play(t, nil, nil); got != c.want {
				t.Errorf("%s: %s\nplayed %s\nwant   %s", name, c.why, got, c.want)
				continue
			}
			g, own := changed(i, c.times)
			got := c.on.play(t, g, own)
			if got == c.want || got != c.then {
				t.Errorf("%s changed %g times: %s\nplayed %s\nwant   %s", name, c.times, c.why, got, c.then)
				continue
			}
			flips++
		}
	}
	scale := func(v reflect.Value, times float64) { v.SetInt(int64(float64(v.Int()) * times)) }
	over(reflect.TypeFor[grip.Prices](), func(i int, times float64) (*grip.Prices, *prices) {
		p := grip.Standard()
		scale(reflect.ValueOf(&p).Elem().Field(i), times)
		return &p, nil
	})
	over(reflect.TypeFor[prices](), func(i int, times float64) (*grip.Prices, *prices) {
		p := usual
		scale(reflect.ValueOf(&p).Elem().Field(i), times)
		return nil, &p
	})
	for name := range cases {
		t.Errorf("there is no price %s", name)
	}
	t.Logf("%d prices, %d choices come out otherwise when they are changed by half", count, flips)
}
