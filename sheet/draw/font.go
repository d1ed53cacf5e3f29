package draw

import (
	"math"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"

	"lapwright/third_party/bravura"
	"lapwright/third_party/dejavu"
	"lapwright/third_party/gentium"
)

// Font is the part a text plays; the part decides the typeface.
type Font uint8

// The parts.
const (
	Serif       Font = iota // words, chord symbols, lyrics
	SerifItalic             // directions
	SerifBold               // titles, tempo
	Sans                    // labels, tab numbers
	SansBold
	fonts
)

// face is one font file, read on first use.
type face struct {
	name   string // as PDF and SVG call it
	family string // CSS family, with what to use where it is not installed
	bold   bool
	italic bool
	ttf    []byte

	once  sync.Once
	font  *sfnt.Font
	units float64 // font units to the em

	mu     sync.Mutex
	buf    sfnt.Buffer
	glyphs map[rune]*shape
}

// shape is the outline of one character.
type shape struct {
	index   sfnt.GlyphIndex
	steps   []Step  // in ems (staff spaces for music), y down
	box     Rect    // of the ink
	advance float64 // in ems (staff spaces for music)
}

// What a browser takes where the sheet's own fonts are not installed: the fonts
// of the pages that sheets stand in, then what most machines have.
const (
	serifFamily = "'Gentium Plus',Gentium,'Source Serif 4 Variable',Georgia,'Times New Roman',serif"
	sansFamily  = "'DejaVu Sans Condensed','DejaVu Sans','Source Sans 3 Variable',Verdana,Arial,sans-serif"
)

var faces = [fonts]*face{
	Serif:       {name: "serif", family: serifFamily, ttf: gentium.Regular},
	SerifItalic: {name: "serif-italic", family: serifFamily, italic: true, ttf: gentium.Italic},
	SerifBold:   {name: "serif-bold", family: serifFamily, bold: true, ttf: gentium.Bold},
	Sans:        {name: "sans", family: sansFamily, ttf: dejavu.Regular},
	SansBold:    {name: "sans-bold", family: sansFamily, bold: true, ttf: dejavu.Bold},
}

var music = &face{name: "music", ttf: bravura.OTF}

func (f *face) load() {
	f.once.Do(func() {
		var err error
		if f.font, err = sfnt.Parse(f.ttf); err != nil {
			panic("draw: the built-in font " + f.name + " does not read: " + err.Error())
		}
		f.units = float64(f.font.UnitsPerEm())
		f.glyphs = map[rune]*shape{}
	})
}

// glyph returns the outline of a character, or nil when the font lacks it.
func (f *face) glyph(r rune, unit float64) *shape {
	f.load()
	f.mu.Lock()
	defer f.mu.Unlock()
	if s, ok := f.glyphs[r]; ok {
		return s
	}
	s := f.read(r, unit)
	f.glyphs[r] = s
	return s
}

// read fetches an outline, scaled so that unit font units are 1.
func (f *face) read(r rune, unit float64) *shape {
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
	s := &shape{index: i}
	pt := func(p fixed.Point26_6) Point {
		return Point{float64(p.X) / 64 / unit, float64(p.Y) / 64 / unit}
	}
	var at Point
	open := false
	for _, g := range segs {
		switch g.Op {
		case sfnt.SegmentOpMoveTo:
			if open {
				s.steps = append(s.steps, Step{Op: Close})
			}
			open = true
			at = pt(g.Args[0])
			s.steps = append(s.steps, Step{MoveTo, [3]Point{at}})
		case sfnt.SegmentOpLineTo:
			at = pt(g.Args[0])
			s.steps = append(s.steps, Step{LineTo, [3]Point{at}})
		case sfnt.SegmentOpQuadTo:
			c, e := pt(g.Args[0]), pt(g.Args[1])
			s.steps = append(s.steps, Step{CurveTo, [3]Point{
				{at.X + (c.X-at.X)*2/3, at.Y + (c.Y-at.Y)*2/3},
				{e.X + (c.X-e.X)*2/3, e.Y + (c.Y-e.Y)*2/3}, e}})
			at = e
		case sfnt.SegmentOpCubeTo:
			at = pt(g.Args[2])
			s.steps = append(s.steps, Step{CurveTo, [3]Point{pt(g.Args[0]), pt(g.Args[1]), at}})
		}
	}
	if open {
		s.steps = append(s.steps, Step{Op: Close})
	}
	s.box = Path{Steps: s.steps}.Bounds()
	if len(s.steps) == 0 {
		s.box = Rect{}
	}
	if a, err := f.font.GlyphAdvance(&f.buf, i, ppem, font.HintingNone); err == nil {
		s.advance = float64(a) / 64 / unit
	}
	return s
}

// outline returns a music symbol in staff spaces, of which four make an em.
func outline(s Symbol) *shape {
	music.load()
	return music.glyph(rune(s), music.units/4)
}

func (f *face) letter(r rune) *shape {
	f.load()
	return f.glyph(r, f.units)
}

// run is a stretch of text set from one font file.
type run struct {
	face  *face
	text  string
	width float64 // in ems
}

// missing stands in for a letter that no font has.
const missing = '\u25A1'

// unshaped are scripts whose letters must be joined, reordered or set from
// right to left to be read, which these sheets don't do.
var unshaped = []*unicode.RangeTable{
	unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko,
	unicode.Devanagari, unicode.Bengali, unicode.Tamil, unicode.Thai, unicode.Lao, unicode.Khmer, unicode.Myanmar,
}

// find returns the font file that a letter is set from: the part's own, else the
// sans-serif. It reports false when neither has it.
func (f Font) find(r rune) (*face, bool) {
	own := faces[f]
	if unicode.IsOneOf(unshaped, r) {
		return own, false
	}
	if own.letter(r) != nil {
		return own, true
	}
	second := faces[Sans]
	if own.bold {
		second = faces[SansBold]
	}
	if second.letter(r) != nil {
		return second, true
	}
	return own, false
}

// clean makes a text fit to set: composed form, white space as plain spaces,
// no control characters.
func clean(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] > '~' {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	out := make([]rune, 0, len(s))
	for _, r := range norm.NFC.String(s) {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || r == '\u00A0':
			out = append(out, ' ')
		case unicode.IsControl(r) || r == '\u200B' || r == '\uFEFF':
		case unicode.In(r, unicode.Bidi_Control) || r >= 0xFFFE && r <= 0xFFFF:
		default:
			out = append(out, r)
		}
	}
	return string(out)
}

// runs splits a text by font file and replaces letters that no font has.
func (f Font) runs(s string) []run {
	var out []run
	var text []byte
	var fc *face
	width := 0.0
	end := func() {
		if len(text) > 0 {
			out = append(out, run{fc, string(text), width})
		}
		text, width = text[:0], 0
	}
	f.letters(s, func(r rune, in *face, g *shape) {
		if in != fc {
			end()
			fc = in
		}
		text = utf8.AppendRune(text, r)
		width += g.advance
	})
	end()
	return out
}

// letters calls each for every letter of a text as it is set: with its font
// file, and the square in place of what no font has.
func (f Font) letters(s string, each func(r rune, in *face, g *shape)) {
	for _, r := range clean(s) {
		in, ok := f.find(r)
		if !ok {
			r = missing
			in, _ = f.find(missing)
		}
		if g := in.letter(r); g != nil {
			each(r, in, g)
		}
	}
}

// Width returns the advance width of the text in millimetres.
func (t Text) Width() float64 { return t.Font.Width(t.S) * t.Size }

// Width returns the advance width of a text in ems, without kerning.
func (f Font) Width(s string) float64 {
	w := 0.0
	f.letters(s, func(_ rune, _ *face, g *shape) { w += g.advance })
	return w
}

// Ink returns how far the letters of s reach above and below the baseline, in
// ems, both positive outwards: down is negative for letters that float above
// it. A text without ink gives 0.
func (f Font) Ink(s string) (up, down float64) {
	up, down = math.Inf(-1), math.Inf(-1)
	f.letters(s, func(_ rune, _ *face, g *shape) {
		if len(g.steps) > 0 {
			up, down = max(up, -g.box.Y0), max(down, g.box.Y1)
		}
	})
	if math.IsInf(up, -1) {
		return 0, 0
	}
	return up, down
}

// Prints reports whether every letter of a text can be printed, and which can't.
func (f Font) Prints(s string) (lacking []rune, ok bool) {
	for _, r := range clean(s) {
		if _, ok := f.find(r); !ok {
			lacking = append(lacking, r)
		}
	}
	return lacking, len(lacking) == 0
}

// Unprinted lists the texts of the drawing that hold letters no font has, each
// once, in order. A square stands in for them in print; the SVG keeps them.
func (d *Drawing) Unprinted() []string {
	var out []string
	seen := map[string]bool{}
	for _, p := range d.Pages {
		p.Walk(func(_ []*Group, it Item) {
			if t, ok := it.(Text); ok && !seen[t.S] {
				seen[t.S] = true
				if _, ok := t.Font.Prints(t.S); !ok {
					out = append(out, t.S)
				}
			}
		})
	}
	return out
}

// Lacking lists the music symbols of the drawing that the music font lacks. It
// is empty for every drawing made of the symbols named in this package.
func (d *Drawing) Lacking() []Symbol {
	var out []Symbol
	for _, p := range d.Pages {
		p.Walk(func(_ []*Group, it Item) {
			if g, ok := it.(Glyph); ok && !g.Symbol.Known() {
				out = append(out, g.Symbol)
			}
		})
	}
	return out
}
