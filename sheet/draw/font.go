package draw

import (
	"math"
	"unicode"
	"unicode/utf8"
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
	Fonts // how many there are
)

// style is what an SVG says of a font.
type style struct {
	family string // CSS family, with what to use where it is not installed
	bold   bool
	italic bool
}

// What a browser takes where the sheet's own fonts are not installed: the fonts
// of the pages that sheets stand in, then what most machines have.
const (
	serifFamily = "'Gentium Plus',Gentium,'Source Serif 4 Variable',Georgia,'Times New Roman',serif"
	sansFamily  = "'DejaVu Sans Condensed','DejaVu Sans','Source Sans 3 Variable',Verdana,Arial,sans-serif"
)

var styles = [Fonts]style{
	Serif:       {family: serifFamily},
	SerifItalic: {family: serifFamily, italic: true},
	SerifBold:   {family: serifFamily, bold: true},
	Sans:        {family: sansFamily},
	SansBold:    {family: sansFamily, bold: true},
}

// Run is a stretch of text set from one font.
type Run struct {
	Font  Font
	Text  string
	Width float64 // in ems
}

// missing stands in for a letter that no font has.
const missing = '\u25A1'

// unshaped are scripts whose letters must be joined, reordered or set from
// right to left to be read, which these sheets don't do. No letter before
// firstUnshaped, where the block of Hebrew begins (Unicode, Blocks.txt), is of one.
var unshaped = []*unicode.RangeTable{
	unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko,
	unicode.Devanagari, unicode.Bengali, unicode.Tamil, unicode.Thai, unicode.Lao, unicode.Khmer, unicode.Myanmar,
}

const firstUnshaped = '\u0590'

// find returns the font that a letter is set from, with its measures: the part's
// own, else the sans-serif. It reports false when neither has it.
func (f Font) find(r rune) (Font, letter, bool) {
	if r >= firstUnshaped && unicode.IsOneOf(unshaped, r) {
		return f, letter{}, false
	}
	widths, _ := tables()
	if l, ok := widths[f].letter(r); ok {
		return f, l, true
	}
	second := Sans
	if styles[f].bold {
		second = SansBold
	}
	if l, ok := widths[second].letter(r); ok {
		return second, l, true
	}
	return f, letter{}, false
}

// Clean makes a text fit to set: composed form, white space as plain spaces,
// no control characters.
func Clean(s string) string {
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
	for _, r := range compose(s) {
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

// Runs splits a text by font and replaces letters that no font has.
func (f Font) Runs(s string) []Run {
	var out []Run
	var text []byte
	var current Font
	width := 0.0
	end := func() {
		if len(text) > 0 {
			out = append(out, Run{current, string(text), width})
		}
		text, width = text[:0], 0
	}
	f.letters(s, func(r rune, in Font, l letter) {
		if in != current {
			end()
			current = in
		}
		text = utf8.AppendRune(text, r)
		width += l.advance
	})
	end()
	return out
}

// letters calls each for every letter of a text as it is set: with its font, and
// the square in place of what no font has.
func (f Font) letters(s string, each func(r rune, in Font, l letter)) {
	for _, r := range Clean(s) {
		in, l, ok := f.find(r)
		if !ok {
			r = missing
			in, l, ok = f.find(missing)
		}
		if ok {
			each(r, in, l)
		}
	}
}

// Width returns the advance width of the text in millimetres.
func (t Text) Width() float64 { return t.Font.Width(t.S) * t.Size }

// Width returns the advance width of a text in ems, without kerning.
func (f Font) Width(s string) float64 {
	w := 0.0
	f.letters(s, func(_ rune, _ Font, l letter) { w += l.advance })
	return w
}

// Ink returns how far the letters of s reach above and below the baseline, in
// ems, both positive outwards: down is negative for letters that float above
// it. A text without ink gives 0.
func (f Font) Ink(s string) (up, down float64) {
	up, down = math.Inf(-1), math.Inf(-1)
	f.letters(s, func(_ rune, _ Font, l letter) {
		if l.ink {
			up, down = max(up, l.up), max(down, l.down)
		}
	})
	if math.IsInf(up, -1) {
		return 0, 0
	}
	return up, down
}

// Prints reports whether every letter of a text can be printed, and which can't.
func (f Font) Prints(s string) (lacking []rune, ok bool) {
	for _, r := range Clean(s) {
		if _, _, ok := f.find(r); !ok {
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
