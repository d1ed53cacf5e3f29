package refcheck

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/musicxml"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/tune"
)

// mark is one piece of ink on a page with what it is: the classes of the groups
// that it stands in.
type mark struct {
	what  string
	in    []*draw.Group
	class []string
	box   draw.Rect
	shape draw.Path // for curves, which are tested by points along them
}

// within reports whether a mark stands in a group of the given class.
func (m *mark) within(class string) bool { return slices.Contains(m.class, class) }

// ofOneSign reports whether two marks stand together in a group whose parts may
// touch.
func ofOneSign(a, b *mark) bool {
	for i := 0; i < min(len(a.in), len(b.in)) && a.in[i] == b.in[i]; i++ {
		if signs[a.in[i].Class] {
			return true
		}
	}
	return false
}

// touch is how far two boxes may overlap, in millimetres: less than the width
// of a staff line, which no eye takes for a collision.
const touch = 0.12

// collisions lists the pairs of marks on a page that overlap and should not,
// and what leaves the page's margins. It knows nothing of how the page was laid
// out: only boxes and the classes of groups.
//
// Allowed are:
//   - parts of one note (heads of a second touch, a dot may stand by a flag)
//   - heads of different voices at one instant that share a place (a unison),
//     and the flags that hang by a shared head
//   - parts of one sign made of several symbols: an accidental with its
//     brackets, a key or time signature, a chord symbol, a wiggle, a tuplet's
//     number, a tempo, dots
//   - the letters of a text and the box drawn round it
//   - the bar under the dots of a neck picture, and by the numbers of a grip
//
// Staff lines, strings, ledger lines, stems and beams may cross symbols: that is
// how notation works. Words may not be crossed by stems, beams, slurs or ties.
func collisions(p *draw.Page, margin float64) []string {
	var symbols, words, strokes []*mark
	p.Walk(func(in []*draw.Group, it draw.Item) {
		m := &mark{in: slices.Clone(in), box: it.Bounds()}
		for _, g := range in {
			m.class = append(m.class, g.Class)
		}
		switch it := it.(type) {
		case draw.Glyph:
			m.what = it.Symbol.String()
			if !m.within("frame") {
				symbols = append(symbols, m)
			}
		case draw.Text:
			m.what = fmt.Sprintf("%q", it.S)
			words = append(words, m)
		case draw.Path:
			m.what, m.shape = "curve or beam", it
			strokes = append(strokes, m)
		case draw.Rule:
			m.what = "line"
			if m.within("stem") || m.within("ending") || m.within("tuplet") || m.within("lyric-line") || m.within("steel") {
				strokes = append(strokes, m)
			}
		}
	})
	var out []string
	report := func(a, b *mark, why string) {
		out = append(out, fmt.Sprintf("%s [%s] at %.1f,%.1f %s %s [%s] at %.1f,%.1f", a.what, last(a.class), a.box.X0, a.box.Y0, why, b.what, last(b.class), b.box.X0, b.box.Y0))
	}
	solid := append(slices.Clone(symbols), words...)
	page := draw.Rect{X0: margin - 0.3, Y0: margin - 0.3, X1: p.W - margin + 0.3, Y1: p.H - margin + 2}
	for _, m := range append(slices.Clone(solid), strokes...) {
		if m.box.X0 < page.X0 || m.box.X1 > page.X1 || m.box.Y0 < page.Y0 || m.box.Y1 > page.Y1 {
			out = append(out, fmt.Sprintf("%s [%s] at %.1f,%.1f–%.1f,%.1f leaves the margins", m.what, last(m.class), m.box.X0, m.box.Y0, m.box.X1, m.box.Y1))
		}
		if math.IsNaN(m.box.X0 + m.box.Y0 + m.box.X1 + m.box.Y1) {
			out = append(out, m.what+" stands nowhere")
		}
	}
	// A sweep from left to right: only neighbours are compared.
	slices.SortStableFunc(solid, func(a, b *mark) int {
		switch {
		case a.box.X0 < b.box.X0:
			return -1
		case a.box.X0 > b.box.X0:
			return 1
		}
		return 0
	})
	for i, a := range solid {
		for _, b := range solid[i+1:] {
			if b.box.X0 >= a.box.X1 {
				break
			}
			if !a.box.Grow(-touch/2).Overlaps(b.box.Grow(-touch/2)) || allowed(a, b) {
				continue
			}
			report(a, b, "runs into")
		}
	}
	for _, w := range words {
		box := w.box.Grow(-touch / 2)
		for _, s := range strokes {
			if !s.box.Overlaps(box) || ofOneSign(w, s) || s.within("steel") && (w.within("dot") || w.within("fret")) {
				continue
			}
			if len(s.shape.Steps) > 0 && !crosses(s.shape, box) {
				continue
			}
			report(w, s, "is crossed by")
		}
	}
	return out
}

// signs are the groups whose own parts may touch.
var signs = map[string]bool{
	"note": true, "accidental": true, "key": true, "time": true, "chord": true, "vibrato": true, "tuplet": true,
	"tempo": true, "dot": true, "rest": true, "part": true, "ending": true, "remark": true, "legend-item": true,
	"join": true, "rhythm": true, "lyric-line": true, "grip": true,
}

func allowed(a, b *mark) bool {
	if ofOneSign(a, b) {
		return true
	}
	if a.within("head") && b.within("head") && a.within("note") && b.within("note") {
		// A unison of two voices: the same place exactly.
		return math.Abs(a.box.X0-b.box.X0) < 0.01 && math.Abs(a.box.Y0-b.box.Y0) < 0.01
	}
	// A unison drawn with one head: the flag of the note without a head of its
	// own hangs by it as by its own.
	return a.within("head") && headless(b) || b.within("head") && headless(a)
}

// headless reports whether a flag belongs to a note whose heads another note shows.
func headless(m *mark) bool {
	if !m.within("flag") {
		return false
	}
	for _, g := range m.in {
		if g.Class != "note" {
			continue
		}
		for _, it := range g.Items {
			if h, ok := it.(*draw.Group); ok && h.Class == "head" && len(h.Items) > 0 {
				return false
			}
		}
		return true
	}
	return false
}

func last(s []string) string {
	if len(s) == 0 {
		return ""
	}
	return s[len(s)-1]
}

// crosses samples a filled shape's outline and reports whether any of it lies in
// the box.
func crosses(p draw.Path, box draw.Rect) bool {
	var at draw.Point
	in := func(q draw.Point) bool { return q.X > box.X0 && q.X < box.X1 && q.Y > box.Y0 && q.Y < box.Y1 }
	for _, s := range p.Steps {
		end := s.P[0]
		if s.Op == draw.CurveTo {
			end = s.P[2]
		}
		for i := range 21 {
			t := float64(i) / 20
			u := 1 - t
			q := draw.Point{X: at.X*u + end.X*t, Y: at.Y*u + end.Y*t}
			switch s.Op {
			case draw.MoveTo:
				q = end
			case draw.CurveTo:
				q = draw.Point{
					X: u*u*u*at.X + 3*u*u*t*s.P[0].X + 3*u*t*t*s.P[1].X + t*t*t*end.X,
					Y: u*u*u*at.Y + 3*u*u*t*s.P[0].Y + 3*u*t*t*s.P[1].Y + t*t*t*end.Y,
				}
			case draw.Close:
				continue
			}
			if in(q) {
				return true
			}
		}
		if s.Op != draw.Close {
			at = end
		}
	}
	return false
}

// unfilled lists the systems of a drawing that do not fill their line, and
// those that reach over it. The last one may be short.
func unfilled(d *draw.Drawing, margin float64) []string {
	var out []string
	type sys struct {
		page  int
		right float64
	}
	var all []sys
	for pi, p := range d.Pages {
		seen := map[*draw.Group]float64{}
		var order []*draw.Group
		p.Walk(func(in []*draw.Group, it draw.Item) {
			for i, g := range in {
				if g.Class == "system" && i+1 < len(in) && in[len(in)-1].Class == "frame" {
					if _, ok := seen[g]; !ok {
						order = append(order, g)
					}
					seen[g] = max(seen[g], it.Bounds().X1)
				}
			}
		})
		for _, g := range order {
			all = append(all, sys{pi, seen[g]})
		}
	}
	for i, s := range all {
		want := d.Pages[s.page].W - margin
		if s.right > want+0.3 {
			out = append(out, fmt.Sprintf("system %d reaches %.1f mm, over its line's %.1f", i+1, s.right, want))
		}
		if i+1 < len(all) && s.right < want-0.3 {
			out = append(out, fmt.Sprintf("system %d ends at %.1f mm of %.1f", i+1, s.right, want))
		}
	}
	if len(all) == 0 {
		out = append(out, "no systems")
	}
	return out
}

// tuneFiles reads every tune of the witness folder.
func sheetTunes(t testing.TB) []*tune.Tune {
	files, err := filepath.Glob(filepath.Join(Reference(t, "tunes"), "*.abc"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no tunes: %v", err)
	}
	var out []*tune.Tune
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		tunes, _, err := abc.Read(src, filepath.Base(f))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, tunes...)
	}
	return out
}

// TestSheetsHaveNoCollisions lays 330 tunes of the corpus out on three rigs,
// through all layouts and both papers in turn, and looks for marks that run
// into each other, leave the page or do not fill their line.
func TestSheetsHaveNoCollisions(t *testing.T) {
	tunes := sheetTunes(t)
	const want = 330
	if len(tunes) < want {
		t.Fatalf("%d tunes, want at least %d", len(tunes), want)
	}
	var rigs []*rig.Rig
	for _, name := range []string{"reso-open-g", "lap8-c13", "bender-open-d"} {
		r := rigtest.Builtin(t, name)
		rigs = append(rigs, r)
	}
	layouts := sheet.Layouts()
	papers := []draw.Paper{draw.A4, draw.Letter, draw.A4, draw.Phone}
	pages, bad, slants := 0, 0, 0
	for i := range want {
		tn := tunes[i*len(tunes)/want]
		for j, r := range rigs {
			o := sheet.Options{Layout: layouts[(i+j)%len(layouts)], Paper: papers[(i/2)%len(papers)], NameLine: i%7 == 0, Rhythm: i%5 == 0}
			// A third of them with notes added under the melody, for grips and slants.
			wish := arrange.Options{}
			if (i+j)%3 == 0 {
				wish.Harmony = arrange.Harmony(1 + i%3)
			}
			res, err := arrange.Arrange(t.Context(), tn, r, wish)
			if err != nil && wish.Harmony != arrange.NoHarmony {
				res, err = arrange.Arrange(t.Context(), tn, r, arrange.Options{}) // it has chords of its own
			}
			if err != nil {
				t.Fatalf("%s on %s: %v", tn.Title, r.Name, err)
			}
			all, _ := res.Tab.Slants()
			slants += all
			d, err := sheet.Lay(res.Tab, o)
			if err != nil {
				t.Fatalf("%s on %s: %v", tn.Title, r.Name, err)
			}
			var found []string
			for pi, p := range d.Pages {
				pages++
				for _, c := range collisions(p, 15) {
					found = append(found, fmt.Sprintf("page %d: %s", pi+1, c))
				}
			}
			found = append(found, unfilled(d, 15)...)
			if len(found) > 0 {
				bad++
				if bad <= 25 {
					t.Errorf("%s (%d) on %s, %s: %s", tn.Title, tn.Index, r.Name, o.Layout, strings.Join(found[:min(len(found), 3)], "\n\t"))
				}
			}
		}
	}
	t.Logf("%d pages, %d sheets with faults", pages, bad)
	if pages < want || slants == 0 {
		t.Errorf("only %d pages and %d slants were looked at", pages, slants)
	}
}

// TestEveryTuneDraws lays out every tune of the corpus and every score of the
// open MusicXML test suite and of the MusicXML 4.0 documentation, and draws
// them: no panic, every music symbol in the font, and the same rules as above.
func TestEveryTuneDraws(t *testing.T) {
	type piece struct {
		name string
		t    *tune.Tune
	}
	var all []piece
	for _, tn := range sheetTunes(t) {
		all = append(all, piece{tn.Title, tn})
	}
	corpus := len(all)
	for _, dir := range []string{"suite", filepath.Join("w3c-examples", "full")} {
		root := Reference(t, "musicxml", dir)
		err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".xml" && filepath.Ext(path) != ".musicxml" && filepath.Ext(path) != ".mxl" {
				return err
			}
			src, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			score, err := musicxml.Read(src, filepath.Base(path))
			if err != nil {
				return nil // what can't be read is the reader's business
			}
			for _, part := range score.Parts {
				all = append(all, piece{filepath.Base(path), part.Tune})
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(all)-corpus < 100 {
		t.Errorf("only %d MusicXML scores were read", len(all)-corpus)
	}
	bad := 0
	for _, p := range all {
		d, err := sheet.LayTune(p.t, sheet.Options{})
		if err != nil {
			t.Errorf("%s: %v", p.name, err)
			continue
		}
		var found []string
		for pi, pg := range d.Pages {
			if len(draw.SVG(d, pi)) == 0 {
				t.Errorf("%s: page %d is empty", p.name, pi+1)
			}
			found = append(found, collisions(pg, 15)...)
		}
		found = append(found, unfilled(d, 15)...)
		if len(found) > 0 {
			if bad++; bad <= 30 {
				t.Errorf("%s: %s", p.name, strings.Join(found[:min(len(found), 3)], "\n\t"))
			}
		}
	}
	t.Logf("%d tunes, %d MusicXML scores, %d with faults", corpus, len(all)-corpus, bad)
}

// TestPlantedCollisionsAreFound spoils a clean page in every way that the check
// is there for, and sees that it is noticed.
func TestPlantedCollisionsAreFound(t *testing.T) {
	tn := sheetTunes(t)[2]
	r, _ := rig.Builtin("reso-open-g")
	res, err := arrange.Arrange(t.Context(), tn, r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	clean := func() *draw.Drawing {
		d, err := sheet.Lay(res.Tab, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	if c := append(collisions(clean().Pages[0], 15), unfilled(clean(), 15)...); len(c) > 0 {
		t.Fatalf("the page is not clean to begin with: %s", c[0])
	}
	// find gives the boxes of all marks in groups of a class.
	find := func(d *draw.Drawing, class string) []draw.Rect {
		var out []draw.Rect
		d.Pages[0].Walk(func(in []*draw.Group, it draw.Item) {
			for _, g := range in {
				if g.Class == class {
					out = append(out, it.Bounds())
					return
				}
			}
		})
		if len(out) == 0 {
			t.Fatalf("no %q on the page", class)
		}
		return out
	}
	for _, c := range []struct {
		name  string
		plant func(d *draw.Drawing) draw.Item
	}{
		{"a word on a tab number", func(d *draw.Drawing) draw.Item {
			b := find(d, "fret")[3]
			return draw.Text{S: "x", Font: draw.Sans, Size: 3, X: b.X0, Y: b.Y1}
		}},
		{"a chord symbol on a notehead", func(d *draw.Drawing) draw.Item {
			b := find(d, "head")[2]
			return draw.Text{S: "Am", Font: draw.Serif, Size: 4, X: b.X0, Y: b.Y1}
		}},
		{"a symbol half a space into a notehead", func(d *draw.Drawing) draw.Item {
			b := find(d, "head")[0]
			return draw.Glyph{Symbol: draw.AccidentalSharp, X: b.X0 - 1.4, Y: (b.Y0 + b.Y1) / 2, Space: 1.7}
		}},
		{"a word across a stem", func(d *draw.Drawing) draw.Item {
			b := find(d, "stem")[0]
			return draw.Text{S: "mind the gap", Font: draw.Serif, Size: 2, X: b.X0 - 1, Y: (b.Y0+b.Y1)/2 + 0.2}
		}},
		{"a word under a beam", func(d *draw.Drawing) draw.Item {
			b := find(d, "beam")[0]
			return draw.Text{S: "m", Font: draw.Serif, Size: 3, X: (b.X0 + b.X1) / 2, Y: b.Y1 + 0.2}
		}},
		{"a word over the right edge", func(d *draw.Drawing) draw.Item {
			return draw.Text{S: "far out", Font: draw.Serif, Size: 4, X: 190, Y: 260}
		}},
		{"a symbol below the page", func(d *draw.Drawing) draw.Item {
			return draw.Glyph{Symbol: draw.NoteheadBlack, X: 50, Y: 296, Space: 1.7}
		}},
		{"a symbol that stands nowhere", func(d *draw.Drawing) draw.Item {
			return draw.Glyph{Symbol: draw.NoteheadBlack, X: math.NaN(), Y: 100, Space: 1.7}
		}},
	} {
		d := clean()
		d.Pages[0].Items = append(d.Pages[0].Items, c.plant(d))
		if len(collisions(d.Pages[0], 15)) == 0 {
			t.Errorf("%s went unnoticed", c.name)
		}
	}
	// A system drawn short, and one drawn over its line.
	for _, by := range []float64{-5, 5} {
		d := clean()
		first := true
		for _, it := range d.Pages[0].Items {
			g, ok := it.(*draw.Group)
			if !ok || g.Class != "system" || !first {
				continue
			}
			first = false
			frame := g.Items[0].(*draw.Group).Items[0].(*draw.Group)
			for i, it := range frame.Items {
				if l, ok := it.(draw.Rule); ok && l.X2 > 190 {
					if l.X1 == l.X2 {
						l.X1 += by
					}
					l.X2 += by
					frame.Items[i] = l
				}
			}
		}
		if len(unfilled(d, 15)) == 0 {
			t.Errorf("a system %g mm from full went unnoticed", by)
		}
	}
}
