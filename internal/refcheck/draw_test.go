package refcheck

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
	drawn "lapwright/sheet/png"
)

// smuflFont is what the tests read of a font's metadata (Standard Music Font
// Layout 1.4, font-specific metadata). Coordinates count upwards.
type smuflFont struct {
	FontVersion       json.Number                      `json:"fontVersion"`
	EngravingDefaults map[string]json.RawMessage       `json:"engravingDefaults"`
	Advances          map[string]float64               `json:"glyphAdvanceWidths"`
	Boxes             map[string]map[string][2]float64 `json:"glyphBBoxes"`
	Anchors           map[string]map[string][2]float64 `json:"glyphsWithAnchors"`
}

// TestMusicFontAgreesWithItsMetadata compares every symbol in use, its place,
// bounds, advance and anchors, and the engraving measures, with the metadata
// published beside the font and the layout's list of names.
func TestMusicFontAgreesWithItsMetadata(t *testing.T) {
	read := func(path string, v any) {
		t.Helper()
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(b, v); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
	}
	var names map[string]struct {
		Codepoint string `json:"codepoint"`
	}
	read(Reference(t, "smufl", "glyphnames.json"), &names)
	var font, vendored smuflFont
	read(Reference(t, "smufl", "bravura_metadata.json"), &font)
	read(filepath.Join(Root(t), "third_party", "bravura", "metadata.json"), &vendored)
	if font.FontVersion != vendored.FontVersion {
		t.Errorf("the metadata read is of version %s, the font is %s", font.FontVersion, vendored.FontVersion)
	}
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s: %.4f, the metadata says %.4f", what, got, want)
		}
	}
	symbols := draw.Symbols()
	if len(symbols) < 90 {
		t.Fatalf("only %d symbols", len(symbols))
	}
	for _, s := range symbols {
		name := s.String()
		if want := fmt.Sprintf("U+%04X", rune(s)); names[name].Codepoint != want {
			t.Errorf("%s is at %s, the layout puts it at %s", name, want, names[name].Codepoint)
		}
		box, ok := font.Boxes[name]
		if !ok {
			t.Errorf("%s has no bounds in the metadata", name)
			continue
		}
		// Bounds of the outline itself: the metadata rounds a little.
		b := s.Box()
		near(name+" left", b.X0, box["bBoxSW"][0], 0.01)
		near(name+" right", b.X1, box["bBoxNE"][0], 0.01)
		near(name+" top", -b.Y0, box["bBoxNE"][1], 0.01)
		near(name+" bottom", -b.Y1, box["bBoxSW"][1], 0.01)
		near(name+" advance", s.Advance(), font.Advances[name], 0.01)
		for anchor, at := range font.Anchors[name] {
			switch anchor {
			case "stemUpSE":
				near(name+" stem up x", s.StemUp().X, at[0], 1e-9)
				near(name+" stem up y", -s.StemUp().Y, at[1], 1e-9)
			case "stemDownNW":
				near(name+" stem down x", s.StemDown().X, at[0], 1e-9)
				near(name+" stem down y", -s.StemDown().Y, at[1], 1e-9)
			case "stemUpNW", "stemDownSW":
				near(name+" flag", -s.FlagAnchor().Y, at[1], 1e-9)
			}
		}
	}
	e := draw.Engraving
	for name, got := range map[string]float64{
		"staffLineThickness": e.StaffLine, "stemThickness": e.Stem, "legerLineThickness": e.LegerLine, "legerLineExtension": e.LegerExtension,
		"beamThickness": e.Beam, "beamSpacing": e.BeamGap,
		"slurEndpointThickness": e.SlurEnd, "slurMidpointThickness": e.SlurMiddle, "tieEndpointThickness": e.TieEnd, "tieMidpointThickness": e.TieMiddle,
		"thinBarlineThickness": e.ThinBarline, "thickBarlineThickness": e.ThickBarline, "barlineSeparation": e.BarlineGap, "repeatBarlineDotSeparation": e.RepeatDotGap,
		"repeatEndingLineThickness": e.EndingLine, "tupletBracketThickness": e.TupletBracket, "lyricLineThickness": e.LyricLine,
	} {
		var want float64
		if err := json.Unmarshal(font.EngravingDefaults[name], &want); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		near(name, got, want, 1e-9)
	}
}

// tool runs a program of the test machine and gives what it prints.
func drawTool(t *testing.T, name string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%s is missing: run `make test-tools`", name)
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// TestOtherReadersReadTheDrawing has poppler read a PDF and libxml2 an SVG: the
// words come back as they were in every script, the page has its size, the fonts
// are embedded as subsets.
func TestOtherReadersReadTheDrawing(t *testing.T) {
	words := []string{"Ferry and tide", "Kūlia i ka nuʻu", "Ελληνικός χορός", "Песня над рекой", "B♭ F♯ façade"}
	page := &draw.Page{W: 148, H: 105}
	for i, w := range words {
		page.Items = append(page.Items, draw.Text{S: w, Font: draw.Serif, Size: 5, X: 10, Y: 15 + 10*float64(i)})
	}
	page.Items = append(page.Items, draw.Glyph{Symbol: draw.GClef8vb, X: 10, Y: 80, Space: 2})
	d := &draw.Drawing{Title: "Kūlia & <Κύμα>", Language: "el", Description: "what it says", Pages: []*draw.Page{page, page}, Bookmarks: []draw.Bookmark{{Title: "Begin here"}, {Title: "And on", Level: 1, Page: 1}}}
	dir := t.TempDir()
	document, err := pdf.Write(d)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "a.pdf")
	if err := os.WriteFile(name, document, 0o644); err != nil {
		t.Fatal(err)
	}
	text := drawTool(t, "pdftotext", "-enc", "UTF-8", name, "-")
	for _, w := range words {
		if strings.Count(text, w) != 2 {
			t.Errorf("poppler reads %q %d times of 2 in %q", w, strings.Count(text, w), text)
		}
	}
	info := drawTool(t, "pdfinfo", "-enc", "UTF-8", name)
	for _, w := range []string{"Kūlia & <Κύμα>", "Pages:           2", "419.53 x 297.64 pts"} {
		if !strings.Contains(info, w) {
			t.Errorf("poppler's account of the file lacks %q:\n%s", w, info)
		}
	}
	if strings.Contains(info, "Author") {
		t.Error("the file names an author")
	}
	if !bytes.Contains(document, []byte("/Lang (")) || !bytes.Contains(document, []byte("/Outlines")) {
		t.Error("the file has no language or no outline")
	}
	fonts := drawTool(t, "pdffonts", name)
	if strings.Count(fonts, "yes no  yes")+strings.Count(fonts, "yes yes yes") == 0 {
		t.Errorf("fonts are not embedded:\n%s", fonts)
	}
	svg := filepath.Join(dir, "a.svg")
	if err := os.WriteFile(svg, draw.SVG(d, 0), 0o644); err != nil {
		t.Fatal(err)
	}
	drawTool(t, "xmllint", "--noout", "--nonet", svg)
	for query, want := range map[string]string{
		`string(//*[local-name()="title"])`:                            "Kūlia & <Κύμα>, page 1 of 2",
		`string(//*[local-name()="desc"])`:                             "what it says",
		`string(/*/@role)`:                                             "img",
		`string(/*/@lang)`:                                             "el",
		`string((//*[local-name()="text"])[2])`:                        "Kūlia i ka nuʻu",
		`count(//*[local-name()="use"])`:                               "1",
		`boolean(//*[@id=substring(//*[local-name()="use"]/@href,2)])`: "true",
	} {
		if got := strings.TrimSpace(drawTool(t, "xmllint", "--xpath", query, svg)); got != want {
			t.Errorf("libxml2 answers %s with %q, want %q", query, got, want)
		}
	}
}

// TestSameInk compares the PNG with the PDF as poppler draws it: the same marks
// in the same places, as far as two rasterisers agree.
func TestSameInk(t *testing.T) {
	page := &draw.Page{W: 60, H: 40}
	for i := range 5 {
		page.Items = append(page.Items, draw.Rule{X1: 4, Y1: 10 + 2*float64(i), X2: 56, Y2: 10 + 2*float64(i), Width: 0.26})
	}
	page.Items = append(page.Items,
		draw.Glyph{Symbol: draw.GClef8vb, X: 5, Y: 16, Space: 2}, draw.Glyph{Symbol: draw.NoteheadBlack, X: 20, Y: 14, Space: 2},
		draw.Glyph{Symbol: draw.AccidentalSharp, X: 17, Y: 14, Space: 2}, draw.Text{S: "Tide ♭7", Font: draw.SerifBold, Size: 5, X: 30, Y: 32, Anchor: draw.Middle},
		draw.Box{X: 45, Y: 25, W: 8, H: 6, Radius: 1.5, Width: 0.4}, draw.Rule{X1: 30, Y1: 12, X2: 40, Y2: 16, Width: 0.6, Round: true})
	d := &draw.Drawing{Title: "ink", Pages: []*draw.Page{page}}
	dir := t.TempDir()
	document, err := pdf.Write(d)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "a.pdf")
	if err := os.WriteFile(name, document, 0o644); err != nil {
		t.Fatal(err)
	}
	const dpi = 254 // ten pixels a millimetre
	drawTool(t, "pdftoppm", "-r", "254", "-gray", "-singlefile", name, filepath.Join(dir, "a"))
	theirs, w, h := readPGM(t, filepath.Join(dir, "a.pgm"))
	ours, err := drawn.Write(d, 0, dpi)
	if err != nil {
		t.Fatal(err)
	}
	mine := grey(t, ours)
	// Ink in each square of two millimetres, in mm².
	const cell = 20
	worst, inked := 0.0, 0
	for cy := 0; cy+cell <= h; cy += cell {
		for cx := 0; cx+cell <= w; cx += cell {
			a, b := 0.0, 0.0
			for y := cy; y < cy+cell; y++ {
				for x := cx; x < cx+cell; x++ {
					a += 1 - float64(theirs[y*w+x])/255
					b += 1 - mine(x, y)
				}
			}
			worst = max(worst, math.Abs(a-b)/100)
			if a > 5 {
				inked++
			}
		}
	}
	// Poppler thickens thin strokes by up to a pixel's breadth: 0.1 mm along the
	// two millimetres of a line, and a square may hold one line and a half.
	if worst > 0.35 {
		t.Errorf("a square of 4 mm² differs by %.2f mm² of ink", worst)
	}
	if inked < 60 {
		t.Errorf("only %d squares have ink", inked)
	}
}

// readPGM reads a binary grey picture (netpbm's PGM format).
func readPGM(t *testing.T, name string) (pix []byte, w, h int) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var top int
	if n, err := fmt.Fscanf(bytes.NewReader(b), "P5\n%d %d\n%d\n", &w, &h, &top); n != 3 || err != nil || top != 255 {
		t.Fatalf("%s is no PGM picture: %v", name, err)
	}
	return b[len(b)-w*h:], w, h
}

// grey decodes a PNG and gives the brightness of its pixels, 0 to 1.
func grey(t *testing.T, b []byte) func(x, y int) float64 {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return func(x, y int) float64 {
		r, _, _, _ := img.At(x, y).RGBA()
		return float64(r) / 0xFFFF
	}
}
