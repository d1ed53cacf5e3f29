package neck_test

import (
	"math"
	"testing"

	"lapwright/internal/golden"
	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/steel"
	"lapwright/wire"
)

// pictured is a page of every kind of picture: a chord and a scale over the whole
// neck, and grips square, slanted both ways, split, with the nose and open.
func pictured(t *testing.T) *draw.Drawing {
	t.Helper()
	r, _ := rig.Builtin("reso-open-g")
	many, _ := rig.Builtin("lap8-c13")
	chord, err := pitch.ParseChord("C7/A")
	if err != nil {
		t.Fatal(err)
	}
	scale, err := pitch.ParseScale("dorian")
	if err != nil {
		t.Fatal(err)
	}
	grip := func(p steel.Placement, c *pitch.Chord, strings ...int) neck.View {
		return neck.Grip(r, p, 0, strings, c)
	}
	d, err := neck.Page("Low Tide", []neck.View{
		neck.Chord(r, chord), neck.Scale(r, chord.Root, scale),
		grip(steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 5, LastFret: 5}, &chord, 1, 2, 3),
		grip(steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 13, LastFret: 12}, nil, 1, 3),
		grip(steel.Placement{Kind: steel.Reverse, First: 1, Last: 2, FirstFret: 2, LastFret: 3}, &chord, 1, 2),
		grip(steel.Placement{Kind: steel.Split, First: 1, Last: 4, FirstFret: 7, LastFret: 6}, &chord, 1, 2, 4),
		grip(steel.Placement{Kind: steel.Nose, First: 2, Last: 2, FirstFret: 1, LastFret: 1}, &chord, 2, 3),
		grip(steel.Placement{}, &chord, 1, 6),
		neck.Grip(many, steel.Placement{Kind: steel.Straight, First: 1, Last: 8, FirstFret: 7, LastFret: 7}, 0, []int{1, 4, 8}, nil),
		neck.Grip(many, steel.Placement{Kind: steel.Forward, First: 2, Last: 3, FirstFret: 12, LastFret: 11}, 0, []int{1, 2, 3}, nil),
	}, neck.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// The pictures as they were looked at last: a change is one that players see.
func TestPictures(t *testing.T) {
	benders, _ := rig.Builtin("bender-open-d")
	from, _ := rig.Builtin("reso-open-g")
	to, _ := rig.Builtin("hollow-neck-open-d")
	plan := &retune.Plan{From: from, To: to, Passes: 3, Finding: rig.Caution, Steps: []retune.Step{{String: 3}, {String: 1}}}
	for i := range from.Strings {
		a, b := from.Strings[i].Open, to.Strings[i].Open
		plan.Moves = append(plan.Moves, retune.Move{String: i + 1, From: a, To: b, Semitones: b.Key() - a.Key()})
	}
	instead := wire.Plain(14 * wire.Thou)
	plan.Moves[1].Instead = &instead
	for file, d := range map[string]*draw.Drawing{"necks": pictured(t), "tuning-card": neck.TuningCard(benders), "retuning-card": neck.RetuningCard(plan)} {
		got := []byte(d.Description + "\n")
		for i := range d.Pages {
			got = append(got, draw.SVG(d, i)...)
		}
		golden.File(t, "testdata/"+file+".svg.txt", got)
	}
}

// Frets lie where equal temperament has them: the twelfth in the middle of the
// string, the seventh at a third of it, nearly.
func TestFretsToScale(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	g, _ := neck.View{Rig: r, To: 12}.Picture(200)
	var at []float64
	for _, it := range g.Items {
		if l, ok := it.(draw.Rule); ok && l.X1 == l.X2 {
			at = append(at, l.X1)
		}
	}
	if len(at) != 13 {
		t.Fatalf("%d frets and nut, want 13", len(at))
	}
	for f := 1; f <= 12; f++ {
		want := (1 - math.Exp2(-float64(f)/12)) / 0.5
		if got := (at[f] - at[0]) / (at[12] - at[0]); math.Abs(got-want) > 1e-9 {
			t.Errorf("fret %d lies at %.4f of the way to the twelfth, want %.4f", f, got, want)
		}
	}
}
