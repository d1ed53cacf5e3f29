// Package face reads the font files that sheets are printed with: the outlines
// and widths of letters and music symbols, in ems and staff spaces.
//
// Pictures and PDF documents need the files; a drawing is laid out from tables
// of widths alone (third_party/letters), which internal/letters makes with this
// package.
//
// Entry points: Of, Music, File.Letter, File.Symbol.
package face

import (
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"lapwright/sheet/draw"
	"lapwright/third_party/bravura"
	"lapwright/third_party/dejavu"
	"lapwright/third_party/gentium"
)

// File is one font file, read on first use.
type File struct {
	Name string // as a PDF calls it
	Data []byte // the whole file: TrueType for letters, CFF for music

	once  sync.Once
	font  *sfnt.Font
	units float64 // font units to the em

	mu     sync.Mutex
	buf    sfnt.Buffer
	shapes map[rune]*Shape
}

// Shape is the outline of one character, y down from its origin.
type Shape struct {
	Steps   []draw.Step // in ems, or staff spaces for music
	Box     draw.Rect   // of the ink; the zero Rect where there is none
	Advance float64     // in ems, or staff spaces for music
}

var files = [draw.Fonts]*File{
	draw.Serif:       {Name: "serif", Data: gentium.Regular},
	draw.SerifItalic: {Name: "serif-italic", Data: gentium.Italic},
	draw.SerifBold:   {Name: "serif-bold", Data: gentium.Bold},
	draw.Sans:        {Name: "sans", Data: dejavu.Regular},
	draw.SansBold:    {Name: "sans-bold", Data: dejavu.Bold},
}

var music = &File{Name: "music", Data: bravura.OTF}

// Of returns the file of a font of words.
func Of(f draw.Font) *File { return files[f] }

// Music returns the file of the music font.
func Music() *File { return music }

// Letter returns the outline of a letter in ems, or nil when the file lacks it.
func (f *File) Letter(r rune) *Shape {
	f.load()
	return f.shape(r, f.units)
}

// Symbol returns the outline of a music symbol in staff spaces, of which four
// make an em, or nil when the file lacks it.
func (f *File) Symbol(s draw.Symbol) *Shape {
	f.load()
	return f.shape(rune(s), f.units/4)
}

// Units returns how many of the file's units make an em.
func (f *File) Units() float64 {
	f.load()
	return f.units
}

func (f *File) load() {
	f.once.Do(func() {
		var err error
		if f.font, err = sfnt.Parse(f.Data); err != nil {
			panic("face: the built-in font " + f.Name + " does not read: " + err.Error())
		}
		f.units = float64(f.font.UnitsPerEm())
		f.shapes = map[rune]*Shape{}
	})
}

func (f *File) shape(r rune, unit float64) *Shape {
	f.mu.Lock()
	defer f.mu.Unlock()
	if s, ok := f.shapes[r]; ok {
		return s
	}
	s := f.read(r, unit)
	f.shapes[r] = s
	return s
}

// read fetches an outline, scaled so that unit font units are 1.
func (f *File) read(r rune, unit float64) *Shape {
	if r > 0xFFFF { // the PDF library addresses letters by 16 bits
		return nil
	}
	i, err := f.font.GlyphIndex(&f.buf, r)
	if err != nil || i == 0 {
		return nil
	}
	// At one pixel per font unit the 26.6 fixed-point figures are exact.
	ppem := fixed.I(int(f.units))
	segs, err := f.font.LoadGlyph(&f.buf, i, ppem, nil)
	if err != nil {
		return nil
	}
	s := &Shape{Steps: steps(segs, unit)}
	if len(s.Steps) > 0 {
		s.Box = draw.Path{Steps: s.Steps}.Bounds()
	}
	if a, err := f.font.GlyphAdvance(&f.buf, i, ppem, font.HintingNone); err == nil {
		s.Advance = float64(a) / 64 / unit
	}
	return s
}

// steps turns a font's segments into a path of cubic curves, closed piece by
// piece.
func steps(segs sfnt.Segments, unit float64) []draw.Step {
	var out []draw.Step
	pt := func(p fixed.Point26_6) draw.Point {
		return draw.Point{X: float64(p.X) / 64 / unit, Y: float64(p.Y) / 64 / unit}
	}
	var at draw.Point
	open := false
	for _, g := range segs {
		switch g.Op {
		case sfnt.SegmentOpMoveTo:
			if open {
				out = append(out, draw.Step{Op: draw.Close})
			}
			open = true
			at = pt(g.Args[0])
			out = append(out, draw.Step{Op: draw.MoveTo, P: [3]draw.Point{at}})
		case sfnt.SegmentOpLineTo:
			at = pt(g.Args[0])
			out = append(out, draw.Step{Op: draw.LineTo, P: [3]draw.Point{at}})
		case sfnt.SegmentOpQuadTo:
			c, e := pt(g.Args[0]), pt(g.Args[1])
			out = append(out, draw.Step{Op: draw.CurveTo, P: [3]draw.Point{
				{X: at.X + (c.X-at.X)*2/3, Y: at.Y + (c.Y-at.Y)*2/3},
				{X: e.X + (c.X-e.X)*2/3, Y: e.Y + (c.Y-e.Y)*2/3}, e}})
			at = e
		case sfnt.SegmentOpCubeTo:
			at = pt(g.Args[2])
			out = append(out, draw.Step{Op: draw.CurveTo, P: [3]draw.Point{pt(g.Args[0]), pt(g.Args[1]), at}})
		}
	}
	if open {
		out = append(out, draw.Step{Op: draw.Close})
	}
	return out
}
