package arrange

import (
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// waltz is eight bars that lie well in two octaves, so that harmony decides
// between them.
func waltz(t *testing.T) *tune.Tune {
	tn := tunetest.Score(t, "G", "D4:2 G4:2 B4:2 A4:2 G4:2 E4:2 G4:2 A4:2 F#4:2 D4:2 G4:2 B4:2 D5:2 C5:2 A4:2 G4:2")
	return tn
}

// TestEveryChoiceCanBePinned pins each choice that is offered at each moment,
// with key, octave and capo left free: the tab stays in its key and octave, and
// the moment is played as the choice says.
func TestEveryChoiceCanBePinned(t *testing.T) {
	pinned := 0
	for _, c := range []struct {
		rig string
		o   Options
	}{
		{"reso-open-g", Options{Harmony: Thirds}},
		{"lap6-c6", Options{Harmony: Sixths}},
		{"bender-open-d", Options{}},
		{"lap8-c13", Options{Harmony: Chords, Square: true}},
	} {
		tn, r := waltz(t), rigtest.Builtin(t, c.rig)
		now, err := Arrange(t.Context(), tn, r, c.o)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(now.Tab.Strokes); i += 3 {
			st := &now.Tab.Strokes[i]
			number, at := now.Tab.Tune.Place(st.BarIndex, st.At)
			choices, err := Choices(t.Context(), tn, r, c.o, number, at)
			if err != nil {
				t.Fatal(err)
			}
			if len(choices) == 0 || !choices[0].Now {
				t.Fatalf("%s, bar %d, %s into it: the first of %d choices is not what is played", c.rig, number, at, len(choices))
			}
			for _, ch := range choices[:min(len(choices), 10)] {
				with := c.o
				with.Pins = []Pin{ch.Pin}
				res, err := Arrange(t.Context(), tn, r, with)
				if err != nil {
					t.Errorf("%s, bar %d, %s into it: %q is offered and cannot be pinned: %v", c.rig, number, at, ch.Words, err)
					continue
				}
				if res.Transposed != now.Transposed || res.Tab.Rig.Capo.At != now.Tab.Rig.Capo.At {
					t.Errorf("%s, bar %d, %s into it: pinning %q moves the tune from %d to %d semitones", c.rig, number, at, ch.Words, now.Transposed, res.Transposed)
					continue
				}
				again, err := Choices(t.Context(), tn, r, with, number, at)
				if err != nil {
					t.Fatal(err)
				}
				if !again[0].Now || again[0].Words != ch.Words {
					t.Errorf("%s, bar %d, %s into it: %q is pinned and %q is played", c.rig, number, at, ch.Words, again[0].Words)
				}
				pinned++
			}
		}
	}
	if pinned < 100 {
		t.Errorf("only %d choices could be tried", pinned)
	}
	t.Logf("%d choices pinned", pinned)
}

// TestPinFineInOneOctave pins, with key and octave left free, what is played in
// each of two octaves: another octave, where it can't be, is passed over, and the
// key stays. What can be in none is told as it is in the octave nearest to what
// was asked.
func TestPinFineInOneOctave(t *testing.T) {
	tn, r := waltz(t), rigtest.Builtin(t, "reso-open-g")
	for _, o := range []Options{{Harmony: Thirds}, {Harmony: Sixths}, {}} {
		for octave := -1; octave <= 0; octave++ {
			there := must(t, tn, "reso-open-g", Options{Harmony: o.Harmony, Octave: &octave})
			for i := range there.Tab.Strokes {
				st := &there.Tab.Strokes[i]
				number, at := there.Tab.Tune.Place(st.BarIndex, st.At)
				top, fret := st.Plucks[0], int(st.Plucks[0].Fret)
				with := o
				with.Pins = []Pin{{FromBarNumber: number, At: &at, String: top.String, Fret: &fret}}
				got, err := Arrange(t.Context(), tn, r, with)
				if err != nil {
					t.Errorf("harmony %s, %s: %v", o.Harmony, with.Pins[0].Words(), err)
					continue
				}
				if got.Transposed%12 != 0 {
					t.Errorf("harmony %s, %s: moved by %d semitones", o.Harmony, with.Pins[0].Words(), got.Transposed)
				}
			}
		}
		without, err := Arrange(t.Context(), tn, r, o)
		if err != nil {
			t.Fatal(err)
		}
		fret := 23 // no note of G major lies there on string 2 in any octave of this tune
		o.Pins = []Pin{{FromBarNumber: 1, At: new(tune.Ticks), String: 2, Fret: &fret}}
		_, free := Arrange(t.Context(), tn, r, o)
		octave := without.Transposed / 12
		o.Octave = &octave
		if o.Harmony != NoHarmony {
			octave = 0 // the estimate, which knows nothing of harmony, puts this one first: the tune fits as written
		}
		_, fixed := Arrange(t.Context(), tn, r, o)
		if free == nil || fixed == nil || free.Error() != fixed.Error() {
			t.Errorf("harmony %s: with the octave free %v, in the nearest octave %v", o.Harmony, free, fixed)
		}
	}
}

// TestPinBelongsToItsSetting: a pin made in one key fixes nothing in another,
// keeps the octave that it was made in while that is free, and is there again when
// the key is.
func TestPinBelongsToItsSetting(t *testing.T) {
	tn, r := waltz(t), rigtest.Builtin(t, "reso-open-g")
	low, high := Octaves(-1), Octaves(0)
	for _, octave := range []*int{low, high} {
		choices, err := Choices(t.Context(), tn, r, Options{Octave: octave}, 1, tune.Whole/4)
		if err != nil || len(choices) < 2 {
			t.Fatalf("%d choices, %v", len(choices), err)
		}
		pinned := Options{Pins: []Pin{choices[1].Pin}}
		res, err := Arrange(t.Context(), tn, r, pinned)
		if err != nil || res.Transposed != 12**octave {
			t.Fatalf("pinned in octave %d: %v, %v", *octave, res, err)
		}
		elsewhere := pitch.Class{Letter: pitch.A}
		pinned.Key = &elsewhere
		moved, err := Arrange(t.Context(), tn, r, pinned)
		if err != nil {
			t.Fatalf("a pin made in G fails in A: %v", err)
		}
		free, err := Arrange(t.Context(), tn, r, Options{Key: &elsewhere})
		if err != nil || grid(moved) != grid(free) {
			t.Errorf("a pin made in G fixes something in A:\n%s\n%s", grid(moved), grid(free))
		}
	}
}

// TestKeyFreesTheOctave: a key alone leaves the octave to the search.
func TestKeyFreesTheOctave(t *testing.T) {
	tn, r := waltz(t), rigtest.Builtin(t, "reso-open-g")
	for _, tonic := range []pitch.Class{{Letter: pitch.G}, {Letter: pitch.C}, {Letter: pitch.E}} {
		got, err := Arrange(t.Context(), tn, r, Options{Key: &tonic, Harmony: Thirds})
		if err != nil {
			t.Fatal(err)
		}
		for octave := -2; octave <= 1; octave++ {
			fixed, err := Arrange(t.Context(), tn, r, Options{Key: &tonic, Octave: &octave, Harmony: Thirds})
			if err != nil {
				t.Fatal(err)
			}
			if fixed.overall() < got.overall() {
				t.Errorf("in %s octave %d is better by itself (%.0f) than what is found with the octave free (%d semitones, %.0f)", tonic, octave, fixed.overall(), got.Transposed, got.overall())
			}
		}
	}
}
