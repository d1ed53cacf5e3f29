package sheet

import (
	"math"

	"lapwright/sheet/draw"
)

// canvas gathers the items of one system in staff spaces, with y = 0 on the
// staff's top line, and remembers where ink lies so that what is added later
// keeps clear of it.
type canvas struct {
	root  draw.Group
	stack []*draw.Group
	boxes []draw.Rect
}

func newCanvas() *canvas {
	c := &canvas{}
	c.stack = []*draw.Group{&c.root}
	return c
}

// begin opens a group; end closes it.
func (c *canvas) begin(class string, keys ...draw.Key) {
	g := &draw.Group{Class: class, Keys: keys}
	top := c.stack[len(c.stack)-1]
	top.Items = append(top.Items, g)
	c.stack = append(c.stack, g)
}

func (c *canvas) end() { c.stack = c.stack[:len(c.stack)-1] }

// add puts an item down and remembers its ink.
func (c *canvas) add(it draw.Item) draw.Rect {
	c.ghost(it)
	r := it.Bounds()
	c.boxes = append(c.boxes, r)
	return r
}

// ghost puts an item down that others need not keep clear of, such as a staff
// line.
func (c *canvas) ghost(it draw.Item) {
	top := c.stack[len(c.stack)-1]
	top.Items = append(top.Items, it)
}

func (c *canvas) glyph(s draw.Symbol, x, y, size float64) draw.Rect {
	return c.add(draw.Glyph{Symbol: s, X: x, Y: y, Space: size})
}

func (c *canvas) text(s string, f draw.Font, em, x, y float64, a draw.Anchor) draw.Rect {
	return c.add(draw.Text{S: s, Font: f, Size: em, X: x, Y: y, Anchor: a})
}

func (c *canvas) line(x1, y1, x2, y2, w float64) draw.Rect {
	return c.add(draw.Line{X1: x1, Y1: y1, X2: x2, Y2: y2, Width: w})
}

// topOver returns the highest ink between two places across, or floor when there
// is none above it.
func (c *canvas) topOver(x0, x1, floor float64) float64 {
	for _, b := range c.boxes {
		if b.X0 < x1 && b.X1 > x0 {
			floor = min(floor, b.Y0)
		}
	}
	return floor
}

// bottomUnder returns the lowest ink between two places across, down to ceiling.
// Only ink above limit counts, so that the staff can be asked about without
// the tablature under it.
func (c *canvas) bottomUnder(x0, x1, ceiling, limit float64) float64 {
	for _, b := range c.boxes {
		if b.X0 < x1 && b.X1 > x0 && b.Y0 < limit {
			ceiling = max(ceiling, b.Y1)
		}
	}
	return ceiling
}

// bounds returns the extent of all remembered ink.
func (c *canvas) bounds() draw.Rect {
	r := draw.Empty
	for _, b := range c.boxes {
		r = r.Union(b)
	}
	return r
}

// polygon is a filled shape with straight sides.
func polygon(points ...draw.Point) draw.Path {
	steps := make([]draw.Step, 0, len(points)+1)
	for i, p := range points {
		op := draw.LineTo
		if i == 0 {
			op = draw.MoveTo
		}
		steps = append(steps, draw.Step{Op: op, P: [3]draw.Point{p}})
	}
	return draw.Path{Steps: append(steps, draw.Step{Op: draw.Close})}
}

// bow is a tie or slur: a curve from a to b that rises by height (negative y is
// up when height is negative), thin at the ends and thicker in the middle.
func bow(x0, y0, x1, y1, height, ends, middle float64) draw.Path {
	d := x1 - x0
	lead := min(0.3*d, 2.2)
	// A cubic reaches three quarters of its control points' height.
	h := height / 0.75
	half := (middle - ends) / 0.75 / 2
	sign := math.Copysign(1, height)
	pt := func(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }
	slope := (y1 - y0) / max(d, 1e-9)
	c1 := pt(x0+lead, y0+lead*slope+h)
	c2 := pt(x1-lead, y1-lead*slope+h)
	e := ends / 2 * sign
	return draw.Path{Steps: []draw.Step{
		{Op: draw.MoveTo, P: [3]draw.Point{pt(x0, y0-e)}},
		{Op: draw.CurveTo, P: [3]draw.Point{pt(c1.X, c1.Y-e-half*sign), pt(c2.X, c2.Y-e-half*sign), pt(x1, y1-e)}},
		{Op: draw.LineTo, P: [3]draw.Point{pt(x1, y1+e)}},
		{Op: draw.CurveTo, P: [3]draw.Point{pt(c2.X, c2.Y+e+half*sign), pt(c1.X, c1.Y+e+half*sign), pt(x0, y0+e)}},
		{Op: draw.Close},
	}}
}
