package neck_test

import (
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
)

func TestNecksSayWhatTheyShow(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	ch, err := pitch.ParseChord("C7")
	if err != nil {
		t.Fatal(err)
	}
	n := neck.Chord(r, ch)
	// Open G under a bar at the fifth fret is C major: its root on strings 3 and
	// 6, its fifth on string 1 (common practice, no source).
	want := map[[2]int]string{{3, 5}: "R", {6, 5}: "R", {1, 5}: "5", {2, 5}: "3", {1, 8}: "♭7"}
	found := 0
	for _, d := range n.Dots {
		if l, ok := want[[2]int{d.String, int(d.Fret)}]; ok {
			found++
			if d.Label != l || d.Strong != (l == "R") {
				t.Errorf("string %d fret %g is labelled %q", d.String, d.Fret, d.Label)
			}
		}
	}
	if found != len(want) {
		t.Errorf("%d of %d places shown", found, len(want))
	}
	if s := n.Describe(); !strings.Contains(s, "string 3: 5 open") {
		t.Errorf("told %q", s)
	}
	card := neck.TuningCard(r)
	joined := ""
	for _, p := range card.Pages {
		p.Walk(func(_ []*draw.Group, it draw.Item) {
			if x, ok := it.(draw.Text); ok {
				joined += x.S + "\n"
			}
		})
	}
	for _, want := range []string{"293.66", "98.00", "G2", ".016 in · 0.41 mm"} { // hertz: ISO 16 and equal temperament
		if !strings.Contains(joined, want) {
			t.Errorf("the tuning card lacks %q:\n%s", want, joined)
		}
	}
}

func TestPagesThatAreWrong(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	view := neck.View{Rig: r, To: 5}
	for _, c := range []struct {
		views []neck.View
		o     neck.Options
		want  string
	}{
		{nil, neck.Options{}, "no neck to draw"},
		{[]neck.View{view}, neck.Options{Paper: "a5"}, `unknown paper "a5"`},
		{[]neck.View{view}, neck.Options{Margin: 3}, "margin 3 mm is not from 8 to 50"},
	} {
		if d, err := neck.Page("x", c.views, c.o); err == nil || d != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: error %v, want %q", c.o, err, c.want)
		}
	}
}
