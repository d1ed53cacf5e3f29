// Package pdf writes a drawing as one PDF document (ISO 32000-1, PDF 1.7).
//
// Entry point: Write.
package pdf

import (
	"bytes"
	"fmt"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"lapwright/sheet/draw"
	"lapwright/sheet/face"
)

// Write returns the whole drawing as one PDF document with its title, language and
// outline. Text is searchable, fonts hold only the letters in use, and each
// music symbol is kept once.
//
// It fails when a music symbol is not in the font.
func Write(d *draw.Drawing) ([]byte, error) {
	if len(d.Pages) == 0 {
		return nil, fmt.Errorf("a drawing without pages has no PDF")
	}
	if l := d.Lacking(); len(l) > 0 {
		return nil, fmt.Errorf("the music font has no symbol at U+%04X", rune(l[0]))
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: d.Pages[0].W / draw.PointMM, Ht: d.Pages[0].H / draw.PointMM}})
	// A fixed moment: the same drawing gives the same bytes.
	moment := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	f.SetCreationDate(moment)
	f.SetModificationDate(moment)
	f.SetCatalogSort(true)
	f.SetCompression(true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetTitle(draw.Clean(d.Title), true)
	f.SetSubject(draw.Clean(d.Description), true)
	f.SetLang(d.Lang())
	f.SetCreator("Lapwright", true)
	f.SetProducer("Lapwright", true)
	f.SetDisplayMode("fullpage", "default")

	w := &writer{f: f, fonts: map[*face.File]bool{}, templates: map[draw.Symbol]template{}}
	for i, p := range d.Pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.W / draw.PointMM, Ht: p.H / draw.PointMM})
		w.height = p.H / draw.PointMM
		w.font, w.size = nil, 0
		for _, b := range d.Bookmarks {
			if b.Page == i {
				f.Bookmark(draw.Clean(b.Title), b.Level, b.Y/draw.PointMM)
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

type writer struct {
	f         *fpdf.Fpdf
	height    float64 // of the page, points
	raw       []byte  // operators not yet handed over
	fonts     map[*face.File]bool
	font      *face.File
	size      float64
	templates map[draw.Symbol]template
}

// template is a music symbol kept once in the file.
type template struct {
	id     string
	dx, dy float64 // from the symbol's origin to the template's corner, staff spaces
}

// templateSpace is the size of a staff space in a template, in points: large,
// so that two decimals lose nothing.
const templateSpace = 100

func (w *writer) flush() {
	if len(w.raw) > 0 {
		w.f.RawWriteStr(string(bytes.TrimRight(w.raw, "\n")))
		w.raw = w.raw[:0]
	}
}

func (w *writer) items(items []draw.Item) {
	for _, it := range items {
		w.item(it)
	}
}

// num appends a figure in points.
func (w *writer) num(vs ...float64) {
	for _, v := range vs {
		w.raw = strconv.AppendFloat(w.raw, draw.Round(v, 3), 'f', -1, 64)
		w.raw = append(w.raw, ' ')
	}
}

// point appends a place on the page: PDF counts upwards from the bottom.
func (w *writer) point(p draw.Point) { w.num(p.X/draw.PointMM, w.height-p.Y/draw.PointMM) }

func (w *writer) op(s string) {
	w.raw = append(w.raw, s...)
	w.raw = append(w.raw, '\n')
}

func (w *writer) ink(i draw.Ink, stroke bool) {
	r, g, b := i.RGB()
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

func (w *writer) steps(steps []draw.Step) {
	for _, s := range steps {
		switch s.Op {
		case draw.MoveTo:
			w.point(s.P[0])
			w.op("m")
		case draw.LineTo:
			w.point(s.P[0])
			w.op("l")
		case draw.CurveTo:
			w.point(s.P[0])
			w.point(s.P[1])
			w.point(s.P[2])
			w.op("c")
		case draw.Close:
			w.op("h")
		}
	}
}

func (w *writer) item(it draw.Item) {
	switch it := it.(type) {
	case *draw.Group:
		w.items(it.Items)
	case draw.Rule:
		w.op("q")
		w.ink(it.Ink, true)
		w.num(it.Width / draw.PointMM)
		w.op("w")
		w.op(pick(it.Round, "1 J", "0 J"))
		if it.Dash > 0 {
			w.raw = append(w.raw, '[')
			w.num(it.Dash / draw.PointMM)
			w.op("] 0 d")
		}
		w.point(draw.Point{X: it.X1, Y: it.Y1})
		w.op("m")
		w.point(draw.Point{X: it.X2, Y: it.Y2})
		w.op("l S Q")
	case draw.Box:
		w.item(draw.Path{Steps: it.Outline(), Width: it.Width, Ink: it.Ink})
	case draw.Path:
		w.op("q")
		w.ink(it.Ink, it.Width > 0)
		if it.Width > 0 {
			w.num(it.Width / draw.PointMM)
			w.op("w 1 J 1 j")
		}
		w.steps(it.Steps)
		w.op(pick(it.Width > 0, "S Q", "f Q"))
	case draw.Glyph:
		w.glyph(it)
	case draw.Text:
		w.text(it)
	}
}

func (w *writer) glyph(g draw.Glyph) {
	scale := g.Space / draw.PointMM / templateSpace
	t, ok := w.templates[g.Symbol]
	if !ok {
		t = w.template(g.Symbol)
	}
	w.op("q")
	w.ink(g.Ink, false)
	w.raw = strconv.AppendFloat(w.raw, draw.Round(scale, 7), 'f', -1, 64)
	w.raw = append(w.raw, " 0 0 "...)
	w.raw = strconv.AppendFloat(w.raw, draw.Round(scale, 7), 'f', -1, 64)
	w.raw = append(w.raw, ' ')
	w.point(draw.Point{X: g.X + t.dx*g.Space, Y: g.Y + t.dy*g.Space})
	w.op("cm")
	w.op("/TPL" + t.id + " Do Q")
}

// template keeps a symbol's outline in the file.
func (w *writer) template(s draw.Symbol) template {
	const margin = 0.1 // staff spaces round the ink, against clipping by rounding
	box, steps := s.Box().Grow(margin), s.Outline()
	size := fpdf.SizeType{Wd: (box.X1 - box.X0) * templateSpace, Ht: (box.Y1 - box.Y0) * templateSpace}
	// Inside, points count up from the lower left corner of the box.
	inner := &writer{height: size.Ht}
	moved := make([]draw.Step, len(steps))
	for i, st := range steps {
		for j, p := range st.P {
			st.P[j] = draw.Point{X: (p.X - box.X0) * templateSpace * draw.PointMM, Y: (p.Y - box.Y0) * templateSpace * draw.PointMM}
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

func (w *writer) text(t draw.Text) {
	x := t.X - t.Width()*[...]float64{0, 0.5, 1}[t.Anchor]
	r, g, b := t.Ink.RGB()
	for _, run := range t.Font.Runs(t.S) {
		w.flush()
		file := face.Of(run.Font)
		if !w.fonts[file] {
			w.fonts[file] = true
			w.f.AddUTF8FontFromBytes(file.Name, "", file.Data)
		}
		if w.font != file || w.size != t.Size {
			w.f.SetFont(file.Name, "", t.Size/draw.PointMM)
			w.font, w.size = file, t.Size
		}
		w.f.SetTextColor(int(r), int(g), int(b))
		w.f.Text(x/draw.PointMM, t.Y/draw.PointMM, run.Text)
		x += run.Width * t.Size
	}
}
