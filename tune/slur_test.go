package tune_test

import (
	"slices"
	"testing"

	"lapwright/notation/abc"
	"lapwright/tune"
)

// TestSlurred: a slur leads into every note under it but the first, over barlines
// and rests, in its own voice; slurs within slurs are one reach.
func TestSlurred(t *testing.T) {
	for _, c := range []struct {
		music string
		want  [][3]int // bar, voice, event
	}{
		{"C D E F|", nil},
		{"(C D) E F|", [][3]int{{0, 0, 1}}},
		{"C (D E F|G) A|", [][3]int{{0, 0, 2}, {0, 0, 3}, {1, 0, 0}}},
		{"(C (D E) F)|", [][3]int{{0, 0, 1}, {0, 0, 2}, {0, 0, 3}}},
		{"(C (D) E)|", [][3]int{{0, 0, 1}, {0, 0, 2}}},
		{"(C D)(E F)|", [][3]int{{0, 0, 1}, {0, 0, 3}}},
		{"(C D (E) F) G|", [][3]int{{0, 0, 1}, {0, 0, 2}, {0, 0, 3}}},
		{"(C z E) F|", [][3]int{{0, 0, 1}, {0, 0, 2}}},
		{"[V:1] C D E F|\n[V:2] (C D) (E F)|", [][3]int{{0, 1, 1}, {0, 1, 3}}},
	} {
		tunes, _, err := abc.Read([]byte("X:1\nT:t\nM:4/4\nL:1/4\nK:C\n"+c.music+"\n"), "")
		if err != nil {
			t.Fatal(err)
		}
		var got [][3]int
		for at := range tune.Slurred(tunes[0]) {
			got = append(got, at)
		}
		slices.SortFunc(got, func(a, b [3]int) int { return slices.Compare(a[:], b[:]) })
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: slurs lead into %v, want %v", c.music, got, c.want)
		}
	}
}
