package pdf_test

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
)

// mark is one thing that a reader of a page puts on it; places are millimetres from
// the page's upper left corner, as a drawing has them.
type mark struct {
	kind  string // "fill", "stroke" or "text"
	ink   [3]float64
	width float64 // of a stroke, millimetres
	dash  float64
	ends  string // cap and join of a stroke
	at    []draw.Point
	words string
	size  float64 // of words, millimetres
	font  string  // of words
}

// reader goes through a document as ISO 32000-1 has it (sections 7.3, 8.2 to 8.5, 8.10
// and 9.4), as far as these documents use it; it knows nothing of how they are made.
type reader struct {
	t       *testing.T
	objects map[string]string // what stands in an object, by its number
	forms   map[string]string // the form or font that a name stands for
	height  float64           // of the page, points
	marks   []mark
}

// state is the graphics state that q keeps and Q gives back.
type state struct {
	m            [6]float64 // from what is written to points on the page
	fill, stroke [3]float64
	width, dash  float64
	cap, join    string
	gone         bool      // clipped to nothing
	box          draw.Rect // what a form may draw on, where there is one
	boxed        bool
}

var objectText = regexp.MustCompile(`(?s)(\d+) 0 obj\n(.*?)\nendobj`)

func newReader(t *testing.T, doc []byte) *reader {
	r := &reader{t: t, objects: map[string]string{}, forms: map[string]string{}}
	for _, m := range objectText.FindAllSubmatch(doc, -1) {
		r.objects[string(m[1])] = string(m[2])
	}
	for _, o := range r.objects {
		for _, m := range regexp.MustCompile(`/(TPL\w+|F\w{40}) (\d+) 0 R`).FindAllStringSubmatch(o, -1) {
			r.forms[m[1]] = m[2]
		}
	}
	return r
}

// stream unpacks what an object holds.
func (r *reader) stream(number string) string {
	head, body, ok := strings.Cut(r.objects[number], "stream\n")
	body, _, ends := strings.Cut(body, "\nendstream")
	if !ok || !ends || !strings.Contains(head, "/FlateDecode") {
		r.t.Fatalf("object %s is no packed stream", number)
	}
	z, err := zlib.NewReader(strings.NewReader(body))
	if err != nil {
		r.t.Fatal(err)
	}
	out, err := io.ReadAll(z)
	if err != nil {
		r.t.Fatal(err)
	}
	return string(out)
}

// page reads the marks of one page, counted from 0, and its width and height in points.
func (r *reader) page(i int) (w, h float64) {
	kids := regexp.MustCompile(`(?s)/Kids \[(.*?)\].*?/MediaBox \[0 0 (\S+) (\S+)\]`).FindStringSubmatch(r.objects["1"])
	numbers := regexp.MustCompile(`(\d+) 0 R`).FindAllStringSubmatch(kids[1], -1)
	if i >= len(numbers) {
		r.t.Fatalf("the document has %d pages", len(numbers))
	}
	o := r.objects[numbers[i][1]]
	w, h = figure(kids[2]), figure(kids[3])
	if own := regexp.MustCompile(`/MediaBox \[0 0 (\S+) (\S+)\]`).FindStringSubmatch(o); own != nil {
		w, h = figure(own[1]), figure(own[2])
	}
	r.height, r.marks = h, nil
	s := state{m: [6]float64{1, 0, 0, 1, 0, 0}}
	r.run(r.stream(regexp.MustCompile(`/Contents (\d+) 0 R`).FindStringSubmatch(o)[1]), s)
	return w, h
}

func figure(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// tokens splits a content stream.
func tokens(s string) []string {
	var out []string
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case strings.IndexByte(" \n\r", c) >= 0:
			i++
		case c == '(':
			var b []byte
			for i++; s[i] != ')'; i++ {
				if s[i] == '\\' {
					i++
					b = append(b, map[byte]byte{'r': '\r', '(': '(', ')': ')', '\\': '\\'}[s[i]])
					continue
				}
				b = append(b, s[i])
			}
			out = append(out, "("+string(b))
			i++
		case c == '[' || c == ']':
			out = append(out, s[i:i+1])
			i++
		default:
			j := i
			for j < len(s) && strings.IndexByte(" \n\r[]()", s[j]) < 0 {
				j++
			}
			out = append(out, s[i:j])
			i = j
		}
	}
	return out
}

// turn sets a matrix before the one that holds (8.3.4).
func (s *state) turn(a, b, c, d, e, f float64) {
	m := s.m
	s.m = [6]float64{a*m[0] + b*m[2], a*m[1] + b*m[3], c*m[0] + d*m[2], c*m[1] + d*m[3], e*m[0] + f*m[2] + m[4], e*m[1] + f*m[3] + m[5]}
}

// inside says when a point of a form would be cut off.
func (s *state) inside(t testing.TB, x, y float64) {
	if s.boxed && (x < s.box.X0 || x > s.box.X1 || y < s.box.Y0 || y > s.box.Y1) {
		t.Errorf("%g, %g lies outside its form's box %v, which cuts it off", x, y, s.box)
	}
}

// run does what a content stream says.
func (r *reader) run(content string, s state) {
	var kept []state
	var args []string
	var path []draw.Point
	num := func(back int) float64 { return figure(args[len(args)-back]) }
	at := func(back int) draw.Point {
		x, y := num(back), num(back-1)
		s.inside(r.t, x, y)
		return draw.Point{X: (s.m[0]*x + s.m[2]*y + s.m[4]) * draw.PointMM, Y: (r.height - s.m[1]*x - s.m[3]*y - s.m[5]) * draw.PointMM}
	}
	paint := func(m mark) {
		if m.at = path; !s.gone && len(path) > 0 {
			r.marks = append(r.marks, m)
		}
		path = nil
	}
	size, font := 0.0, ""
	for _, op := range tokens(content) {
		switch op {
		case "q":
			kept = append(kept, s)
		case "Q":
			s, kept = kept[len(kept)-1], kept[:len(kept)-1]
		case "cm":
			s.turn(num(6), num(5), num(4), num(3), num(2), num(1))
		case "w":
			s.width = num(1) * draw.PointMM * s.m[0]
		case "J":
			s.cap = args[len(args)-1]
		case "j":
			s.join = args[len(args)-1]
		case "d":
			s.dash = 0
			if n := len(args); n == 4 && args[0] == "[" && args[2] == "]" {
				if s.dash = figure(args[1]) * draw.PointMM; s.dash == 0 {
					r.t.Error("a pattern of dashes without length (8.4.3.6 forbids it)")
				}
			}
		case "G":
			s.stroke = [3]float64{num(1), num(1), num(1)}
		case "g":
			s.fill = [3]float64{num(1), num(1), num(1)}
		case "RG":
			s.stroke = [3]float64{num(3), num(2), num(1)}
		case "rg":
			s.fill = [3]float64{num(3), num(2), num(1)}
		case "m", "l":
			path = append(path, at(2))
		case "c":
			path = append(path, at(6), at(4), at(2))
		case "h":
		case "re":
			s.gone = s.gone || num(2) == 0 && num(1) == 0
		case "W":
		case "n":
			path = nil
		case "f":
			paint(mark{kind: "fill", ink: s.fill})
		case "S":
			paint(mark{kind: "stroke", ink: s.stroke, width: s.width, dash: s.dash, ends: s.cap + " " + s.join})
		case "Do":
			r.form(r.forms[strings.TrimPrefix(args[len(args)-1], "/")], s)
		case "BT", "ET":
		case "Tf":
			size = num(1) * draw.PointMM
			font = regexp.MustCompile(`/BaseFont /utf8(\S+)`).FindStringSubmatch(r.objects[r.forms[args[len(args)-2][1:]]])[1]
		case "Td":
			path = append(path[:0:0], at(2))
		case "Tj":
			b := []byte(args[len(args)-1][1:])
			var units []uint16
			for i := 0; i+1 < len(b); i += 2 {
				units = append(units, uint16(b[i])<<8|uint16(b[i+1]))
			}
			paint(mark{kind: "text", ink: s.fill, words: string(utf16.Decode(units)), size: size, font: font})
		default:
			if c := op[0]; c != '/' && c != '(' && c != '[' && c != ']' && math.IsNaN(figure(op)) {
				r.t.Fatalf("operator %q", op)
			}
			args = append(args, op)
			continue
		}
		args = nil
	}
	if len(kept) > 0 {
		r.t.Errorf("%d states are kept and never given back", len(kept))
	}
}

// form does what a form says, all in the ink that it was asked for in.
func (r *reader) form(number string, s state) {
	box := regexp.MustCompile(`/BBox \[(\S+) (\S+) (\S+) (\S+)\]`).FindStringSubmatch(r.objects[number])
	s.boxed, s.box = true, draw.Rect{X0: figure(box[1]), Y0: figure(box[2]), X1: figure(box[3]), Y1: figure(box[4])}
	ink, before := s.fill, len(r.marks)
	r.run(strings.Replace(r.stream(number), "0.000 g\n", "", 1), s)
	for _, m := range r.marks[before:] {
		if m.ink != ink {
			r.t.Errorf("a symbol is inked %v, not as asked", m.ink)
		}
	}
}

// points are the places that steps go by, moved and scaled.
func points(steps []draw.Step, x, y, k float64) []draw.Point {
	var out []draw.Point
	for _, s := range steps {
		for _, p := range s.P[:s.Op.Points()] {
			out = append(out, draw.Point{X: x + p.X*k, Y: y + p.Y*k})
		}
	}
	return out
}

// grey is an ink of one figure in three colours.
func grey(v float64) [3]float64 { return [3]float64{v, v, v} }

// TestReadBack: what a reader of the document puts on its pages is what the drawing has, in
// millimetres, each thing in its ink, width, ends and letters.
func TestReadBack(t *testing.T) {
	triangle := []draw.Step{{Op: draw.MoveTo, P: [3]draw.Point{{X: 60, Y: 20}}}, {Op: draw.LineTo, P: [3]draw.Point{{X: 70, Y: 21}}}, {Op: draw.LineTo, P: [3]draw.Point{{X: 64, Y: 29}}}, {Op: draw.Close}}
	arch := []draw.Step{{Op: draw.MoveTo, P: [3]draw.Point{{X: 75, Y: 18}}}, {Op: draw.CurveTo, P: [3]draw.Point{{X: 80, Y: 8}, {X: 85, Y: 9}, {X: 92, Y: 18}}}}
	clef, head := draw.GClef8vb, draw.NoteheadBlack
	words := "B♭ (F♯) ā"
	width := draw.SerifItalic.Width(words) * 4
	d := &draw.Drawing{Title: "Tide", Pages: []*draw.Page{
		{W: 100, H: 60, Items: []draw.Item{
			draw.Rule{X1: 5, Y1: 6, X2: 95, Y2: 7, Width: 0.3, Dash: 1, Ink: draw.Grey},
			draw.Rule{X1: 5, Y1: 12, X2: 20, Y2: 16, Width: 1, Round: true, Ink: 0x123456},
			draw.Box{X: 50, Y: 10, W: 20, H: 8, Width: 0.25, Ink: 0x404080},
			&draw.Group{Items: []draw.Item{
				draw.Path{Steps: triangle, Ink: 0x804040},
				draw.Path{Steps: arch, Width: 0.4},
			}},
			draw.Glyph{Symbol: clef, X: 10, Y: 35, Space: 1.75},
			draw.Glyph{Symbol: head, X: 20, Y: 35, Space: 1.5, Ink: draw.Pale},
			draw.Glyph{Symbol: clef, X: 30, Y: 36, Space: 2},
			draw.Text{S: words, Font: draw.SerifItalic, Size: 4, X: 30, Y: 50},
			draw.Text{S: words, Font: draw.SerifItalic, Size: 4, X: 50, Y: 54, Anchor: draw.Middle, Ink: 0x102030},
			draw.Text{S: words, Font: draw.SerifItalic, Size: 2, X: 90, Y: 58, Anchor: draw.End},
		}},
		{W: 40, H: 30, Items: []draw.Item{
			draw.Text{S: "a雪b", Font: draw.SansBold, Size: 3, X: 5, Y: 10},
			draw.Text{S: "12", Font: draw.SansBold, Size: 4, X: 5, Y: 20},
			draw.Text{S: "34", Font: draw.SerifBold, Size: 4, X: 15, Y: 20},
		}},
	}}
	doc, err := pdf.Write(d)
	if err != nil {
		t.Fatal(err)
	}
	r := newReader(t, doc)
	w, h := r.page(0)
	if math.Abs(w-100/draw.PointMM) > 0.01 || math.Abs(h-60/draw.PointMM) > 0.01 {
		t.Errorf("page 1 is %g by %g points", w, h)
	}
	if box := fmt.Sprintf("/Count 2\n/MediaBox [0 0 %.2f %.2f]", 100/draw.PointMM, 60/draw.PointMM); !strings.Contains(r.objects["1"], box) {
		t.Errorf("a page that says nothing else is not as large as the first: %s", r.objects["1"])
	}
	same(t, r.marks, []mark{
		{kind: "stroke", ink: grey(0x5A / 255.0), width: 0.3, dash: 1, ends: "0 0", at: []draw.Point{{X: 5, Y: 6}, {X: 95, Y: 7}}},
		{kind: "stroke", ink: [3]float64{0x12 / 255.0, 0x34 / 255.0, 0x56 / 255.0}, width: 1, ends: "1 0", at: []draw.Point{{X: 5, Y: 12}, {X: 20, Y: 16}}},
		{kind: "stroke", ink: [3]float64{0x40 / 255.0, 0x40 / 255.0, 0x80 / 255.0}, width: 0.25, ends: "1 1", at: []draw.Point{{X: 50, Y: 10}, {X: 70, Y: 10}, {X: 70, Y: 18}, {X: 50, Y: 18}}},
		{kind: "fill", ink: [3]float64{0x80 / 255.0, 0x40 / 255.0, 0x40 / 255.0}, at: points(triangle, 0, 0, 1)},
		{kind: "stroke", width: 0.4, ends: "1 1", at: points(arch, 0, 0, 1)},
		{kind: "fill", at: points(clef.Outline(), 10, 35, 1.75)},
		{kind: "fill", ink: grey(0xC4 / 255.0), at: points(head.Outline(), 20, 35, 1.5)},
		{kind: "fill", at: points(clef.Outline(), 30, 36, 2)},
		{kind: "text", words: words, font: "serif-italic", size: 4, at: []draw.Point{{X: 30, Y: 50}}},
		{kind: "text", words: words, font: "serif-italic", size: 4, ink: [3]float64{0x10 / 255.0, 0x20 / 255.0, 0x30 / 255.0}, at: []draw.Point{{X: 50 - width/2, Y: 54}}},
		{kind: "text", words: words, font: "serif-italic", size: 2, at: []draw.Point{{X: 90 - width/2, Y: 58}}},
	})
	w, h = r.page(1)
	if math.Abs(w-40/draw.PointMM) > 0.01 || math.Abs(h-30/draw.PointMM) > 0.01 {
		t.Errorf("page 2 is %g by %g points", w, h)
	}
	// A letter that no font has is a square, which Sans has and the bold font too.
	same(t, r.marks, []mark{
		{kind: "text", words: "a□b", font: "sans-bold", size: 3, at: []draw.Point{{X: 5, Y: 10}}},
		{kind: "text", words: "12", font: "sans-bold", size: 4, at: []draw.Point{{X: 5, Y: 20}}},
		{kind: "text", words: "34", font: "serif-bold", size: 4, at: []draw.Point{{X: 15, Y: 20}}},
	})
	if n := bytes.Count(doc, []byte("/Subtype /Form")); n != 2 {
		t.Errorf("two symbols are kept in %d forms", n)
	}
	if n := bytes.Count(doc, []byte("/FontFile2")); n != 3 {
		t.Errorf("three fonts are kept in %d files", n)
	}
}

// TestLettersOfAnotherFont: where a text takes letters from a second font, they stand after
// what comes before them.
func TestLettersOfAnotherFont(t *testing.T) {
	text := draw.Text{S: "Dm ▽ C", Font: draw.Serif, Size: 5, X: 10, Y: 20}
	runs := draw.Serif.Runs(text.S)
	if len(runs) != 3 {
		t.Fatalf("%d runs: the test sees one font", len(runs))
	}
	doc, err := pdf.Write(&draw.Drawing{Pages: []*draw.Page{{W: 60, H: 30, Items: []draw.Item{text}}}})
	if err != nil {
		t.Fatal(err)
	}
	r := newReader(t, doc)
	r.page(0)
	var want []mark
	x := 10.0
	for _, run := range runs {
		want = append(want, mark{kind: "text", words: run.Text, font: map[draw.Font]string{draw.Serif: "serif", draw.Sans: "sans"}[run.Font], size: 5, at: []draw.Point{{X: x, Y: 20}}})
		x += run.Width * 5
	}
	same(t, r.marks, want)
}

// same compares what was read with what was drawn: places to a fiftieth of a millimetre,
// which is finer than a printer, inks to a step of 256.
func same(t *testing.T, got, want []mark) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d marks, want %d: %v", len(got), len(want), got)
	}
	for i, g := range got {
		w := want[i]
		off := max(math.Abs(g.width-w.width), math.Abs(g.dash-w.dash), math.Abs(g.size-w.size))
		if len(g.at) != len(w.at) {
			t.Errorf("mark %d goes by %d places, want %d", i, len(g.at), len(w.at))
			continue
		}
		for j := range g.at {
			off = max(off, math.Abs(g.at[j].X-w.at[j].X), math.Abs(g.at[j].Y-w.at[j].Y))
		}
		inks := 0.0
		for j := range g.ink {
			inks = max(inks, math.Abs(g.ink[j]-w.ink[j]))
		}
		if g.kind != w.kind || g.words != w.words || g.font != w.font || g.ends != w.ends || inks > 1.0/255 || !(off <= 0.02) {
			t.Errorf("mark %d:\n got %+v\nwant %+v", i, g, w)
		}
	}
}

// TestOutline: a document's outline leads to each place, by page and height from the
// bottom, and one level stands within another.
func TestOutline(t *testing.T) {
	d := &draw.Drawing{
		Bookmarks: []draw.Bookmark{{Title: "Verse", Y: 10}, {Title: "Turn", Level: 1, Page: 1, Y: 20}, {Title: "End", Page: 1, Y: 30}},
		Pages:     []*draw.Page{{W: 50, H: 100}, {W: 50, H: 100}},
	}
	doc, err := pdf.Write(d)
	if err != nil {
		t.Fatal(err)
	}
	dests := regexp.MustCompile(`/Dest \[(\d+) 0 R /XYZ 0 (\S+) null\]`).FindAllSubmatch(doc, -1)
	if len(dests) != 3 {
		t.Fatalf("%d entries", len(dests))
	}
	first := string(dests[0][1])
	for i, d := range dests {
		page := string(d[1])
		if (page == first) != (i == 0) {
			t.Errorf("entry %d leads to page object %s", i, page)
		}
		want := []float64{90, 80, 70}[i] / draw.PointMM
		if got := figure(string(d[2])); math.Abs(got-want) > 0.01 {
			t.Errorf("entry %d leads to %g points from the bottom, want %.2f", i, got, want)
		}
	}
	if n := bytes.Count(doc, []byte("/Next")); n != 1 {
		t.Errorf("%d entries have a next of their level, one should", n)
	}
}

func TestWhatIsNoDocument(t *testing.T) {
	if _, err := pdf.Write(&draw.Drawing{}); err == nil {
		t.Error("a document without a page")
	}
	bad := &draw.Drawing{Pages: []*draw.Page{{W: 10, H: 10, Items: []draw.Item{draw.Glyph{Symbol: 0xF8FE, Space: 1}}}}}
	if _, err := pdf.Write(bad); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("U+%04X", 0xF8FE)) {
		t.Errorf("a symbol that no font has: %v", err)
	}
}
