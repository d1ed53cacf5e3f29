package draw

import "math"

// Drawing is everything that is printed as one document.
type Drawing struct {
	Title       string
	Language    string // BCP 47 tag of the words in it, "en" when empty
	Description string // what a person who can't see it should be told
	Pages       []*Page
	Bookmarks   []Bookmark
}

// Bookmark is one line of the document's outline.
type Bookmark struct {
	Title string
	Level int // 0 is outermost
	Page  int // counted from 0
	Y     float64
}

// Page is one sheet of paper.
type Page struct {
	W, H        float64 // millimetres
	Description string  // of this page alone; the drawing's own when empty
	Items       []Item
}

// Item is anything drawn. The types in this package are all there are.
type Item interface {
	// Bounds returns the smallest upright rectangle round the ink.
	Bounds() Rect
}

// Ink is a colour as 0xRRGGBB.
type Ink uint32

// The inks of a sheet. Everything that carries meaning is black or grey: a
// sheet must survive a photocopier.
const (
	Black Ink = 0x000000
	Grey  Ink = 0x5A5A5A // secondary: still 6.9:1 on white (WCAG 2.1 contrast formula)
	Pale  Ink = 0xC4C4C4 // guides and fills
	Faint Ink = 0xEEEEEE // grounds
	White Ink = 0xFFFFFF
)

// Rule is a straight stroke with square-cut ends, or round ones.
type Rule struct {
	X1, Y1, X2, Y2 float64
	Width          float64
	Round          bool
	Dash           float64 // length of dash and gap; 0 is solid
	Ink            Ink
}

// Box is a rectangle, filled when Width is 0, else outlined.
type Box struct {
	X, Y, W, H float64
	Radius     float64 // of the corners
	Width      float64
	Ink        Ink
}

// Op is one kind of step in a path.
type Op uint8

// The steps of a path.
const (
	MoveTo Op = iota
	LineTo
	CurveTo // P[0] and P[1] are the control points, P[2] the end
	Close
)

// Point is a place on the page.
type Point struct{ X, Y float64 }

// Step is one step of a path; MoveTo and LineTo use P[0].
type Step struct {
	Op Op
	P  [3]Point
}

// Path is a free shape, filled (non-zero winding) when Width is 0, else
// stroked with round joins and ends.
type Path struct {
	Steps []Step
	Width float64
	Ink   Ink
}

// Glyph is a symbol of the music font with its origin at X, Y.
type Glyph struct {
	Symbol Symbol
	X, Y   float64
	Space  float64 // millimetres to one staff space
	Ink    Ink
}

// Anchor says which part of a text stands at its X.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of words.
type Text struct {
	S      string
	Font   Font
	Size   float64 // millimetres to the em; PointMM·points
	X, Y   float64 // Y is the baseline
	Anchor Anchor
	Ink    Ink
}

// PointMM is one typographic point in millimetres: 1/72 inch (PostScript and
// PDF points).
const PointMM = 25.4 / 72

// Group holds items that belong together.
type Group struct {
	Class string // what it is, small letters and hyphens: "note", "stroke"
	Keys  []Key  // what it stands for
	Items []Item
}

// Key is one datum of a group, written as data-NAME in SVG. Names are small
// letters.
type Key struct{ Name, Value string }

// Rect is an upright rectangle with X0 ≤ X1 and Y0 ≤ Y1.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// Empty is the rectangle of nothing: the neutral element of Union.
var Empty = Rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}

// Union returns the smallest rectangle round both.
func (r Rect) Union(s Rect) Rect {
	return Rect{min(r.X0, s.X0), min(r.Y0, s.Y0), max(r.X1, s.X1), max(r.Y1, s.Y1)}
}

// Grow moves every edge outwards by d.
func (r Rect) Grow(d float64) Rect { return Rect{r.X0 - d, r.Y0 - d, r.X1 + d, r.Y1 + d} }

// Overlaps reports whether the two share an area.
func (r Rect) Overlaps(s Rect) bool {
	return r.X0 < s.X1 && s.X0 < r.X1 && r.Y0 < s.Y1 && s.Y0 < r.Y1
}

// Bounds implements Item.
func (l Rule) Bounds() Rect {
	r := Rect{min(l.X1, l.X2), min(l.Y1, l.Y2), max(l.X1, l.X2), max(l.Y1, l.Y2)}
	h := l.Width / 2
	if l.Round {
		return r.Grow(h)
	}
	// Half the width, turned square to the line.
	dx, dy := l.X2-l.X1, l.Y2-l.Y1
	if n := math.Hypot(dx, dy); n > 0 {
		ox, oy := h*math.Abs(dy)/n, h*math.Abs(dx)/n
		return Rect{r.X0 - ox, r.Y0 - oy, r.X1 + ox, r.Y1 + oy}
	}
	return r
}

// Bounds implements Item.
func (b Box) Bounds() Rect {
	return Rect{b.X, b.Y, b.X + b.W, b.Y + b.H}.Grow(b.Width / 2)
}

// Outline returns a box as a path; round corners are quarter circles drawn as
// cubic curves (the usual constant 4/3·(√2−1)).
func (b Box) Outline() []Step {
	x0, y0, x1, y1 := b.X, b.Y, b.X+b.W, b.Y+b.H
	r := min(b.Radius, b.W/2, b.H/2)
	if r <= 0 {
		return []Step{{MoveTo, [3]Point{{x0, y0}}}, {LineTo, [3]Point{{x1, y0}}}, {LineTo, [3]Point{{x1, y1}}}, {LineTo, [3]Point{{x0, y1}}}, {Op: Close}}
	}
	const k = 1 - 0.5522847498
	c := r * k
	return []Step{
		{MoveTo, [3]Point{{x0 + r, y0}}},
		{LineTo, [3]Point{{x1 - r, y0}}},
		{CurveTo, [3]Point{{x1 - c, y0}, {x1, y0 + c}, {x1, y0 + r}}},
		{LineTo, [3]Point{{x1, y1 - r}}},
		{CurveTo, [3]Point{{x1, y1 - c}, {x1 - c, y1}, {x1 - r, y1}}},
		{LineTo, [3]Point{{x0 + r, y1}}},
		{CurveTo, [3]Point{{x0 + c, y1}, {x0, y1 - c}, {x0, y1 - r}}},
		{LineTo, [3]Point{{x0, y0 + r}}},
		{CurveTo, [3]Point{{x0, y0 + c}, {x0 + c, y0}, {x0 + r, y0}}},
		{Op: Close},
	}
}

// Bounds implements Item. Curves are bounded by their extreme points, not by
// their control points.
func (p Path) Bounds() Rect {
	r := Empty
	add := func(q Point) { r = r.Union(Rect{q.X, q.Y, q.X, q.Y}) }
	var at Point
	for _, s := range p.Steps {
		switch s.Op {
		case MoveTo, LineTo:
			at = s.P[0]
			add(at)
		case CurveTo:
			add(s.P[2])
			for _, t := range extremes(at.X, s.P[0].X, s.P[1].X, s.P[2].X) {
				add(s.Along(at, t))
			}
			for _, t := range extremes(at.Y, s.P[0].Y, s.P[1].Y, s.P[2].Y) {
				add(s.Along(at, t))
			}
			at = s.P[2]
		}
	}
	return r.Grow(p.Width / 2)
}

// extremes returns the parameters in (0, 1) at which one coordinate of a cubic
// Bézier curve turns: the roots of its derivative.
func extremes(p0, p1, p2, p3 float64) []float64 {
	a := -p0 + 3*p1 - 3*p2 + p3
	b := 2 * (p0 - 2*p1 + p2)
	c := p1 - p0
	var out []float64
	keep := func(t float64) {
		if t > 0 && t < 1 {
			out = append(out, t)
		}
	}
	if math.Abs(a) < 1e-12 {
		if b != 0 {
			keep(-c / b)
		}
		return out
	}
	if d := b*b - 4*a*c; d >= 0 {
		s := math.Sqrt(d)
		keep((-b + s) / (2 * a))
		keep((-b - s) / (2 * a))
	}
	return out
}

// Along returns the point of a cubic Bézier curve from p0 at t from 0 to 1.
func (s Step) Along(p0 Point, t float64) Point {
	p, u := s.P, 1-t
	w0, w1, w2, w3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
	return Point{
		w0*p0.X + w1*p[0].X + w2*p[1].X + w3*p[2].X,
		w0*p0.Y + w1*p[0].Y + w2*p[1].Y + w3*p[2].Y,
	}
}

// Bounds implements Item.
func (g Glyph) Bounds() Rect {
	b := g.Symbol.Box()
	return Rect{g.X + b.X0*g.Space, g.Y + b.Y0*g.Space, g.X + b.X1*g.Space, g.Y + b.Y1*g.Space}
}

// Bounds implements Item. Across, it is the advance width; up and down, the
// ink of the letters.
func (t Text) Bounds() Rect {
	w := t.Width()
	x := t.X - w*[...]float64{0, 0.5, 1}[t.Anchor]
	up, down := t.Font.Ink(t.S)
	return Rect{x, t.Y - up*t.Size, x + w, t.Y + down*t.Size}
}

// Bounds implements Item.
func (g *Group) Bounds() Rect {
	r := Empty
	for _, it := range g.Items {
		r = r.Union(it.Bounds())
	}
	return r
}

// Walk calls f for every item that is not a group, with the groups that it
// stands in, outermost first. The slice is reused between calls.
func (p *Page) Walk(f func(in []*Group, it Item)) {
	var in []*Group
	var walk func(items []Item)
	walk = func(items []Item) {
		for _, it := range items {
			if g, ok := it.(*Group); ok {
				in = append(in, g)
				walk(g.Items)
				in = in[:len(in)-1]
				continue
			}
			f(in, it)
		}
	}
	walk(p.Items)
}

// Lang returns the drawing's language, English where none is said.
func (d *Drawing) Lang() string {
	if d.Language == "" {
		return "en"
	}
	return d.Language
}
