package draw

import (
	"bytes"
	"fmt"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// PDF returns the whole drawing as one PDF document with its title, language and
// outline. Text is searchable, fonts hold only the letters in use, and each
// music symbol is kept once.
//
// It fails when a music symbol is not in the font.
func PDF(d *Drawing) ([]byte, error) {
	if len(d.Pages) == 0 {
		return nil, fmt.Errorf("a drawing without pages has no PDF")
	}
	if l := d.Lacking(); len(l) > 0 {
		return nil, fmt.Errorf("the music font has no symbol at U+%04X", rune(l[0]))
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: d.Pages[0].W / PointMM, Ht: d.Pages[0].H / PointMM}})
	// A fixed moment: the same drawing gives the same bytes.
	moment := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	f.SetCreationDate(moment)
	f.SetModificationDate(moment)
	f.SetCatalogSort(true)
	f.SetCompression(true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetTitle(clean(d.Title), true)
	f.SetSubject(clean(d.Description), true)
	f.SetLang(d.language())
	f.SetCreator("Lapwright", true)
	f.SetProducer("Lapwright", true)
	f.SetDisplayMode("fullpage", "default")

	w := &pdfWriter{f: f, fonts: map[*face]bool{}, templates: map[Symbol]template{}}
	for i, p := range d.Pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.W / PointMM, Ht: p.H / PointMM})
		w.height = p.H / PointMM
		w.font, w.size = nil, 0
		for _, b := range d.Bookmarks {
			if b.Page == i {
				f.Bookmark(clean(b.Title), b.Level, b.Y/PointMM)
			}
		}
		w.items(p.Items)
		w.flush()
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		return nil, fmt.Errorf("writing the PDF: %w", err)
	}
	return out.Bytes(), nil
}

type pdfWriter struct {
	f         *fpdf.Fpdf
	height    float64 // of the page, points
	raw       []byte  // operators not yet handed over
	fonts     map[*face]bool
	font      *face
	size      float64
	templates map[Symbol]template
}

// template is a music symbol kept once in the file.
type template struct {
	id     string
	dx, dy float64 // from the symbol's origin to the template's corner, staff spaces
}

// templateSpace is the size of a staff space in a template, in points: large,
// so that two decimals lose nothing.
const templateSpace = 100

func (w *pdfWriter) flush() {
	if len(w.raw) > 0 {
		w.f.RawWriteStr(string(bytes.TrimRight(w.raw, "\n")))
		w.raw = w.raw[:0]
	}
}

func (w *pdfWriter) items(items []Item) {
	for _, it := range items {
		w.item(it)
	}
}

// num appends a figure in points.
func (w *pdfWriter) num(vs ...float64) {
	for _, v := range vs {
		w.raw = strconv.AppendFloat(w.raw, round(v, 3), 'f', -1, 64)
		w.raw = append(w.raw, ' ')
	}
}

// point appends a place on the page: PDF counts upwards from the bottom.
func (w *pdfWriter) point(p Point) { w.num(p.X/PointMM, w.height-p.Y/PointMM) }

func (w *pdfWriter) op(s string) {
	w.raw = append(w.raw, s...)
	w.raw = append(w.raw, '\n')
}

func (w *pdfWriter) ink(i Ink, stroke bool) {
	r, g, b := i.rgb()
	if r == g && g == b {
		w.num(float64(r) / 255)
		w.op(pick(stroke, "G", "g"))
		return
	}
	w.num(float64(r)/255, float64(g)/255, float64(b)/255)
	w.op(pick(stroke, "RG", "rg"))
}

func pick(c bool, a, b string) string {
	if c {
		return a
	}
	return b
}

func (w *pdfWriter) steps(steps []Step) {
	for _, s := range steps {
		switch s.Op {
		case MoveTo:
			w.point(s.P[0])
			w.op("m")
		case LineTo:
			w.point(s.P[0])
			w.op("l")
		case CurveTo:
			w.point(s.P[0])
			w.point(s.P[1])
			w.point(s.P[2])
			w.op("c")
		case Close:
			w.op("h")
		}
	}
}

func (w *pdfWriter) item(it Item) {
	switch it := it.(type) {
	case *Group:
		w.items(it.Items)
	case Rule:
		w.op("q")
		w.ink(it.Ink, true)
		w.num(it.Width / PointMM)
		w.op("w")
		w.op(pick(it.Round, "1 J", "0 J"))
		if it.Dash > 0 {
			w.raw = append(w.raw, '[')
			w.num(it.Dash / PointMM)
			w.op("] 0 d")
		}
		w.point(Point{it.X1, it.Y1})
		w.op("m")
		w.point(Point{it.X2, it.Y2})
		w.op("l S Q")
	case Box:
		w.item(Path{Steps: it.steps(), Width: it.Width, Ink: it.Ink})
	case Path:
		w.op("q")
		w.ink(it.Ink, it.Width > 0)
		if it.Width > 0 {
			w.num(it.Width / PointMM)
			w.op("w 1 J 1 j")
		}
		w.steps(it.Steps)
		w.op(pick(it.Width > 0, "S Q", "f Q"))
	case Glyph:
		w.glyph(it)
	case Text:
		w.text(it)
	}
}

func (w *pdfWriter) glyph(g Glyph) {
	scale := g.Space / PointMM / templateSpace
	t, ok := w.templates[g.Symbol]
	if !ok {
		t = w.template(g.Symbol)
	}
	w.op("q")
	w.ink(g.Ink, false)
	w.raw = strconv.AppendFloat(w.raw, round(scale, 7), 'f', -1, 64)
	w.raw = append(w.raw, " 0 0 "...)
	w.raw = strconv.AppendFloat(w.raw, round(scale, 7), 'f', -1, 64)
	w.raw = append(w.raw, ' ')
	w.point(Point{g.X + t.dx*g.Space, g.Y + t.dy*g.Space})
	w.op("cm")
	w.op("/TPL" + t.id + " Do Q")
}

// template keeps a symbol's outline in the file.
func (w *pdfWriter) template(s Symbol) template {
	o := outline(s)
	const margin = 0.1 // staff spaces round the ink, against clipping by rounding
	box := o.box.Grow(margin)
	size := fpdf.SizeType{Wd: (box.X1 - box.X0) * templateSpace, Ht: (box.Y1 - box.Y0) * templateSpace}
	// Inside, points count up from the lower left corner of the box.
	inner := &pdfWriter{height: size.Ht}
	moved := make([]Step, len(o.steps))
	for i, st := range o.steps {
		for j, p := range st.P {
			st.P[j] = Point{(p.X - box.X0) * templateSpace * PointMM, (p.Y - box.Y0) * templateSpace * PointMM}
		}
		moved[i] = st
	}
	inner.steps(moved)
	inner.op("f")
	tpl := w.f.CreateTemplateCustom(fpdf.PointType{}, size, func(t *fpdf.Tpl) {
		t.RawWriteStr(string(bytes.TrimRight(inner.raw, "\n")))
	})
	// Using it registers it with the document; the empty clipping path keeps
	// this use from showing.
	w.flush()
	w.f.RawWriteStr("q 0 0 0 0 re W n")
	w.f.UseTemplateScaled(tpl, fpdf.PointType{}, size)
	w.f.RawWriteStr("Q")
	t := template{id: tpl.ID(), dx: box.X0, dy: box.Y1}
	w.templates[s] = t
	return t
}

func (w *pdfWriter) text(t Text) {
	x := t.X - t.Width()*[...]float64{0, 0.5, 1}[t.Anchor]
	r, g, b := t.Ink.rgb()
	for _, run := range t.Font.runs(t.S) {
		w.flush()
		if !w.fonts[run.face] {
			w.fonts[run.face] = true
			w.f.AddUTF8FontFromBytes(run.face.name, "", run.face.ttf)
		}
		if w.font != run.face || w.size != t.Size {
			w.f.SetFont(run.face.name, "", t.Size/PointMM)
			w.font, w.size = run.face, t.Size
		}
		w.f.SetTextColor(int(r), int(g), int(b))
		w.f.Text(x/PointMM, t.Y/PointMM, run.text)
		x += run.width * t.Size
	}
}

// steps returns a box as a path; round corners are quarter circles drawn as
// cubic curves (the usual constant 4/3·(√2−1)).
func (b Box) steps() []Step {
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
