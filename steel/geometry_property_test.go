package steel

import (
	"math"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/wire"

	"pgregory.net/rapid"
)

// TestContactsLieOnOneLine takes contacts back to coordinates and asks that
// they be collinear, whatever the rig's fan and the slant.
func TestContactsLieOnOneLine(t *testing.T) {
	base := rigtest.OpenD()
	rapid.Check(t, func(t *rapid.T) {
		r := base.Clone()
		r.Scale = wire.MM(rapid.Float64Range(500, 700).Draw(t, "scale"))
		r.NutSpread = wire.MM(rapid.Float64Range(30, 60).Draw(t, "nut spread"))
		r.BridgeSpread = r.NutSpread + wire.MM(rapid.Float64Range(0, 25).Draw(t, "wider at the bridge"))
		g := New(r)
		first := rapid.IntRange(1, 4).Draw(t, "first")
		last := rapid.IntRange(first+2, 6).Draw(t, "last")
		f := rapid.Float64Range(1, 20).Draw(t, "first fret")
		lean := rapid.Float64Range(-3, 3).Draw(t, "lean")
		p := Placement{Forward, int8(first), int8(last), f, max(f+lean, 0.5)}
		x0, x1 := float64(g.X(p.FirstFret)), float64(g.X(p.LastFret))
		y0, y1 := float64(g.Y(first, wire.MM(x0))), float64(g.Y(last, wire.MM(x1)))
		for s := first + 1; s < last; s++ {
			x := float64(g.X(g.Contact(p, s)))
			y := float64(g.Y(s, wire.MM(x)))
			// Twice the area of the triangle over the base is the distance off the line.
			off := math.Abs((x1-x0)*(y-y0)-(x-x0)*(y1-y0)) / math.Hypot(x1-x0, y1-y0)
			if !(off < 1e-6) {
				t.Fatalf("string %d of %+v lies %g mm off the bar's line", s, p, off)
			}
		}
	})
}
