package arrange

import (
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
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
	r := rigtest.Builtin(t, "reso-open-g")
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
		if c.want == 1 && (got[0].BarNumber != 1 || got[0].At != 0 || got[0].Wanted != "D4 held on" || got[0].Got != "D4 plucked again") {
			t.Errorf("%s: %+v", c.name, got[0])
		}
	}
}

// TestTieIntoSecondEnding: a second ending goes on from the bar before the first
// ending, not from the first ending, though that ends in a tie of the same note. Where
// the string differs the note is plucked and listed (tab.Check).
func TestTieIntoSecondEnding(t *testing.T) {
	tn := backOverRepeat()
	d, high := tn.Bars[0].Lines[0][0].Notes[0], tn.Bars[1].Lines[0][0].Notes[0]
	d.Tie = true
	half := tune.Whole / 2
	tn.Bars[0].Lines[0][0].Notes[0] = d
	tn.Bars[1].Lines[0] = []tune.Event{{Len: half, Value: tune.Value{Log2: 1}, Notes: []tune.Note{high}}, {At: half, Len: half, Value: tune.Value{Log2: 1}, Notes: []tune.Note{d}}}
	tn.Bars[2].Lines[0][0].Notes[0].Tie = false
	tn.Bars[1].Endings, tn.Bars[1].EndingEnds, tn.Bars[2].Endings, tn.Bars[2].EndingEnds = []int{1}, true, []int{2}, true
	tn.Bars[1].Right.Repeat, tn.Bars[2].Right.Repeat = 1, 0
	r, _ := rig.Builtin("reso-open-g")
	for first, want := range map[string]tab.Attack{"1 string 1": tab.Picked, "1 string 2": tab.Tied} {
		o := Options{Octave: Octaves(0), Key: &pitch.Class{Letter: pitch.G}}
		for _, text := range []string{first, "2 string 2", "3 string 2"} {
			p, err := ParsePin(text, r)
			if err != nil {
				t.Fatal(err)
			}
			o.Pins = append(o.Pins, p)
		}
		res, err := Arrange(t.Context(), tn, r, o)
		if err != nil {
			t.Fatal(err)
		}
		if l := res.Tab.Check(); len(l) > 0 {
			t.Errorf("%s: %v", first, l)
		}
		last := res.Tab.Strokes[len(res.Tab.Strokes)-1]
		if len(last.Plucks) != 1 || last.Plucks[0].String != 2 || last.Plucks[0].Attack != want {
			t.Errorf("%s: the second ending begins with %+v, want string 2 %s", first, last.Plucks, want)
		}
	}
}
