package draw

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// SVG returns one page (counted from 0) as a whole SVG document. A page that
// does not exist gives nil.
//
// The document is a picture whose name is its title, with a description for
// readers who can't see it; its text stays text, and each text carries its length so that
// another font in the reader's machine can't push it into its neighbours. All
// ids begin with a mark made from the content, so that many pages can stand in
// one HTML document.
func SVG(d *Drawing, page int) []byte {
	if page < 0 || page >= len(d.Pages) {
		return nil
	}
	p := d.Pages[page]
	w := &svgWriter{used: map[Symbol]bool{}}
	w.items(p.Items)
	body := w.b.Bytes()

	desc := p.Description
	if desc == "" {
		desc = d.Description
	}
	title := d.Title
	if len(d.Pages) > 1 {
		title = fmt.Sprintf("%s, page %d of %d", title, page+1, len(d.Pages))
	}
	h := fnv.New64a()
	h.Write([]byte(title + "\x00" + desc + "\x00"))
	h.Write(body)
	id := "s" + strconv.FormatUint(h.Sum64(), 36)

	var out bytes.Buffer
	out.Grow(len(body) + len(body)/8) // with what goes before it
	lang := escape(d.Lang())
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-t" aria-describedby="%s-d" lang="%s" xml:lang="%s" font-family="%s">`,
		num(p.W), num(p.H), num(p.W), num(p.H), id, id, lang, lang, sansFamily)
	fmt.Fprintf(&out, "\n<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n", id, escape(title), id, escape(desc))
	if len(w.used) > 0 {
		out.WriteString("<defs>\n")
		symbols := make([]Symbol, 0, len(w.used))
		for s := range w.used {
			symbols = append(symbols, s)
		}
		slices.Sort(symbols)
		for _, s := range symbols {
			// Thousandths of a staff space, so that the figures stay short.
			fmt.Fprintf(&out, "<path id=\"%s-%s\" d=\"%s\"/>\n", id, s, pathData(outline(s).steps, 1000, 0))
		}
		out.WriteString("</defs>\n")
	}
	out.Write(bytes.ReplaceAll(body, []byte(symbolMark), []byte(id+"-")))
	out.WriteString("</svg>\n")
	return out.Bytes()
}

// symbolMark stands for the document's mark until the body is known. It can't
// come from a text, in which control characters are removed.
const symbolMark = "\x01"

type svgWriter struct {
	b    bytes.Buffer
	used map[Symbol]bool
}

// put writes texts one behind the other. A sheet has thousands of them, which a browser's program writes several times as fast as
// it fills in a form.
func (w *svgWriter) put(texts ...string) {
	for _, s := range texts {
		w.b.WriteString(s)
	}
}

func (w *svgWriter) items(items []Item) {
	for _, it := range items {
		w.item(it)
	}
}

func (w *svgWriter) item(it Item) {
	b := &w.b
	switch it := it.(type) {
	case *Group:
		b.WriteString("<g")
		if it.Class != "" {
			w.put(` class="`, escape(it.Class), `"`)
		}
		for _, k := range it.Keys {
			w.put(` data-`, keyName(k.Name), `="`, escape(k.Value), `"`)
		}
		b.WriteString(">\n")
		w.items(it.Items)
		b.WriteString("</g>\n")
	case Rule:
		w.put(`<path d="M`, num(it.X1), ` `, num(it.Y1), `L`, num(it.X2), ` `, num(it.Y2), `" stroke="`, it.Ink.hex(), `" stroke-width="`, num(it.Width), `"`)
		if it.Round {
			b.WriteString(` stroke-linecap="round"`)
		}
		if it.Dash > 0 {
			w.put(` stroke-dasharray="`, num(it.Dash), `"`)
		}
		b.WriteString("/>\n")
	case Box:
		w.put(`<rect x="`, num(it.X), `" y="`, num(it.Y), `" width="`, num(it.W), `" height="`, num(it.H), `"`)
		if it.Radius > 0 {
			w.put(` rx="`, num(it.Radius), `"`)
		}
		w.paint(it.Width, it.Ink)
	case Path:
		w.put(`<path d="`, pathData(it.Steps, 1, 3), `"`)
		if it.Width > 0 {
			b.WriteString(` stroke-linecap="round" stroke-linejoin="round"`)
		}
		w.paint(it.Width, it.Ink)
	case Glyph:
		if !it.Symbol.Known() {
			return
		}
		w.used[it.Symbol] = true
		w.put(`<use href="#`, symbolMark, it.Symbol.String(), `" transform="translate(`, num(it.X), ` `, num(it.Y), `) scale(`, strconv.FormatFloat(Round(it.Space/1000, 7), 'f', -1, 64), `)"`)
		if it.Ink != Black {
			w.put(` fill="`, it.Ink.hex(), `"`)
		}
		b.WriteString("/>\n")
	case Text:
		s := Clean(it.S)
		if s == "" {
			return
		}
		f := styles[it.Font]
		w.put(`<text x="`, num(it.X), `" y="`, num(it.Y), `" font-size="`, num(it.Size), `"`)
		if f.family != sansFamily { // which is the document's own
			w.put(` font-family="`, f.family, `"`)
		}
		if f.bold {
			b.WriteString(` font-weight="bold"`)
		}
		if f.italic {
			b.WriteString(` font-style="italic"`)
		}
		if it.Anchor != Start {
			w.put(` text-anchor="`, [...]string{"start", "middle", "end"}[it.Anchor], `"`)
		}
		if it.Ink != Black {
			w.put(` fill="`, it.Ink.hex(), `"`)
		}
		// Another font that a browser takes may be wider: words keep their length, and
		// so does a letter, which may be the root of a chord with its kind beside it.
		if r, n := utf8.DecodeRuneInString(s); n < len(s) || unicode.IsLetter(r) {
			w.put(` textLength="`, num(it.Width()), `" lengthAdjust="spacingAndGlyphs"`)
		}
		w.put(`>`, escape(s), "</text>\n")
	}
}

func (w *svgWriter) paint(width float64, ink Ink) {
	if width > 0 {
		w.put(` fill="none" stroke="`, ink.hex(), `" stroke-width="`, num(width), `"/>`+"\n")
		return
	}
	if ink != Black {
		w.put(` fill="`, ink.hex(), `"`)
	}
	w.b.WriteString("/>\n")
}

func (i Ink) hex() string { return fmt.Sprintf("#%06x", uint32(i)&0xFFFFFF) }

// RGB returns the ink's red, green and blue.
func (i Ink) RGB() (r, g, b uint8) { return uint8(i >> 16), uint8(i >> 8), uint8(i) }

// pathData writes steps in SVG's path language, scaled, with the given number
// of decimals.
func pathData(steps []Step, scale float64, decimals int) string {
	var b []byte
	pt := func(p Point) {
		if n := len(b); n > 0 && b[n-1] >= '0' && b[n-1] <= '9' {
			b = append(b, ' ')
		}
		b = strconv.AppendFloat(b, Round(p.X*scale, decimals), 'f', -1, 64)
		b = append(b, ' ')
		b = strconv.AppendFloat(b, Round(p.Y*scale, decimals), 'f', -1, 64)
	}
	for _, s := range steps {
		switch s.Op {
		case MoveTo:
			b = append(b, 'M')
			pt(s.P[0])
		case LineTo:
			b = append(b, 'L')
			pt(s.P[0])
		case CurveTo:
			b = append(b, 'C')
			pt(s.P[0])
			pt(s.P[1])
			pt(s.P[2])
		case Close:
			b = append(b, 'Z')
		}
	}
	return string(b)
}

// num writes millimetres to the micrometre.
func num(v float64) string {
	micrometres := math.Round(v * 1000)
	if !(math.Abs(micrometres) < 1e9) {
		return strconv.FormatFloat(Round(v, 3), 'f', -1, 64)
	}
	// So few digits are the shortest that say a number: the same as above, and sooner.
	var b [16]byte
	out := b[:0]
	n := int64(micrometres)
	if n < 0 {
		out, n = append(out, '-'), -n
	}
	out = strconv.AppendInt(out, n/1000, 10)
	if n %= 1000; n > 0 {
		out = append(out, '.', byte('0'+n/100), byte('0'+n/10%10), byte('0'+n%10))
		for out[len(out)-1] == '0' {
			out = out[:len(out)-1]
		}
	}
	return string(out)
}

// Round rounds to a number of decimals, and never to a negative nought.
func Round(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	r := math.Round(v*p) / p
	if r == 0 {
		return 0 // not −0
	}
	return r
}

// keyName keeps what may stand in the name of a data attribute.
func keyName(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r == '-' {
			return r
		}
		return -1
	}, s)
}

// escaped reports whether a character may not stand as it is, or isn't sure to.
func escaped(r rune) bool {
	return r < ' ' || r == '&' || r == '<' || r == '>' || r == '"' || r == '\'' || r >= utf8.RuneSelf
}

// escape makes any string safe in XML text and in attributes, and keeps only
// characters that XML 1.0 allows.
func escape(s string) string {
	if !strings.ContainsFunc(s, escaped) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&#34;")
		case r == '\'':
			b.WriteString("&#39;")
		case r < ' ' && r != '\n' && r != '\t', r == 0xFFFE, r == 0xFFFF:
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
