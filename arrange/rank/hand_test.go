package rank

import (
	"math"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// byHand is a bar of four notes on the open G rig: string 1 at fret 5, at fret 7, the
// steel lifted over string 2 open, string 1 at fret 7 again while string 2 rings on.
func byHand(t *testing.T) (*tune.Tune, *rig.Rig, *arrange.Result) {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g")
	r.Styles = nil
	key, err := pitch.ParseKey("G")
	if err != nil {
		t.Fatal(err)
	}
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{Number: 1, Key: key, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: make([][]tune.Event, 1)}}}
	out := &tab.Tab{Tune: tn, Rig: r}
	for i, c := range []struct {
		name string
		str  int
		fret float64
	}{{"G4", 1, 5}, {"A4", 1, 7}, {"B3", 2, 0}, {"A4", 1, 7}} {
		n, err := pitch.ParseName(c.name)
		if err != nil {
			t.Fatal(err)
		}
		at := tune.Ticks(i) * tune.Whole / 4
		tn.Bars[0].Lines[0] = append(tn.Bars[0].Lines[0], tune.Event{At: at, Len: tune.Whole / 4, Value: tune.Value{Log2: 2}, Notes: []tune.Note{{Name: n}}})
		s := tab.Stroke{At: at, Len: tune.Whole / 4, Plucks: []tab.Pluck{{Ref: tune.Ref{Event: i, Grace: -1}, String: c.str, Fret: c.fret, Len: tune.Whole / 4}}}
		if c.fret > 0 {
			s.Placement = steel.Placement{Kind: steel.Straight, First: 1, Last: 1, FirstFret: c.fret, LastFret: c.fret}
		}
		out.Strokes = append(out.Strokes, s)
	}
	return tn, r, &arrange.Result{Tab: out, Cost: 10, Key: key}
}

// TestScoreByHand: what a rig's place in the ranking is made of. Fret n lies at
// L·(1 − 2^(−n/12)) from the nut, so from 5 to 7 are L·(2^(−5/12) − 2^(−7/12)).
func TestScoreByHand(t *testing.T) {
	tn, r, res := byHand(t)
	travel := float64(r.Scale) * (math.Exp2(-5.0/12) - math.Exp2(-7.0/12)) / 4
	// One of the three notes that another follows rings on.
	const rings = 1.0 / 3
	plain := 10.0/4 - rankRings*rings - rankHome
	e, err := pitch.ParseKey("E")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what   string
		change func()
		score  float64
		says   []string
	}{
		{"as it is", func() {}, plain, []string{"at home in G major: its open strings have the chord", "every note as written", "in its own key, G major", "frets 5 to 7", "the bar always square", "33 notes in a hundred ring on"}},
		{"an octave lower", func() { res.Transposed = -12 }, plain, []string{"in its own key, G major", "frets"}},
		{"an octave higher", func() { res.Transposed = 12 }, plain + rankFarOctave, []string{"in its own key, G major, but in another octave"}},
		{"two octaves lower", func() { res.Transposed = -24 }, plain + rankFarOctave, []string{"but in another octave"}},
		{"another key", func() { res.Transposed, res.Key = -3, e }, plain + rankOtherKey + rankHome, []string{"moved from G major to E major"}},
		{"a note lost", func() {
			res.Tab.Compromises = []tab.Compromise{{}}
			res.Events = []arrange.Explained{{Broken: 4}, {Broken: 2}}
		}, plain - 6.0/4 + rankCompromise/4, []string{"1 note not as written"}},
		{"two notes lost", func() { res.Tab.Compromises = make([]tab.Compromise, 2) }, plain + rankCompromise/2, []string{"2 notes not as written"}},
		{"usual in its style", func() { tn.Rhythm, r.Styles = " Air", []string{"jazz", "island", "acoustic slide"} }, plain - rankIdiom*0.6, []string{"an air suits it: it is usual in acoustic slide music"}},
		{"a waltz in its style", func() { tn.Rhythm, r.Styles = "waltz", []string{"country"} }, plain - rankIdiom, []string{"a waltz suits it: it is usual in country music"}},
		{"a waltz in a style where it is played too", func() { tn.Rhythm, r.Styles = "waltz", []string{"jazz", "island"} }, plain - rankIdiom*0.8/2, []string{"a waltz suits it: it is usual in island music"}},
		{"not usual in its style", func() { tn.Rhythm, r.Styles = "hula", []string{"jazz"} }, plain, []string{"in its own key"}},
	} {
		tn, r, res = byHand(t)
		c.change()
		k := rate(tn, r, res)
		if math.Abs(k.Score-c.score) > 0.0051 {
			t.Errorf("%s: score %.3f, want %.3f", c.what, k.Score, c.score)
		}
		if math.Abs(k.Travel-travel) > 1e-9 || math.Abs(k.Rings-rings) > 1e-9 {
			t.Errorf("%s: %.3f mm a note, want %.3f; %.3f ring on, want %.3f", c.what, k.Travel, travel, k.Rings, rings)
		}
		said := strings.Join(k.Reasons, "; ")
		for _, want := range c.says {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q does not say %q", c.what, said, want)
			}
		}
		if strings.Contains(said, "suits it") != (k.Score < plain-0.1 && len(res.Tab.Compromises) == 0) || strings.Contains(said, "capo") {
			t.Errorf("%s: %q", c.what, said)
		}
	}
	// A tie is no note of its own; open strings have no frets; the capo is told.
	tn, r, res = byHand(t)
	res.Tab.Strokes[3].Plucks[0].Attack = tab.Tied
	if k := rate(tn, r, res); math.Abs(k.Travel-travel*4/3) > 1e-9 {
		t.Errorf("with one note held on: %.3f mm a note, want %.3f", k.Travel, travel*4/3)
	}
	for i := range res.Tab.Strokes {
		res.Tab.Strokes[i].Placement, res.Tab.Strokes[i].Plucks[0].Fret = steel.Placement{}, 0
	}
	r.Capo.At = 2
	said := strings.Join(rate(tn, r, res).Reasons, "; ")
	if !strings.Contains(said, "on open strings alone") || !strings.Contains(said, "with the capo at fret 2") {
		t.Errorf("open strings under a capo: %q", said)
	}
}

func TestFretWords(t *testing.T) {
	for f, want := range map[float64]string{5: "5", 12: "12", 4.5: "4.50", 6.97: "6.97", 0: "0"} {
		if got := fretWords(f); got != want {
			t.Errorf("fret %g is written %q; want %q", f, got, want)
		}
	}
}

// TestCapoWish: a wish for the capo is kept on the rigs that have one and is no fault
// of the others.
func TestCapoWish(t *testing.T) {
	tn, with, _ := byHand(t)
	with.Capo.Highest = 5
	without := with.Clone()
	without.Name, without.Capo.Highest = "no-capo", 0
	at := 2
	ranked, err := Rigs(t.Context(), tn, []*rig.Rig{with, without}, arrange.Options{Capo: &at})
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range ranked {
		if got := strings.Contains(strings.Join(k.Reasons, "; "), "with the capo at fret 2"); got != (k.Rig.Name != "no-capo") {
			t.Errorf("%s: %v", k.Rig.Name, k.Reasons)
		}
	}
}
