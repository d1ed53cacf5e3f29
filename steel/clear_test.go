package steel

import (
	"testing"

	"lapwright/internal/near"
	"lapwright/rig/rigtest"
)

// TestClears continues TestSlantByHand: strings 1 and 3 at frets 13 and 12, the
// axis from (316.8377, −22.6403) to (300, −4.5), 24.7506 mm long. String s is
// y = −20 + 8·(s−1) + x·(2·(s−1) − 5)/600.
// String 4 (y = 4 + x/600): t = (4 + 0.528063 + 22.640314)/(18.140314 + 16.8377/600) = 27.168377/18.168377
// = 1.495366, so p = 37.0112 mm. String 5 (y = 12 + 0.005·x): t = 36.224503/18.224503 = 1.987681, p = 49.1963.
// String 6 (y = 20 + x/120): t = 45.280628/18.280628 = 2.476973, p = 61.3066.
// The steel is 80 mm long: its far end must lie at least at 0 − 40, and at most at
// 37.0112 − 82 = −44.99 for string 4 (no), 49.1963 − 82 = −32.80 for string 5
// (yes), −20.69 for string 6 (yes).
func TestClears(t *testing.T) {
	r := rigtest.OpenD()
	g := New(r)
	slant := Placement{Forward, 1, 3, 13, 12}
	near.To(t, "place of string 3", g.along(slant, 3), 24.7506, 1e-3)
	near.To(t, "place of string 4", g.along(slant, 4), 37.0112, 1e-3)
	near.To(t, "place of string 5", g.along(slant, 5), 49.1963, 1e-3)
	near.To(t, "place of string 6", g.along(slant, 6), 61.3066, 1e-3)
	short := r.Clone()
	short.Steel.Length = 70 // −35 ≤ 37.01 − 72 = −34.99: just
	middle := Placement{Forward, 3, 5, 13, 12}
	for _, c := range []struct {
		what      string
		g         *Geometry
		p         Placement
		far, near int
		want      bool
	}{
		{"nothing open", g, slant, 0, 0, true},
		{"string 4 open", g, slant, 0, 4, false},
		{"string 5 open", g, slant, 0, 5, true},
		{"string 6 open", g, slant, 0, 6, true},
		{"string 4 open beside a shorter bar", New(short), slant, 0, 4, true},
		{"the steel drawn back from string 2", g, middle, 2, 0, true},
		{"open strings on both sides", g, middle, 2, 6, false},
		// The nose's tip is 9.5 mm out, so the steel ends 70.5 mm beyond its middle,
		// farther than string 6 lies even from string 1.
		{"a split, string 6 open", g, Placement{Split, 1, 3, 13, 12}, 0, 6, false},
		{"a split, strings beyond the nose open", g, Placement{Split, 3, 5, 13, 12}, 2, 0, true},
		{"a square bar, whose heel can be held up", g, Placement{Straight, 1, 3, 5, 5}, 0, 4, true},
	} {
		if got := c.g.Clears(c.p, c.far, c.near); got != c.want {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}
