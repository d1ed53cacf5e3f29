package png_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"

	"lapwright/sheet/draw"
	"lapwright/sheet/face"
	drawn "lapwright/sheet/png"
)

// dots is how many dots there are to a millimetre at 254 dots an inch.
const dots = 10

// picture draws items on a page of 12 by 9 mm.
func picture(t *testing.T, items ...draw.Item) image.Image {
	t.Helper()
	return pictureOf(t, &draw.Page{W: 12, H: 9, Items: items}, 25.4*dots)
}

func pictureOf(t *testing.T, p *draw.Page, dpi float64) image.Image {
	t.Helper()
	b, err := drawn.Write(&draw.Drawing{Pages: []*draw.Page{p}}, 0, dpi)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// level returns how much of a dot is red, green and blue, 0 to 1.
func level(c color.Color) [3]float64 {
	r, g, b, _ := c.RGBA()
	return [3]float64{float64(r) / 0xFFFF, float64(g) / 0xFFFF, float64(b) / 0xFFFF}
}

// shape says whether a place, in millimetres, is inked.
type shape func(x, y float64) bool

// segment is all that lies within r of a straight line.
func segment(x1, y1, x2, y2, r float64) shape {
	dx, dy := x2-x1, y2-y1
	return func(x, y float64) bool {
		u := max(0, min(1, ((x-x1)*dx+(y-y1)*dy)/(dx*dx+dy*dy)))
		return math.Hypot(x-x1-u*dx, y-y1-u*dy) <= r
	}
}

// squared is a straight line of a width with its ends cut off square.
func squared(x1, y1, x2, y2, width float64) shape {
	dx, dy := x2-x1, y2-y1
	n := math.Hypot(dx, dy)
	return func(x, y float64) bool {
		along, across := ((x-x1)*dx+(y-y1)*dy)/n, ((x-x1)*dy-(y-y1)*dx)/n
		return along >= 0 && along <= n && math.Abs(across) <= width/2
	}
}

func either(all ...shape) shape {
	return func(x, y float64) bool {
		for _, s := range all {
			if s(x, y) {
				return true
			}
		}
		return false
	}
}

// rounded is a rectangle with round corners.
func rounded(x0, y0, x1, y1, r float64) shape {
	return func(x, y float64) bool {
		dx, dy := max(x0+r-x, 0, x-x1+r), max(y0+r-y, 0, y-y1+r)
		return x >= x0 && x <= x1 && y >= y0 && y <= y1 && math.Hypot(dx, dy) <= max(r, 1e-9)
	}
}

// wound tells by the winding number what an outline fills (ISO 32000-1, 8.5.3.3.2): each
// piece that a ray to the right crosses counts 1 upwards and −1 downwards.
func wound(steps []draw.Step, ox, oy, k float64) shape {
	var pieces [][2]draw.Point
	var at, start draw.Point
	to := func(p draw.Point) {
		pieces = append(pieces, [2]draw.Point{{X: ox + at.X*k, Y: oy + at.Y*k}, {X: ox + p.X*k, Y: oy + p.Y*k}})
		at = p
	}
	for _, s := range steps {
		switch s.Op {
		case draw.MoveTo:
			at, start = s.P[0], s.P[0]
		case draw.LineTo:
			to(s.P[0])
		case draw.CurveTo:
			from := at
			for i := 1; i <= 12; i++ {
				t := float64(i) / 12
				u := 1 - t
				to(draw.Point{
					X: u*u*u*from.X + 3*u*u*t*s.P[0].X + 3*u*t*t*s.P[1].X + t*t*t*s.P[2].X,
					Y: u*u*u*from.Y + 3*u*u*t*s.P[0].Y + 3*u*t*t*s.P[1].Y + t*t*t*s.P[2].Y,
				})
			}
		case draw.Close:
			to(start)
		}
	}
	return func(x, y float64) bool {
		n := 0
		for _, p := range pieces {
			a, b := p[0], p[1]
			if (a.Y <= y) == (b.Y <= y) || a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y) <= x {
				continue
			}
			if a.Y < b.Y {
				n++
			} else {
				n--
			}
		}
		return n != 0
	}
}

func line(x, y float64) draw.Step {
	return draw.Step{Op: draw.LineTo, P: [3]draw.Point{{X: x, Y: y}}}
}
func move(x, y float64) draw.Step {
	return draw.Step{Op: draw.MoveTo, P: [3]draw.Point{{X: x, Y: y}}}
}

// letters is a text as the outlines of its letters, each after the width of those before.
func letters(f draw.Font, s string, x, y, em float64) shape {
	var all []shape
	for _, r := range s {
		l := face.Of(f).Letter(r)
		all = append(all, wound(l.Steps, x, y, em))
		x += l.Advance * em
	}
	return either(all...)
}

// TestEveryDot draws shapes, and holds each dot of the picture against how much of it the
// shape covers, by 64 places within it. Within a quarter of a dot: circles are drawn with
// corners, and 64 places are no more exact.
func TestEveryDot(t *testing.T) {
	wide := draw.SansBold.Width("V12")
	arch := [4]draw.Point{{X: 1, Y: 8}, {X: 4, Y: -2}, {X: 8, Y: 3}, {X: 10.3, Y: 8}}
	curve := either()
	for i := range 32 {
		p, q := along(arch, float64(i)/32), along(arch, float64(i+1)/32)
		curve = either(curve, segment(p.X, p.Y, q.X, q.Y, 0.2))
	}
	triangle := []draw.Step{move(2, 2), line(10.3, 3.1), line(5, 7.4), {Op: draw.Close}}
	hole := []draw.Step{move(1, 1), line(10, 1), line(10, 8), line(1, 8), {Op: draw.Close}, move(3, 3), line(3, 6), line(7, 6), line(7, 3), {Op: draw.Close}}
	for _, c := range []struct {
		name string
		item draw.Item
		in   shape
	}{
		{"box", draw.Box{X: 2.03, Y: 1.24, W: 4.4, H: 3.13}, rounded(2.03, 1.24, 6.43, 4.37, 0)},
		{"box with round corners", draw.Box{X: 2, Y: 1.5, W: 7, H: 5, Radius: 2}, rounded(2, 1.5, 9, 6.5, 2)},
		{"box outlined", draw.Box{X: 2, Y: 1.5, W: 7, H: 5, Width: 0.4}, either(segment(2, 1.5, 9, 1.5, 0.2), segment(9, 1.5, 9, 6.5, 0.2), segment(9, 6.5, 2, 6.5, 0.2), segment(2, 6.5, 2, 1.5, 0.2))},
		{"line", draw.Rule{X1: 1, Y1: 2, X2: 10.2, Y2: 7.3, Width: 0.73}, squared(1, 2, 10.2, 7.3, 0.73)},
		{"line to the left", draw.Rule{X1: 10.2, Y1: 2, X2: 3, Y2: 7.3, Width: 0.5}, squared(10.2, 2, 3, 7.3, 0.5)},
		{"round line", draw.Rule{X1: 2, Y1: 3, X2: 9.4, Y2: 5.2, Width: 0.4, Round: true}, segment(2, 3, 9.4, 5.2, 0.2)},
		{"dashes", draw.Rule{X1: 2, Y1: 2, X2: 10, Y2: 8, Width: 0.6, Dash: 0.9}, either(
			squared(2, 2, 2.72, 2.54, 0.6), squared(3.44, 3.08, 4.16, 3.62, 0.6), squared(4.88, 4.16, 5.6, 4.7, 0.6), squared(6.32, 5.24, 7.04, 5.78, 0.6), squared(7.76, 6.32, 8.48, 6.86, 0.6), squared(9.2, 7.4, 9.92, 7.94, 0.6))},
		{"dashes, the last cut short", draw.Rule{X1: 1, Y1: 4, X2: 6.5, Y2: 4, Width: 0.6, Dash: 1}, either(squared(1, 4, 2, 4, 0.6), squared(3, 4, 4, 4, 0.6), squared(5, 4, 6, 4, 0.6))},
		{"dashes, round", draw.Rule{X1: 1, Y1: 4, X2: 5.5, Y2: 4, Width: 0.4, Dash: 1, Round: true}, either(segment(1, 4, 2, 4, 0.2), segment(3, 4, 4, 4, 0.2), segment(5, 4, 5.5, 4, 0.2))},
		{"triangle", draw.Path{Steps: triangle}, wound(triangle, 0, 0, 1)},
		{"shape with a hole", draw.Path{Steps: hole}, wound(hole, 0, 0, 1)},
		{"triangle outlined", draw.Path{Steps: triangle, Width: 0.3}, either(segment(2, 2, 10.3, 3.1, 0.15), segment(10.3, 3.1, 5, 7.4, 0.15), segment(5, 7.4, 2, 2, 0.15))},
		{"curve", draw.Path{Width: 0.4, Steps: []draw.Step{move(1, 8), {Op: draw.CurveTo, P: [3]draw.Point{arch[1], arch[2], arch[3]}}}}, curve},
		{"symbol", draw.Glyph{Symbol: draw.GClef, X: 4, Y: 5.2, Space: 1.1}, wound(draw.GClef.Outline(), 4, 5.2, 1.1)},
		{"text", draw.Text{S: "V12", Font: draw.SansBold, Size: 4, X: 1, Y: 6}, letters(draw.SansBold, "V12", 1, 6, 4)},
		{"text about its middle", draw.Text{S: "V12", Font: draw.SansBold, Size: 4, X: 6, Y: 6, Anchor: draw.Middle}, letters(draw.SansBold, "V12", 6-wide*2, 6, 4)},
		{"text to its end", draw.Text{S: "V12", Font: draw.SansBold, Size: 4, X: 11, Y: 6, Anchor: draw.End}, letters(draw.SansBold, "V12", 11-wide*4, 6, 4)},
		{"in a group", &draw.Group{Items: []draw.Item{draw.Box{X: 1, Y: 1, W: 2, H: 2}, draw.Box{X: 5, Y: 4, W: 2, H: 2}}}, either(rounded(1, 1, 3, 3, 0), rounded(5, 4, 7, 6, 0))},
		{"over the upper left corner", draw.Box{X: -3, Y: -2, W: 5.3, H: 4.4}, rounded(-3, -2, 2.3, 2.4, 0)},
		{"over the lower right corner", draw.Box{X: 9.3, Y: 6.4, W: 9, H: 9}, rounded(9.3, 6.4, 99, 99, 0)},
		{"beside the page", draw.Box{X: 20, Y: 2, W: 9, H: 3}, either()},
		{"a line without length", draw.Rule{X1: 4, Y1: 4, X2: 4, Y2: 4, Width: 1}, either()},
		{"a shape without steps", draw.Path{}, either()},
	} {
		img := picture(t, c.item)
		worst, off, where := 0.0, 0.0, image.Point{}
		for y := range 9 * dots {
			for x := range 12 * dots {
				d := 1 - level(img.At(x, y))[0] - covered(c.in, float64(x)/dots, float64(y)/dots)
				if off += d; math.Abs(d) > worst {
					worst, where = math.Abs(d), image.Pt(x, y)
				}
			}
		}
		within := 0.28
		if s := c.name; s == "curve" || s == "triangle outlined" {
			within = 0.6 // where pieces of a stroke lie over one another at its edge, both ink the dot
		}
		if worst > within {
			t.Errorf("%s: the dot at %v is off by %.2f", c.name, where, worst)
		}
		if math.Abs(off) > 25 { // a quarter of a square millimetre
			t.Errorf("%s: %.1f dots more ink than its area", c.name, off)
		}
	}
}

// covered returns how much of the dot with its upper left corner at x, y a shape covers.
func covered(in shape, x, y float64) float64 {
	n := 0
	for i := range 3 {
		for j := range 3 {
			if in(x+float64(i)/2/dots, y+float64(j)/2/dots) {
				n++
			}
		}
	}
	if n == 0 || n == 9 { // nothing here is so fine as to slip through
		return float64(n) / 9
	}
	n = 0
	for i := range 8 {
		for j := range 8 {
			if in(x+(float64(i)+0.5)/8/dots, y+(float64(j)+0.5)/8/dots) {
				n++
			}
		}
	}
	return float64(n) / 64
}

// along is a point of a cubic Bézier curve (de Casteljau).
func along(p [4]draw.Point, t float64) draw.Point {
	q := p[:]
	for len(q) > 1 {
		var next []draw.Point
		for i := 1; i < len(q); i++ {
			next = append(next, draw.Point{X: q[i-1].X + t*(q[i].X-q[i-1].X), Y: q[i-1].Y + t*(q[i].Y-q[i-1].Y)})
		}
		q = next
	}
	return q[0]
}

// TestInksLieOverOneAnother: what is drawn later covers what is under it, by as much as it
// covers a dot, in its own colour.
func TestInksLieOverOneAnother(t *testing.T) {
	img := picture(t,
		draw.Box{X: 0, Y: 0, W: 6, H: 9, Ink: 0x2060C0},
		draw.Box{X: 0, Y: 3, W: 12, H: 3, Ink: draw.White},
		draw.Rule{X1: 0, Y1: 7.025, X2: 12, Y2: 7.025, Width: 0.05, Ink: 0xFF0000}, // half a dot high
	)
	for _, c := range []struct {
		x, y int
		want [3]float64 // of 255
	}{
		{10, 10, [3]float64{0x20, 0x60, 0xC0}}, {10, 40, [3]float64{255, 255, 255}}, {100, 10, [3]float64{255, 255, 255}},
		{10, 70, [3]float64{(0x20 + 255) / 2.0, 0x60 / 2, 0xC0 / 2}}, {100, 70, [3]float64{255, 255 / 2.0, 255 / 2.0}}, {10, 71, [3]float64{0x20, 0x60, 0xC0}},
	} {
		got := level(img.At(c.x, c.y))
		for i := range got {
			if math.Abs(255*got[i]-c.want[i]) > 1.01 {
				t.Errorf("at %d, %d: colour %d is %.1f of 255, want %.1f", c.x, c.y, i, 255*got[i], c.want[i])
			}
		}
	}
	if _, _, _, a := img.At(0, 0).RGBA(); a != 0xFFFF {
		t.Error("the page can be seen through")
	}
}

// TestSizes: a page has as many dots as cover it, at any resolution that is accepted.
func TestSizes(t *testing.T) {
	for _, c := range []struct {
		w, h, dpi float64
		x, y      int
	}{
		{25.4, 50.8, 20, 20, 40}, {25.4, 50.8, 72, 72, 144}, {12, 9.04, 254, 120, 91}, {10.01, 9, 254, 101, 90}, {2.54, 1.27, 1200, 120, 60},
	} {
		size := pictureOf(t, &draw.Page{W: c.w, H: c.h}, c.dpi).Bounds().Size()
		if size != image.Pt(c.x, c.y) {
			t.Errorf("%g by %g mm at %g dots an inch is %v dots, want %d by %d", c.w, c.h, c.dpi, size, c.x, c.y)
		}
	}
	d := &draw.Drawing{Pages: []*draw.Page{{W: 10, H: 10}}}
	for _, dpi := range []float64{0, 19.9, 1200.1, math.NaN(), math.Inf(1)} {
		if _, err := drawn.Write(d, 0, dpi); err == nil {
			t.Errorf("%g dots an inch", dpi)
		}
	}
	for _, page := range []int{-1, 1} {
		if _, err := drawn.Write(d, page, 72); err == nil {
			t.Errorf("page %d of one", page)
		}
	}
	d.Pages[0].Items = []draw.Item{draw.Glyph{Symbol: 0xF8FE, Space: 1}}
	if _, err := drawn.Write(d, 0, 72); err == nil {
		t.Error("a symbol that no font has")
	}
}
