package draw_test

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"lapwright/sheet/draw"
	drawn "lapwright/sheet/png"
)

// inked returns the smallest rectangle round all dots of a picture of 30 by 30 mm that are not
// white, and the ink of it in square millimetres. Dots are a tenth of a millimetre.
func inked(t *testing.T, it draw.Item) (draw.Rect, float64) {
	t.Helper()
	const dots = 10
	b, err := drawn.Write(&draw.Drawing{Pages: []*draw.Page{{W: 30, H: 30, Items: []draw.Item{it}}}}, 0, dots*25.4)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	r, sum := draw.Empty, 0.0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			v, _, _, _ := img.At(x, y).RGBA()
			if sum += 1 - float64(v)/0xFFFF; v < 0xC000 {
				r = r.Union(draw.Rect{X0: float64(x) / dots, Y0: float64(y) / dots, X1: float64(x+1) / dots, Y1: float64(y+1) / dots})
			}
		}
	}
	return r, sum / dots / dots
}

// TestBoundsAreWhereTheInkIs holds the bounds of every kind of item against a picture of it, to two dots.
func TestBoundsAreWhereTheInkIs(t *testing.T) {
	path := func(width float64, steps ...draw.Step) draw.Path { return draw.Path{Steps: steps, Width: width} }
	move := func(x, y float64) draw.Step {
		return draw.Step{Op: draw.MoveTo, P: [3]draw.Point{{X: x, Y: y}}}
	}
	line := func(x, y float64) draw.Step {
		return draw.Step{Op: draw.LineTo, P: [3]draw.Point{{X: x, Y: y}}}
	}
	curve := func(a, b, c, d, e, f float64) draw.Step {
		return draw.Step{Op: draw.CurveTo, P: [3]draw.Point{{X: a, Y: b}, {X: c, Y: d}, {X: e, Y: f}}}
	}
	for _, c := range []struct {
		name string
		item draw.Item
		area float64 // mm² of ink, 0 where it isn't looked at
	}{
		{"level line", draw.Rule{X1: 4, Y1: 8, X2: 22, Y2: 8, Width: 1}, 18},
		{"steep line", draw.Rule{X1: 22, Y1: 5, X2: 16, Y2: 23, Width: 2}, 2 * math.Hypot(6, 18)},
		{"flat line", draw.Rule{X1: 3, Y1: 5, X2: 26, Y2: 9, Width: 3}, 3 * math.Hypot(23, 4)},
		{"round line", draw.Rule{X1: 6, Y1: 25, X2: 22, Y2: 9, Width: 1.5, Round: true}, 0},
		{"box", draw.Box{X: 3, Y: 6, W: 12, H: 9}, 108},
		{"box with round corners", draw.Box{X: 3, Y: 6, W: 12, H: 9, Radius: 3}, 108 - (4-math.Pi)*9},
		{"box with corners as round as it is high", draw.Box{X: 3, Y: 6, W: 12, H: 8, Radius: 30}, 4*8 + math.Pi*16},
		{"box with corners as round as it is wide", draw.Box{X: 3, Y: 6, W: 8, H: 12, Radius: 30}, 4*8 + math.Pi*16},
		{"box outlined", draw.Box{X: 3, Y: 6, W: 12, H: 9, Width: 1}, 13*10 - 11*8 - (1 - math.Pi/4)},
		{"arch", path(0, move(4, 20), curve(8, 2, 18, 2, 24, 20)), 0},
		{"arch upside down", path(0, move(4, 10), curve(8, 28, 18, 28, 24, 10)), 0},
		{"bow to the left", path(0, move(20, 4), curve(-4, 8, 0, 20, 20, 26)), 0},
		{"bow to the right", path(0, move(10, 4), curve(34, 8, 30, 20, 10, 26)), 0},
		{"wave", path(0.5, move(3, 15), curve(14, -20, 14, 50, 25, 15)), 0},
		{"parabola", path(0.5, move(3, 5), curve(11, 25, 19, 25, 27, 5)), 0},
		{"leaning parabola", path(0.5, move(5, 3), curve(25, 11, 25, 19, 5, 27)), 0},
		{"angle", path(0, move(12, 3), line(26, 14), line(5, 24), draw.Step{Op: draw.Close}), 0},
		{"clef", draw.Glyph{Symbol: draw.GClef, X: 10, Y: 18, Space: 3.2}, 0},
		{"flag", draw.Glyph{Symbol: draw.Flag16thUp, X: 10, Y: 7, Space: 4}, 0},
	} {
		got, want := c.item.Bounds(), draw.Rect{}
		var area float64
		want, area = inked(t, c.item)
		for i, d := range [4]float64{got.X0 - want.X0, got.Y0 - want.Y0, got.X1 - want.X1, got.Y1 - want.Y1} {
			if math.Abs(d) > 0.2 {
				t.Errorf("%s: edge %d is said to lie %.2f mm from where the ink ends: %v, seen %v", c.name, i, d, got, want)
			}
		}
		if c.area > 0 && math.Abs(area-c.area) > 0.005*c.area+0.1 {
			t.Errorf("%s: %.2f mm² of ink, want %.2f", c.name, area, c.area)
		}
	}
	// A text is as wide as its letters go on, and as high as their ink.
	for _, x := range []draw.Text{
		{S: "Hxg", Font: draw.Serif, Size: 8, X: 4, Y: 15}, {S: "12", Font: draw.SansBold, Size: 9, X: 15, Y: 15, Anchor: draw.Middle},
		{S: "–", Font: draw.Sans, Size: 9, X: 25, Y: 15, Anchor: draw.End}, {S: "Q", Font: draw.SerifItalic, Size: 9, X: 10, Y: 15},
	} {
		got := x.Bounds()
		want, _ := inked(t, x)
		if math.Abs(got.Y0-want.Y0) > 0.15 || math.Abs(got.Y1-want.Y1) > 0.15 || got.X0 > want.X0+0.5 || got.X1 < want.X1-0.5 || got.X1-got.X0 > want.X1-want.X0+2.5 {
			t.Errorf("%q is said to lie in %v, its ink in %v", x.S, got, want)
		}
		left := map[draw.Anchor]float64{draw.Start: 0, draw.Middle: 0.5, draw.End: 1}[x.Anchor]
		if math.Abs(got.X0-(x.X-left*x.Width())) > 1e-9 || math.Abs(got.X1-got.X0-x.Width()) > 1e-9 {
			t.Errorf("%q reaches from %.2f to %.2f, and is %.2f wide", x.S, got.X0, got.X1, x.Width())
		}
	}
	if b := (draw.Text{S: " ", Font: draw.Serif, Size: 8, X: 4, Y: 15}).Bounds(); b.Y0 != 15 || b.Y1 != 15 || b.X1 <= b.X0 {
		t.Errorf("a space lies in %v", b)
	}
	if b := (draw.Rule{X1: 4, Y1: 5, X2: 4, Y2: 5, Width: 2}).Bounds(); b != (draw.Rect{X0: 4, Y0: 5, X1: 4, Y1: 5}) {
		t.Errorf("a line without length lies in %v", b)
	}
}

// TestRectangles: two that touch don't overlap, and one that grows takes its edges out.
func TestRectangles(t *testing.T) {
	r := draw.Rect{X0: 2, Y0: 3, X1: 5, Y1: 7}
	for _, c := range []struct {
		o    draw.Rect
		want bool
	}{
		{draw.Rect{X0: 4, Y0: 6, X1: 9, Y1: 9}, true}, {draw.Rect{X0: 3, Y0: 4, X1: 4, Y1: 5}, true}, {draw.Rect{X0: 0, Y0: 0, X1: 9, Y1: 9}, true},
		{draw.Rect{X0: 5, Y0: 3, X1: 9, Y1: 7}, false}, {draw.Rect{X0: 0, Y0: 3, X1: 2, Y1: 7}, false}, {draw.Rect{X0: 2, Y0: 7, X1: 5, Y1: 9}, false}, {draw.Rect{X0: 2, Y0: 0, X1: 5, Y1: 3}, false},
		{draw.Rect{X0: 6, Y0: 4, X1: 8, Y1: 5}, false}, {draw.Rect{X0: 3, Y0: 8, X1: 4, Y1: 9}, false},
	} {
		if r.Overlaps(c.o) != c.want || c.o.Overlaps(r) != c.want {
			t.Errorf("%v and %v overlap: %v, want %v", r, c.o, !c.want, c.want)
		}
	}
	if g := r.Grow(0.5); g != (draw.Rect{X0: 1.5, Y0: 2.5, X1: 5.5, Y1: 7.5}) {
		t.Errorf("half a millimetre larger it is %v", g)
	}
	if u := r.Union(draw.Rect{X0: 1, Y0: 5, X1: 3, Y1: 9}); u != (draw.Rect{X0: 1, Y0: 3, X1: 5, Y1: 9}) {
		t.Errorf("together they are %v", u)
	}
}
