package staff

import (
	"math"
	"testing"

	"lapwright/notation/abc"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
)

// TestSideOfASlur: a slur lies under its notes when all their stems go up, over them as
// soon as one goes down; what has no stem counts by where it would go, rests, graces and
// what stands beside the slur do not (common practice of engraving, no source).
func TestSideOfASlur(t *testing.T) {
	for music, up := range map[string]bool{
		"(FGAF)": false, "(FGdF)": true, "d(GAF)": false, "(FGA)d": false, "(FzAF)": false, "(F2{d}F2)": false,
		"(F4|G4)": false, "(F4|B4)": true, "(F4|c4)": true, "(F2G2)|c4": false, "(F2G2|A4|G2F2)": false, "(F2G2|d4|G2F2)": true,
	} {
		tunes, _, err := abc.Read([]byte("X:1\nM:4/4\nL:1/4\nK:C\n"+music+"|]\n"), "slur.abc")
		if err != nil {
			t.Fatal(err)
		}
		s := score.New(tunes[0], nil, score.Options{})
		systems, _ := spacing.Set(s, 200)
		systems[0].SetStems()
		seen := 0
		for _, slur := range s.Slurs {
			if slur.From.Grace >= 0 {
				continue
			}
			seen++
			if got := (&arcs{System: systems[0]}).slurUp(slur); got != up {
				t.Errorf("%s: over its notes %v, want %v", music, got, up)
			}
		}
		if seen != 1 {
			t.Fatalf("%s: %d slurs", music, seen)
		}
	}
}

// TestShortTieCanBeSeen: a tie between heads that stand close is 0.8 of a staff space
// long, about the same middle (our own measure).
func TestShortTieCanBeSeen(t *testing.T) {
	for _, c := range []struct{ x0, x1, from, to float64 }{{2, 2.4, 1.8, 2.6}, {3, 3.7, 2.95, 3.75}, {3, 5, 3, 5}} {
		n := &score.Note{Heads: []*score.Head{{}, {}}}
		n.Heads[0].Of = n
		canvas := ink.New()
		(&arcs{c: canvas}).tie(false, c.x0, c.x1, n.Heads[0])
		if b := canvas.Bounds(); math.Abs(b.X0-c.from) > 1e-9 || math.Abs(b.X1-c.to) > 1e-9 {
			t.Errorf("from %g to %g: a tie from %g to %g, want %g to %g", c.x0, c.x1, b.X0, b.X1, c.from, c.to)
		}
	}
}
