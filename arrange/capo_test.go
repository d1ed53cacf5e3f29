package arrange

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune/tunetest"
)

// TestClampOnCapoIsOffered: a reel in A on open G is played with G shapes at capo 2
// (common practice, no source). The capo is not put on unasked; what it saves is what
// the arrangement with it costs less, and its frets are those of the reel in G.
func TestClampOnCapoIsOffered(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	const reel = "D3:1 G3:1 B3:1 D4:1 G4:1 D4:1 B3:1 G3:1 A3:1 C4:1 D4:1 F#4:1 G4:1 D4:1 B3:1 G3:1"
	const inA = "E3:1 A3:1 C#4:1 E4:1 A4:1 E4:1 C#4:1 A3:1 B3:1 D4:1 E4:1 G#4:1 A4:1 E4:1 C#4:1 A3:1"
	inG, tn := tunetest.Score(t, "G", reel), tunetest.Score(t, "A", inA)
	now, err := Arrange(t.Context(), tn, r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if now.Tab.Rig.Capo.At != 0 {
		t.Errorf("the capo is put on unasked, at fret %d", now.Tab.Rig.Capo.At)
	}
	if len(now.Capos) == 0 || now.Capos[0].Capo != 2 || now.Capos[0].Shapes.String() != "G major" {
		t.Fatalf("%+v is offered", now.Capos)
	}
	offer := &now.Capos[0]
	with, err := Arrange(t.Context(), tn, r, Options{In: &offer.Setting})
	if err != nil {
		t.Fatal(err)
	}
	if saves := (now.Cost - with.Cost) / float64(len(now.Tab.Strokes)); math.Abs(saves-offer.Saves) > 0.01 || saves <= 0 {
		t.Errorf("it saves %.3f points a note, and is said to save %.3f", saves, offer.Saves)
	}
	if with.Difficulty != offer.Difficulty || now.Difficulty != offer.Without || with.Difficulty >= now.Difficulty || with.Tab.Open() != offer.Open {
		t.Errorf("difficulty %g and %g, %d open: %+v", with.Difficulty, now.Difficulty, with.Tab.Open(), offer)
	}
	if !strings.HasPrefix(offer.Words(), "with the capo at fret 2 it is played as in G major, which saves ") {
		t.Error(offer.Words())
	}
	bare, err := Arrange(t.Context(), inG, r, Options{Octave: Octaves(0), Key: &inG.Bars[0].Key.Tonic})
	if err != nil {
		t.Fatal(err)
	}
	// In the tuning's own key nobody clamps a capo on (common practice, no source), though fret 5 would save something here.
	high := tunetest.Score(t, "G", "D4:1 G4:1 C5:1 E4:1 E5:1 E5:1 C4:1 E4:1 E5:1 G4:1 C4:1 A4:1 C4:1 A4:1 D4:1 C4:1")
	if res, err := Arrange(t.Context(), high, r, Options{}); err != nil || len(res.Capos) > 0 {
		t.Errorf("in G %+v is offered (%v)", res.Capos, err)
	}
	if with.Transposed == 0 && grid(with) != grid(bare) {
		t.Errorf("with the capo:\n%s\nin G without:\n%s", grid(with), grid(bare))
	}
	if l := with.Tab.Accounts(tn); len(l) > 0 {
		t.Error(l)
	}
	for i := range with.Tab.Strokes { // nothing sounds from behind the capo
		for _, p := range with.Tab.Strokes[i].Plucks {
			if low := r.OpenKey(p.String, 0) + 2; p.Fret < 0 || p.Attack != tab.Harmonic && with.Tab.Rig.OpenKey(p.String, 0) != low {
				t.Errorf("string %d open sounds %d with the capo, want %d", p.String, with.Tab.Rig.OpenKey(p.String, 0), low)
			}
		}
	}
	for _, clamp := range []bool{true, false} { // only the sliding one is tried by the search
		r.Capo.Clamp = clamp
		all, err := Settings(t.Context(), tn, r, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if on := slices.ContainsFunc(all, func(s Setting) bool { return s.Capo > 0 }); on == clamp {
			t.Errorf("clamped on %v: the capo is tried %v", clamp, on)
		}
	}
	r.Capo.Clamp = true
	ways, err := Alternatives(t.Context(), tn, r, Options{}, 10)
	if err != nil {
		t.Fatal(err)
	}
	named := false
	for _, w := range ways {
		named = named || w.Name == "with the capo at fret 2" && w.Result.Tab.Rig.Capo.At == 2
	}
	if !named {
		t.Error("the capo is not among the ways to play it")
	}
	two := 2
	for what, c := range map[string]struct {
		o      Options
		change func()
	}{
		"a capo that is asked for":  {Options{Capo: &two}, func() {}},
		"one that is kept off":      {Options{Capo: new(int)}, func() {}},
		"a setting that is fixed":   {Options{In: &Setting{}}, func() {}},
		"a rig that has none":       {Options{}, func() { r.Capo.Highest = 0 }},
		"one that goes to fret 1":   {Options{}, func() { r.Capo.Highest = 1 }},
		"a sliding one":             {Options{}, func() { r.Capo.Clamp = false }},
		"one that is on is left so": {Options{}, func() { r, err = r.WithCapo(2) }},
	} {
		r = rigtest.Builtin(t, "reso-open-g")
		if c.change(); err != nil {
			t.Fatal(err)
		}
		if res, err := Arrange(t.Context(), tn, r, c.o); err != nil || len(res.Capos) > 0 {
			t.Errorf("%s: %v, %+v is offered", what, err, res.Capos)
		}
	}
}
