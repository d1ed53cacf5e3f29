package ink

import (
	"math"

	"lapwright/sheet/draw"
)

// Canvas gathers the items of one system in staff spaces, with y = 0 on the
// staff's top line, and remembers where ink lies so that what is added later
// keeps clear of it.
type Canvas struct {
	Root  draw.Group
	stack []*draw.Group
	Boxes []draw.Rect
}

// New returns an empty canvas.
func New() *Canvas {
	c := &Canvas{}
	c.stack = []*draw.Group{&c.Root}
	return c
}

// Begin opens a group; End closes it.
func (c *Canvas) Begin(class string, keys ...draw.Key) {
	g := &draw.Group{Class: class, Keys: keys}
	top := c.stack[len(c.stack)-1]
	top.Items = append(top.Items, g)
	c.stack = append(c.stack, g)
}

// End closes the group that was opened last.
func (c *Canvas) End() { c.stack = c.stack[:len(c.stack)-1] }

// Add puts an item down and remembers its ink.
func (c *Canvas) Add(it draw.Item) draw.Rect {
	c.Ghost(it)
	r := it.Bounds()
	c.Boxes = append(c.Boxes, r)
	return r
}

// Ghost puts an item down that others need not keep clear of, such as a staff
// line.
func (c *Canvas) Ghost(it draw.Item) {
	top := c.stack[len(c.stack)-1]
	top.Items = append(top.Items, it)
}

// Glyph adds a symbol, size staff spaces to the space.
func (c *Canvas) Glyph(s draw.Symbol, x, y, size float64) draw.Rect {
	return c.Add(draw.Glyph{Symbol: s, X: x, Y: y, Space: size})
}

// Text adds words.
func (c *Canvas) Text(s string, f draw.Font, em, x, y float64, a draw.Anchor) draw.Rect {
	return c.Add(draw.Text{S: s, Font: f, Size: em, X: x, Y: y, Anchor: a})
}

// Line adds a straight line of width w.
func (c *Canvas) Line(x1, y1, x2, y2, w float64) draw.Rect {
	return c.Add(draw.Rule{X1: x1, Y1: y1, X2: x2, Y2: y2, Width: w})
}

// TopOver returns the highest ink between two places across, or floor when there
// is none above it.
func (c *Canvas) TopOver(x0, x1, floor float64) float64 {
	for _, b := range c.Boxes {
		if b.X0 < x1 && b.X1 > x0 {
			floor = min(floor, b.Y0)
		}
	}
	return floor
}

// BottomUnder returns the lowest ink between two places across, down to ceiling.
// Only ink above limit counts, so that the staff can be asked about without
// the tablature under it.
func (c *Canvas) BottomUnder(x0, x1, ceiling, limit float64) float64 {
	for _, b := range c.Boxes {
		if b.X0 < x1 && b.X1 > x0 && b.Y0 < limit {
			ceiling = max(ceiling, b.Y1)
		}
	}
	return ceiling
}

// Bounds returns the extent of all remembered ink.
func (c *Canvas) Bounds() draw.Rect {
	r := draw.Empty
	for _, b := range c.Boxes {
		r = r.Union(b)
	}
	return r
}

// Polygon is a filled shape with straight sides.
func Polygon(points ...draw.Point) draw.Path {
	var steps []draw.Step
	for i, p := range points {
		op := draw.LineTo
		if i == 0 {
			op = draw.MoveTo
		}
		steps = append(steps, draw.Step{Op: op, P: [3]draw.Point{p}})
	}
	return draw.Path{Steps: append(steps, draw.Step{Op: draw.Close})}
}

// Bow is a tie or slur: a curve from a to b that rises by height (negative y is
// up when height is negative), thin at the ends and thicker in the middle.
func Bow(x0, y0, x1, y1, height, ends, middle float64) draw.Path {
	d := x1 - x0
	lead := min(0.3*d, 2.2)
	// A cubic reaches three quarters of its control points' height.
	h := height / 0.75
	half := math.Copysign((middle-ends)/0.75/2, height)
	pt := func(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }
	slope := (y1 - y0) / max(d, 1e-9)
	c1 := pt(x0+lead, y0+lead*slope+h)
	c2 := pt(x1-lead, y1-lead*slope+h)
	e := math.Copysign(ends/2, height)
	return draw.Path{Steps: []draw.Step{
		{Op: draw.MoveTo, P: [3]draw.Point{pt(x0, y0-e)}},
		{Op: draw.CurveTo, P: [3]draw.Point{pt(c1.X, c1.Y-e-half), pt(c2.X, c2.Y-e-half), pt(x1, y1-e)}},
		{Op: draw.LineTo, P: [3]draw.Point{pt(x1, y1+e)}},
		{Op: draw.CurveTo, P: [3]draw.Point{pt(c2.X, c2.Y+e+half), pt(c1.X, c1.Y+e+half), pt(x0, y0+e)}},
		{Op: draw.Close},
	}}
}

// Wave is the wavy line of a spread chord.
func Wave(x, y0, y1 float64) draw.Path {
	steps := []draw.Step{{Op: draw.MoveTo, P: [3]draw.Point{{X: x, Y: y1}}}}
	side := 0.25
	for at := y1; at > y0; at -= 0.5 {
		end := max(at-0.5, y0)
		steps = append(steps, draw.Step{Op: draw.CurveTo, P: [3]draw.Point{{X: x + side, Y: at - 0.15}, {X: x + side, Y: end + 0.15}, {X: x, Y: end}}})
		side = -side
	}
	return draw.Path{Steps: steps, Width: 0.16}
}

// NoseMark is the tip of the steel beside a number whose left edge is at x: a
// small wedge that points at it.
func NoseMark(x, y float64) draw.Path {
	return Polygon(draw.Point{X: x - 0.15, Y: y}, draw.Point{X: x - 0.7, Y: y - 0.36}, draw.Point{X: x - 0.7, Y: y + 0.36})
}
