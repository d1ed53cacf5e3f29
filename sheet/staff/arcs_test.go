package staff

import (
	"math"
	"testing"

	"lapwright/notation/abc"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
	"lapwright/tune"
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

// TestSideOfATie: away from the stem for one note, and where a note has no stem by where it would go; of a
// chord the upper heads' ties curve up and the lower ones' down, that of the middle head away from the
// stem; of two voices to the voice's own side (common practice of engraving, no source).
func TestSideOfATie(t *testing.T) {
	head := func(places ...int) (out []*score.Head) {
		for _, p := range places {
			out = append(out, &score.Head{Place: p})
		}
		return out
	}
	quarter, whole := tune.Value{Log2: 2}, tune.Value{}
	for _, c := range []struct {
		say  string
		n    score.Note
		want []bool // of each head from below: whether it curves up
	}{
		{"stem up", score.Note{Value: quarter, Up: true, Heads: head(-3)}, []bool{false}},
		{"stem down", score.Note{Value: quarter, Heads: head(3)}, []bool{true}},
		{"a whole note over the middle line", score.Note{Value: whole, Heads: head(1)}, []bool{true}},
		{"on it", score.Note{Value: whole, Heads: head(0)}, []bool{true}},
		{"under it", score.Note{Value: whole, Up: true, Heads: head(-1)}, []bool{false}},
		{"two heads", score.Note{Value: quarter, Heads: head(-1, 3)}, []bool{false, true}},
		{"three heads, stem down", score.Note{Value: quarter, Heads: head(0, 2, 4)}, []bool{false, true, true}},
		{"three heads, stem up", score.Note{Value: quarter, Up: true, Heads: head(-4, -2, 0)}, []bool{false, false, true}},
		{"the upper voice", score.Note{Value: quarter, Many: true, Up: true, Heads: head(-4, -2)}, []bool{true, true}},
		{"the lower voice", score.Note{Value: quarter, Many: true, Heads: head(2, 4)}, []bool{false, false}},
	} {
		for i, want := range c.want {
			if got := tieUp(&c.n, i); got != want {
				t.Errorf("%s: head %d from below: up %v, want %v", c.say, i+1, got, want)
			}
		}
	}
}

// TestMarksInSpaces: a small mark within the staff stands in the middle of a space, the nearest outwards from the
// head; beyond the staff it stays where it is (common practice of engraving, no source). Lines are at 0 to 4.
func TestMarksInSpaces(t *testing.T) {
	for _, c := range []struct{ at, height, sign, want float64 }{
		{1.2, 0, 1, 1.5}, {1.5, 0, 1, 1.5}, {1.6, 0, 1, 2.5}, {3.9, 0, 1, 4.5}, {4.4, 0, 1, 4.5}, {4.41, 0, 1, 4.41},
		{1.2, 0, -1, 0.5}, {1.5, 0, -1, 1.5}, {1.6, 0, -1, 1.5}, {0.1, 0, -1, -0.5}, {-0.4, 0, -1, -0.5}, {-0.41, 0, -1, -0.41},
		{1.2, 0.4, 1, 1.3}, {1.2, 0.4, -1, 0.7},
	} {
		if got := spaceFor(c.at, c.height, c.sign); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("a mark %g high whose edge would be at %g, sign %g, is put at %g, want %g", c.height, c.at, c.sign, got, c.want)
		}
	}
}
