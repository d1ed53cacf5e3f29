package draw_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
	drawn "lapwright/sheet/png"
)

// sample is a page with every kind of item.
func sample(text string) *draw.Drawing {
	return &draw.Drawing{
		Title: "Kūlia & the <tide>", Language: "en", Description: "A page of everything \x07 \"quoted\"",
		Bookmarks: []draw.Bookmark{{Title: "Begin", Page: 0, Y: 10}},
		Pages: []*draw.Page{{W: 100, H: 60, Items: []draw.Item{
			draw.Rule{X1: 5, Y1: 5, X2: 95, Y2: 5, Width: 0.2},
			draw.Rule{X1: 5, Y1: 8, X2: 95, Y2: 8, Width: 0.3, Dash: 1, Ink: draw.Grey},
			draw.Rule{X1: 5, Y1: 12, X2: 20, Y2: 16, Width: 1, Round: true},
			draw.Box{X: 25, Y: 10, W: 20, H: 8, Radius: 2, Width: 0.3},
			draw.Box{X: 50, Y: 10, W: 20, H: 8, Ink: draw.Pale},
			draw.Path{Width: 0.4, Steps: []draw.Step{{draw.MoveTo, [3]draw.Point{{75, 18}}}, {draw.CurveTo, [3]draw.Point{{80, 8}, {85, 8}, {92, 18}}}}},
			&draw.Group{Class: "note", Keys: []draw.Key{{"bar", "3"}, {"at", "1/4"}}, Items: []draw.Item{
				draw.Glyph{Symbol: draw.GClef8vb, X: 10, Y: 35, Space: 1.75},
				draw.Glyph{Symbol: draw.NoteheadBlack, X: 20, Y: 35, Space: 1.75},
			}},
			draw.Text{S: text, Font: draw.Serif, Size: 4, X: 30, Y: 30},
			draw.Text{S: "B♭ F♯ ʻokina ā Ελληνικά Кириллица", Font: draw.SerifItalic, Size: 4, X: 30, Y: 36},
			draw.Text{S: "R 3 5 ♭7 12", Font: draw.SansBold, Size: 3, X: 50, Y: 42, Anchor: draw.Middle},
			draw.Text{S: "Title", Font: draw.SerifBold, Size: 5, X: 95, Y: 50, Anchor: draw.End, Ink: draw.Grey},
		}}},
	}
}

func TestSameBytesEveryTime(t *testing.T) {
	a, b := sample("one"), sample("one")
	if !bytes.Equal(draw.SVG(a, 0), draw.SVG(b, 0)) {
		t.Error("SVG differs between two runs")
	}
	p, err := pdf.Write(a)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		q, err := pdf.Write(b)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(p, q) {
			t.Fatal("PDF differs between two runs")
		}
	}
	x, err := drawn.Write(a, 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	y, err := drawn.Write(b, 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(x, y) {
		t.Error("PNG differs between two runs")
	}
}

// TestHostileText puts texts that try to leave their element through every
// field that reaches the draw.SVG, and reads it back with the standard XML decoder.
func TestHostileText(t *testing.T) {
	for i, s := range []string{
		`</text><script>alert(1)</script>`, `" onload="alert(1)`, `<![CDATA[x]]>`, "&amp;&#0;&bogus;", "a\x00b\x01c\ufffe", "]]>", "<!--", "\xff\xfe", `'><g data-x='`,
	} {
		d := sample(s)
		d.Title, d.Description, d.Language = s, s, s
		d.Pages[0].Items = append(d.Pages[0].Items, &draw.Group{Class: s, Keys: []draw.Key{{s + "x", s}}, Items: []draw.Item{draw.Text{S: s, Size: 3}}})
		dec := xml.NewDecoder(bytes.NewReader(draw.SVG(d, 0)))
		texts := 0
		for {
			tok, err := dec.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%q: the draw.SVG is not well formed: %v", s, err)
			}
			if e, ok := tok.(xml.StartElement); ok {
				switch e.Name.Local {
				case "svg", "title", "desc", "defs", "path", "g", "use", "text", "rect":
				default:
					t.Errorf("%q: made its way out as <%s>", s, e.Name.Local)
				}
				for _, a := range e.Attr {
					if strings.HasPrefix(a.Name.Local, "on") {
						t.Errorf("%q: made an attribute %s", s, a.Name.Local)
					}
				}
				if e.Name.Local == "text" {
					texts++
				}
			}
		}
		if texts == 0 {
			t.Errorf("%q: no text in the SVG", s)
		}
		if i > 2 {
			continue // texts go into a PDF one way: a few are enough
		}
		if _, err := pdf.Write(d); err != nil {
			t.Errorf("%q: %v", s, err)
		}
	}
}

func TestBounds(t *testing.T) {
	for _, c := range []struct {
		name string
		item draw.Item
		want draw.Rect
	}{
		{"upright line", draw.Rule{X1: 1, Y1: 2, X2: 1, Y2: 5, Width: 0.2}, draw.Rect{0.9, 2, 1.1, 5}},
		{"outlined box", draw.Box{X: 1, Y: 1, W: 2, H: 2, Width: 0.2}, draw.Rect{0.9, 0.9, 3.1, 3.1}},
		// The middle of a symmetric cubic lies at three quarters of its control height.
		{"arch", draw.Path{Steps: []draw.Step{{draw.MoveTo, [3]draw.Point{{0, 0}}}, {draw.CurveTo, [3]draw.Point{{1, -4}, {3, -4}, {4, 0}}}}}, draw.Rect{0, -3, 4, 0}},
		{"group", &draw.Group{Items: []draw.Item{draw.Box{X: 0, Y: 0, W: 1, H: 1}, draw.Box{X: 3, Y: 3, W: 1, H: 1}}}, draw.Rect{0, 0, 4, 4}},
	} {
		got := c.item.Bounds()
		if math.Abs(got.X0-c.want.X0)+math.Abs(got.Y0-c.want.Y0)+math.Abs(got.X1-c.want.X1)+math.Abs(got.Y1-c.want.Y1) > 1e-9 {
			t.Errorf("%s: bounds %v, want %v", c.name, got, c.want)
		}
	}
}

func TestEverySymbolIsInTheFont(t *testing.T) {
	if len(draw.Symbols()) < 90 {
		t.Fatalf("only %d symbols", len(draw.Symbols()))
	}
	for _, s := range draw.Symbols() {
		if !s.Known() {
			t.Errorf("%s (U+%04X) is not in the music font", s, rune(s))
		}
	}
	bad := &draw.Drawing{Pages: []*draw.Page{{W: 10, H: 10, Items: []draw.Item{draw.Glyph{Symbol: 0xF8FE, Space: 1}}}}}
	if _, err := pdf.Write(bad); err == nil {
		t.Error("a symbol that is not in the font went into a PDF without an error")
	}
	if _, err := drawn.Write(bad, 0, 72); err == nil {
		t.Error("a symbol that is not in the font went into a PNG without an error")
	}
}

func TestLettersThatPrint(t *testing.T) {
	for _, s := range []string{"Harbour Street, waltz", "ʻŌhiʻa lehua, Kāneʻohe", "Ελληνικός σκοπός", "Русская песня, Київ", "façade Łódź Ősz Þing", "B♭ F♯ E♮", "“quotes” – dash … ½"} {
		for f := range draw.Fonts {
			if lacking, ok := f.Prints(s); !ok {
				t.Errorf("font %d lacks %q of %q", f, lacking, s)
			}
		}
	}
	if lacking, ok := draw.Serif.Prints("雪と"); ok || len(lacking) != 2 {
		t.Errorf("letters that no font has were not reported: %q", lacking)
	}
	if _, ok := draw.Serif.Prints("שלום"); ok {
		t.Error("letters set from right to left were not reported")
	}
	d := sample("雪")
	if got := d.Unprinted(); len(got) != 1 || got[0] != "雪" {
		t.Errorf("Unprinted gives %q", got)
	}
}

func BenchmarkPDF(b *testing.B) {
	d := sample("one")
	for b.Loop() {
		if _, err := pdf.Write(d); err != nil {
			b.Fatal(err)
		}
	}
}
