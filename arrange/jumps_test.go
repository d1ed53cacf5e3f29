package arrange

import (
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
)

// backOverRepeat is D4, G4, D4 in whole notes with a repeat round them: the
// last D4 is tied back to the first when the repeat is taken.
func backOverRepeat() *tune.Tune {
	g, _ := pitch.NewKey(pitch.Class{Letter: pitch.G}, pitch.Major)
	d, high := pitch.Note(pitch.D, 0, 4), pitch.Note(pitch.G, 0, 4)
	t := &tune.Tune{Title: "Back Again", Voices: []tune.Voice{{ID: "1"}}}
	for i, n := range []pitch.Name{d, high, d} {
		t.Bars = append(t.Bars, tune.Bar{
			Number: i + 1, Key: g, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole,
			Lines: [][]tune.Event{{{Len: tune.Whole, Notes: []tune.Note{{Name: n, Tie: i == 2}}}}},
		})
	}
	t.Bars[0].Left.Repeat, t.Bars[2].Right.Repeat = 1, 1
	return t
}

// TestTiesOverJumps: a tie that a repeat leads to another string is listed, one
// that stays on its string is not.
func TestTiesOverJumps(t *testing.T) {
	r, ok := rig.Builtin("reso-open-g")
	if !ok {
		t.Fatal("no reso-open-g")
	}
	for _, c := range []struct {
		name string
		pins []string
		want int
	}{
		{"same string", []string{"1 string 1", "3 string 1"}, 0},
		{"another string", []string{"1 string 1", "3 string 2"}, 1},
	} {
		o := Options{Octave: Octaves(0), Key: &pitch.Class{Letter: pitch.G}}
		for _, text := range c.pins {
			p, err := ParsePin(text, r)
			if err != nil {
				t.Fatal(err)
			}
			o.Pins = append(o.Pins, p)
		}
		res, err := Arrange(t.Context(), backOverRepeat(), r, o)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		got := res.Tab.Compromises
		if len(got) != c.want {
			t.Fatalf("%s: %d compromises, want %d: %+v", c.name, len(got), c.want, got)
		}
		if c.want == 1 && (got[0].Bar != 1 || got[0].At != 0 || got[0].Wanted != "D4 held on" || got[0].Got != "D4 plucked again") {
			t.Errorf("%s: %+v", c.name, got[0])
		}
	}
}
