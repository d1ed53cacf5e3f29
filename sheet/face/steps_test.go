package face

import (
	"math"
	"testing"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"lapwright/sheet/draw"
)

// TestCurvesOfLettersKeepTheirPlace: a TrueType outline has quadratic curves, a drawing
// cubic ones; every point of one lies on the other, and pieces are closed.
func TestCurvesOfLettersKeepTheirPlace(t *testing.T) {
	p := func(x, y float64) fixed.Point26_6 {
		return fixed.Point26_6{X: fixed.Int26_6(64 * x), Y: fixed.Int26_6(64 * y)}
	}
	a, c, e := draw.Point{X: 30, Y: -20}, draw.Point{X: 100, Y: 50}, draw.Point{X: 170, Y: -80}
	got := steps(sfnt.Segments{
		{Op: sfnt.SegmentOpMoveTo, Args: [3]fixed.Point26_6{p(a.X, a.Y)}},
		{Op: sfnt.SegmentOpQuadTo, Args: [3]fixed.Point26_6{p(c.X, c.Y), p(e.X, e.Y)}},
		{Op: sfnt.SegmentOpMoveTo, Args: [3]fixed.Point26_6{p(0, 0)}},
		{Op: sfnt.SegmentOpLineTo, Args: [3]fixed.Point26_6{p(10, 0)}},
	}, 10)
	want := []draw.Op{draw.MoveTo, draw.CurveTo, draw.Close, draw.MoveTo, draw.LineTo, draw.Close}
	if len(got) != len(want) {
		t.Fatalf("%d steps, want %d", len(got), len(want))
	}
	for i, op := range want {
		if got[i].Op != op {
			t.Fatalf("step %d is %v, want %v", i, got[i].Op, op)
		}
	}
	q := got[1].P
	for _, u := range []float64{0.1, 0.25, 0.5, 0.75, 1} {
		v := 1 - u
		cubic := func(a, b, c, d float64) float64 { return v*v*v*a + 3*v*v*u*b + 3*v*u*u*c + u*u*u*d }
		quad := func(a, c, e float64) float64 { return (v*v*a + 2*v*u*c + u*u*e) / 10 }
		x, y := cubic(a.X/10, q[0].X, q[1].X, q[2].X), cubic(a.Y/10, q[0].Y, q[1].Y, q[2].Y)
		if math.Abs(x-quad(a.X, c.X, e.X))+math.Abs(y-quad(a.Y, c.Y, e.Y)) > 1e-9 {
			t.Errorf("at %g the curve is at %g, %g, want %g, %g", u, x, y, quad(a.X, c.X, e.X), quad(a.Y, c.Y, e.Y))
		}
	}
}
