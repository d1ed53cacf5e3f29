package steel

import (
	"testing"

	"lapwright/rig/rigtest"
)

func TestAcross(t *testing.T) {
	r := rigtest.OpenD()
	g := New(r)
	blunt := r.Clone()
	blunt.Steel.Bullet = false
	short := r.Clone()
	short.Steel.Length = 30
	for _, c := range []struct {
		what      string
		g         *Geometry
		a, b      int
		far, near bool
		want      Placement
	}{
		{"no open strings", g, 2, 4, false, false, Placement{Straight, 1, 6, 5, 5}},
		{"open ones beyond string 2", g, 2, 4, true, false, Placement{Straight, 2, 6, 5, 5}},
		{"open ones on the player's side", g, 2, 4, false, true, Placement{Straight, 1, 4, 5, 5}},
		{"open ones on both sides", g, 2, 4, true, true, Placement{Straight, 2, 4, 5, 5}},
		{"one string", g, 3, 3, false, false, Placement{Straight, 1, 6, 5, 5}},
		{"one string with the nose", g, 3, 3, false, true, Placement{Nose, 3, 3, 5, 5}},
		{"one string without a nose", New(blunt), 3, 3, false, true, Placement{Straight, 1, 3, 5, 5}},
		{"a short bar", New(short), 2, 4, false, false, Placement{Straight, 2, 4, 5, 5}},
	} {
		if got := c.g.Across(c.a, c.b, c.far, c.near, 5); got != c.want {
			t.Errorf("%s: %+v; want %+v", c.what, got, c.want)
		}
	}
}
