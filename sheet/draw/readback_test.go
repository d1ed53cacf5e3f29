package draw_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"lapwright/sheet/draw"
)

// element is one element of an SVG document with the groups it stands in.
type element struct {
	name  string
	attr  map[string]string
	words string
	in    []map[string]string
}

// elements reads a document with the standard XML decoder.
func elements(t *testing.T, svg []byte) []element {
	t.Helper()
	var out []element
	var open []int
	var groups []map[string]string
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{name: tok.Name.Local, attr: map[string]string{}, in: append([]map[string]string{}, groups...)}
			for _, a := range tok.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			if e.name == "g" {
				groups = append(groups, e.attr)
			}
			open = append(open, len(out))
			out = append(out, e)
		case xml.EndElement:
			open = open[:len(open)-1]
			if tok.Name.Local == "g" {
				groups = groups[:len(groups)-1]
			}
		case xml.CharData:
			if n := len(open); n > 0 && strings.TrimSpace(string(tok)) != "" {
				out[open[n-1]].words += string(tok)
			}
		}
	}
}

// sketch is every kind of item in every kind of dress.
func sketch() *draw.Drawing {
	curve := []draw.Step{{Op: draw.MoveTo, P: [3]draw.Point{{X: 1, Y: 2}}}, {Op: draw.CurveTo, P: [3]draw.Point{{X: 3, Y: 4.5}, {X: 5, Y: -6}, {X: 7, Y: 8}}}, {Op: draw.LineTo, P: [3]draw.Point{{X: 9, Y: 1}}}, {Op: draw.Close}}
	return &draw.Drawing{Title: "Tide", Description: "of all pages", Language: "haw", Pages: []*draw.Page{
		{W: 100.5, H: 60, Items: []draw.Item{
			draw.Rule{X1: 5, Y1: 6.25, X2: 95, Y2: 7, Width: 0.2},
			draw.Rule{X1: 5, Y1: 8, X2: 95, Y2: 8, Width: 0.3, Dash: 1.5, Round: true, Ink: draw.Grey},
			draw.Box{X: 25, Y: 10, W: 20, H: 8, Radius: 2, Width: 0.3},
			draw.Box{X: 50, Y: 10, W: 20, H: 8, Ink: draw.Pale},
			draw.Path{Steps: curve, Width: 0.4},
			draw.Path{Steps: curve},
			draw.Glyph{Symbol: draw.GClef, X: 10, Y: 35, Space: 1.75},
			draw.Glyph{Symbol: draw.GClef, X: 20, Y: 35, Space: 2, Ink: draw.Pale},
			draw.Glyph{Symbol: 0xF8FE, X: 1, Y: 2, Space: 2},
			draw.Text{S: "Kai", Font: draw.SerifBold, Size: 5, X: 95, Y: 50, Anchor: draw.End, Ink: draw.Grey},
			draw.Text{S: "hele", Font: draw.SerifItalic, Size: 4, X: 50, Y: 51, Anchor: draw.Middle},
			draw.Text{S: "7", Font: draw.Sans, Size: 3, X: 5, Y: 52},
			draw.Text{S: "A", Font: draw.SansBold, Size: 3, X: 6, Y: 52},
			draw.Text{S: "\x01", Font: draw.Sans, Size: 3, X: 7, Y: 52},
			&draw.Group{Class: "note", Keys: []draw.Key{{Name: "bar", Value: "3"}, {Name: "a t-Z9z", Value: "<1/4>"}}, Items: []draw.Item{
				&draw.Group{Items: []draw.Item{draw.Text{S: "'\"&", Font: draw.Serif, Size: 4, X: 30, Y: 30}}},
			}},
		}},
		{W: 40, H: 30, Description: "of this page"},
	}}
}

// TestSVGReadBack: what an XML reader finds in the document is what the drawing has, attribute by
// attribute (names after Scalable Vector Graphics 1.1, W3C).
func TestSVGReadBack(t *testing.T) {
	d := sketch()
	all := elements(t, draw.SVG(d, 0))
	root := all[0].attr
	mark := strings.TrimSuffix(root["aria-labelledby"], "-t")
	for name, want := range map[string]string{"width": "100.5mm", "height": "60mm", "viewBox": "0 0 100.5 60", "lang": "haw", "role": "img", "aria-describedby": mark + "-d"} {
		if root[name] != want {
			t.Errorf("the document's %s is %q, want %q", name, root[name], want)
		}
	}
	sans := root["font-family"]
	if !strings.Contains(sans, "sans-serif") || mark == "" {
		t.Errorf("the document has the font %q and the mark %q", sans, mark)
	}
	if all[1].name != "title" || all[1].words != "Tide, page 1 of 2" || all[1].attr["id"] != mark+"-t" || all[2].name != "desc" || all[2].words != "of all pages" {
		t.Errorf("it is called %+v and described %+v", all[1], all[2])
	}
	if all[3].name != "defs" || all[4].name != "path" {
		t.Fatalf("the symbols come as %s, %s", all[3].name, all[4].name)
	}
	symbol := all[4].attr
	want := pathOf(draw.GClef.Outline(), 1000)
	if symbol["d"] != want {
		t.Errorf("the clef is\n%s\nin thousandths of a space\n%s", symbol["d"], want)
	}
	clef := "#" + symbol["id"]
	wide := func(f draw.Font, s string, size float64) string {
		return strconv.FormatFloat(math.Round(f.Width(s)*size*1000)/1000, 'f', -1, 64)
	}
	serif := all[14].attr["font-family"] // looked at below
	const curve = "M1 2C3 4.5 5 -6 7 8L9 1Z"
	type a = map[string]string
	for i, want := range []struct {
		name  string
		words string
		attr  a
	}{
		{"path", "", a{"d": "M5 6.25L95 7", "stroke": "#000000", "stroke-width": "0.2"}},
		{"path", "", a{"d": "M5 8L95 8", "stroke": "#5a5a5a", "stroke-width": "0.3", "stroke-linecap": "round", "stroke-dasharray": "1.5"}},
		{"rect", "", a{"x": "25", "y": "10", "width": "20", "height": "8", "rx": "2", "fill": "none", "stroke": "#000000", "stroke-width": "0.3"}},
		{"rect", "", a{"x": "50", "y": "10", "width": "20", "height": "8", "fill": "#c4c4c4"}},
		{"path", "", a{"d": curve, "stroke-linecap": "round", "stroke-linejoin": "round", "fill": "none", "stroke": "#000000", "stroke-width": "0.4"}},
		{"path", "", a{"d": curve}},
		{"use", "", a{"href": clef, "transform": "translate(10 35) scale(0.00175)"}},
		{"use", "", a{"href": clef, "transform": "translate(20 35) scale(0.002)", "fill": "#c4c4c4"}},
		{"text", "Kai", a{"x": "95", "y": "50", "font-size": "5", "font-family": serif, "font-weight": "bold", "text-anchor": "end", "fill": "#5a5a5a", "textLength": wide(draw.SerifBold, "Kai", 5), "lengthAdjust": "spacingAndGlyphs"}},
		{"text", "hele", a{"x": "50", "y": "51", "font-size": "4", "font-family": serif, "font-style": "italic", "text-anchor": "middle", "textLength": wide(draw.SerifItalic, "hele", 4), "lengthAdjust": "spacingAndGlyphs"}},
		{"text", "7", a{"x": "5", "y": "52", "font-size": "3"}},
		{"text", "A", a{"x": "6", "y": "52", "font-size": "3", "font-weight": "bold", "textLength": wide(draw.SansBold, "A", 3), "lengthAdjust": "spacingAndGlyphs"}},
		{"g", "", a{"class": "note", "data-bar": "3", "data-at-z": "<1/4>"}},
		{"g", "", a{}},
		{"text", "'\"&", a{"x": "30", "y": "30", "font-size": "4", "font-family": serif, "textLength": wide(draw.Serif, "'\"&", 4), "lengthAdjust": "spacingAndGlyphs"}},
	} {
		if 5+i >= len(all) {
			t.Fatalf("the document ends before element %d", i)
		}
		if got := all[5+i]; got.name != want.name || got.words != want.words || !reflect.DeepEqual(got.attr, want.attr) {
			t.Errorf("element %d:\n got %s %q %v\nwant %s %q %v", i, got.name, got.words, got.attr, want.name, want.words, want.attr)
		}
	}
	if len(all) != 5+15 || len(all[19].in) != 2 {
		t.Errorf("%d elements, the last in %d groups", len(all), len(all[len(all)-1].in))
	}
	if !strings.Contains(serif, "serif") || serif == sans {
		t.Errorf("words are set from %q", serif)
	}
	second := elements(t, draw.SVG(d, 1))
	if second[1].words != "Tide, page 2 of 2" || second[2].words != "of this page" || second[0].attr["aria-labelledby"] == root["aria-labelledby"] || len(second) != 3 {
		t.Errorf("the second page is %+v", second)
	}
	d.Pages = d.Pages[:1]
	d.Language = ""
	if one := elements(t, draw.SVG(d, 0)); one[1].words != "Tide" || one[0].attr["lang"] != "en" {
		t.Errorf("a single page is called %q, in %q", one[1].words, one[0].attr["lang"])
	}
	if draw.SVG(d, -1) != nil || draw.SVG(d, 1) != nil {
		t.Error("a page that is not there is drawn")
	}
}

// pathOf writes steps as path data, each coordinate rounded to a whole one.
func pathOf(steps []draw.Step, k float64) string {
	var b strings.Builder
	for _, s := range steps {
		b.WriteByte("MLCZ"[s.Op])
		for i, p := range s.P[:s.Op.Points()] {
			if i > 0 {
				b.WriteByte(' ')
			}
			fmt.Fprintf(&b, "%.0f %.0f", p.X*k+0.0, p.Y*k+0.0)
		}
	}
	return strings.ReplaceAll(b.String(), "-0 ", "0 ")
}

// TestPlacedKeepsShape: what is scaled and moved has its ink scaled and moved, to the width of its
// strokes, and the original stays.
func TestPlacedKeepsShape(t *testing.T) {
	const k, dx, dy = 1.5, 10.0, -4.0
	before := draw.SVG(sketch(), 0)
	d := sketch()
	for _, it := range d.Pages[0].Items {
		if g, ok := it.(draw.Glyph); ok && !g.Symbol.Known() {
			continue
		}
		want := it.Bounds()
		got := draw.Placed(it, k, dx, dy).Bounds()
		for i, c := range [4][2]float64{{got.X0, want.X0*k + dx}, {got.Y0, want.Y0*k + dy}, {got.X1, want.X1*k + dx}, {got.Y1, want.Y1*k + dy}} {
			if math.Abs(c[0]-c[1]) > 1e-9 {
				t.Errorf("%T %v: edge %d lies at %g, want %g", it, it, i, c[0], c[1])
			}
		}
	}
	if !bytes.Equal(draw.SVG(d, 0), before) {
		t.Error("the drawing that something was taken from has changed")
	}
	if r := draw.Placed(draw.Rule{Width: 1, Dash: 2}, k, 0, 0).(draw.Rule); r.Dash != 3 || r.Width != 1.5 {
		t.Errorf("a dash of 2 mm becomes %g, a width of 1 mm %g", r.Dash, r.Width)
	}
	if b := draw.Placed(draw.Box{Radius: 2, W: 9, H: 9}, k, 0, 0).(draw.Box); b.Radius != 3 {
		t.Errorf("a corner of 2 mm becomes %g", b.Radius)
	}
	g := draw.Placed(&draw.Group{Class: "note", Keys: []draw.Key{{Name: "bar", Value: "1"}}}, k, dx, dy).(*draw.Group)
	if g.Class != "note" || len(g.Keys) != 1 {
		t.Errorf("a group becomes %+v", g)
	}
}
