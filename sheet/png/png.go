// Package png draws a page of a drawing as a picture (Portable Network Graphics,
// ISO/IEC 15948).
//
// Entry point: Write.
package png

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"

	"golang.org/x/image/vector"

	"lapwright/sheet/draw"
	"lapwright/sheet/face"
)

// The resolutions that Write accepts, in dots an inch.
const (
	MinDPI = 20
	MaxDPI = 1200
)

// Write returns one page (counted from 0) as a picture on white at the given
// resolution in dots an inch.
func Write(d *draw.Drawing, page int, dpi float64) ([]byte, error) {
	if page < 0 || page >= len(d.Pages) {
		return nil, fmt.Errorf("the drawing has %d pages, and page %d was asked for", len(d.Pages), page+1)
	}
	if !(dpi >= MinDPI && dpi <= MaxDPI) {
		return nil, fmt.Errorf("resolution %g is not from %d to %d dots an inch", dpi, MinDPI, MaxDPI)
	}
	if l := d.Lacking(); len(l) > 0 {
		return nil, fmt.Errorf("the music font has no symbol at U+%04X", rune(l[0]))
	}
	p := d.Pages[page]
	k := dpi / 25.4
	w, h := int(math.Ceil(p.W*k)), int(math.Ceil(p.H*k))
	c := &canvas{img: image.NewNRGBA(image.Rect(0, 0, w, h)), k: k}
	for i := range c.img.Pix {
		c.img.Pix[i] = 0xFF
	}
	c.items(p.Items)
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&out, c.img); err != nil {
		return nil, fmt.Errorf("writing the PNG: %w", err)
	}
	return out.Bytes(), nil
}

// canvas rasterises items one at a time, each in its own small mask.
type canvas struct {
	img  *image.NRGBA
	k    float64 // pixels to a millimetre
	z    vector.Rasterizer
	mask image.Alpha
}

func (c *canvas) items(items []draw.Item) {
	for _, it := range items {
		switch it := it.(type) {
		case *draw.Group:
			c.items(it.Items)
		case draw.Rule:
			c.line(it)
		case draw.Box:
			if it.Width > 0 {
				c.stroke(it.Outline(), it.Width, it.Ink)
			} else {
				c.fill(it.Outline(), it.Ink)
			}
		case draw.Path:
			if it.Width > 0 {
				c.stroke(it.Steps, it.Width, it.Ink)
			} else {
				c.fill(it.Steps, it.Ink)
			}
		case draw.Glyph:
			c.fill(place(it.Symbol.Outline(), it.X, it.Y, it.Space), it.Ink)
		case draw.Text:
			x := it.X - it.Width()*[...]float64{0, 0.5, 1}[it.Anchor]
			for _, run := range it.Font.Runs(it.S) {
				for _, r := range run.Text {
					if g := face.Of(run.Font).Letter(r); g != nil {
						c.fill(place(g.Steps, x, it.Y, it.Size), it.Ink)
						x += g.Advance * it.Size
					}
				}
			}
		}
	}
}

// place scales steps and moves their origin to x, y.
func place(steps []draw.Step, x, y, scale float64) []draw.Step {
	out := make([]draw.Step, len(steps))
	for i, s := range steps {
		for j, p := range s.P {
			s.P[j] = draw.Point{X: x + p.X*scale, Y: y + p.Y*scale}
		}
		out[i] = s
	}
	return out
}

func (c *canvas) fill(steps []draw.Step, ink draw.Ink) {
	if len(steps) == 0 {
		return
	}
	b := draw.Path{Steps: steps}.Bounds()
	area := image.Rect(int(math.Floor(b.X0*c.k)), int(math.Floor(b.Y0*c.k)), int(math.Ceil(b.X1*c.k))+1, int(math.Ceil(b.Y1*c.k))+1).Intersect(c.img.Bounds())
	if area.Empty() {
		return
	}
	c.z.Reset(area.Dx(), area.Dy())
	x0, y0 := float64(area.Min.X), float64(area.Min.Y)
	pt := func(p draw.Point) (float32, float32) { return float32(p.X*c.k - x0), float32(p.Y*c.k - y0) }
	for _, s := range steps {
		switch s.Op {
		case draw.MoveTo:
			x, y := pt(s.P[0])
			c.z.MoveTo(x, y)
		case draw.LineTo:
			x, y := pt(s.P[0])
			c.z.LineTo(x, y)
		case draw.CurveTo:
			ax, ay := pt(s.P[0])
			bx, by := pt(s.P[1])
			x, y := pt(s.P[2])
			c.z.CubeTo(ax, ay, bx, by, x, y)
		case draw.Close:
			c.z.ClosePath()
		}
	}
	n := area.Dx() * area.Dy()
	if cap(c.mask.Pix) < n {
		c.mask.Pix = make([]uint8, n)
	}
	c.mask.Pix = c.mask.Pix[:n]
	clear(c.mask.Pix)
	c.mask.Stride, c.mask.Rect = area.Dx(), image.Rect(0, 0, area.Dx(), area.Dy())
	c.z.Draw(&c.mask, c.mask.Rect, image.Opaque, image.Point{})
	r, g, bl := ink.RGB()
	for y := range area.Dy() {
		row := c.mask.Pix[y*area.Dx():]
		for x := range area.Dx() {
			if a := row[x]; a > 0 {
				c.blend(area.Min.X+x, area.Min.Y+y, color.NRGBA{r, g, bl, a})
			}
		}
	}
}

func (c *canvas) blend(x, y int, over color.NRGBA) {
	i := c.img.PixOffset(x, y)
	a := int(over.A)
	for j, v := range [3]uint8{over.R, over.G, over.B} {
		c.img.Pix[i+j] = uint8((int(c.img.Pix[i+j])*(255-a) + int(v)*a + 127) / 255)
	}
}

func (c *canvas) line(l draw.Rule) {
	dx, dy := l.X2-l.X1, l.Y2-l.Y1
	n := math.Hypot(dx, dy)
	if n == 0 {
		return
	}
	if l.Dash > 0 {
		for at := 0.0; at < n; at += 2 * l.Dash {
			to := min(at+l.Dash, n)
			c.line(draw.Rule{X1: l.X1 + dx*at/n, Y1: l.Y1 + dy*at/n, X2: l.X1 + dx*to/n, Y2: l.Y1 + dy*to/n, Width: l.Width, Round: l.Round, Ink: l.Ink})
		}
		return
	}
	if l.Round {
		c.stroke([]draw.Step{{Op: draw.MoveTo, P: [3]draw.Point{{X: l.X1, Y: l.Y1}}}, {Op: draw.LineTo, P: [3]draw.Point{{X: l.X2, Y: l.Y2}}}}, l.Width, l.Ink)
		return
	}
	c.fill(quad(draw.Point{X: l.X1, Y: l.Y1}, draw.Point{X: l.X2, Y: l.Y2}, l.Width), l.Ink)
}

// quad is a straight stroke as a filled shape, always wound the same way.
func quad(a, b draw.Point, width float64) []draw.Step {
	dx, dy := b.X-a.X, b.Y-a.Y
	n := math.Hypot(dx, dy)
	ox, oy := -dy/n*width/2, dx/n*width/2
	return []draw.Step{
		{Op: draw.MoveTo, P: [3]draw.Point{{X: a.X + ox, Y: a.Y + oy}}},
		{Op: draw.LineTo, P: [3]draw.Point{{X: a.X - ox, Y: a.Y - oy}}},
		{Op: draw.LineTo, P: [3]draw.Point{{X: b.X - ox, Y: b.Y - oy}}},
		{Op: draw.LineTo, P: [3]draw.Point{{X: b.X + ox, Y: b.Y + oy}}},
		{Op: draw.Close},
	}
}

// stroke fills the outline of a stroked path: a quad for each straight piece
// and a disc at each joint, all wound the same way so that overlaps add up.
func (c *canvas) stroke(steps []draw.Step, width float64, ink draw.Ink) {
	var out []draw.Step
	var at, start draw.Point
	disc := func(p draw.Point) {
		// Twelve corners are round enough for strokes of a few pixels.
		const n = 12
		for i := range n {
			a := 2 * math.Pi * float64(i) / n
			q := draw.Point{X: p.X + math.Cos(a)*width/2, Y: p.Y + math.Sin(a)*width/2}
			op := draw.LineTo
			if i == 0 {
				op = draw.MoveTo
			}
			out = append(out, draw.Step{Op: op, P: [3]draw.Point{q}})
		}
		out = append(out, draw.Step{Op: draw.Close})
	}
	to := func(p draw.Point) {
		if p != at {
			out = append(out, quad(at, p, width)...)
			disc(p)
		}
		at = p
	}
	for _, s := range steps {
		switch s.Op {
		case draw.MoveTo:
			at, start = s.P[0], s.P[0]
			disc(at)
		case draw.LineTo:
			to(s.P[0])
		case draw.CurveTo:
			from := at
			const n = 24
			for i := 1; i <= n; i++ {
				to(s.Along(from, float64(i)/n))
			}
		case draw.Close:
			to(start)
		}
	}
	c.fill(out, ink)
}
