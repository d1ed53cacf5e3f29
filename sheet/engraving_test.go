package sheet_test

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// within calls f with every item of a page that stands in a group of the class.
func within(p *draw.Page, class string, f func(groups []*draw.Group, it draw.Item)) {
	p.Walk(func(groups []*draw.Group, it draw.Item) {
		if slices.ContainsFunc(groups, func(g *draw.Group) bool { return g.Class == class }) {
			f(groups, it)
		}
	})
}

func lay(t *testing.T, tb *tab.Tab, o sheet.Options) *draw.Drawing {
	t.Helper()
	d, err := sheet.Lay(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// spaceOf returns the size of a sheet's notes, in millimetres to a staff space.
func spaceOf(d *draw.Drawing) float64 {
	space := 0.0
	for _, p := range d.Pages {
		within(p, "head", func(_ []*draw.Group, it draw.Item) {
			if g, ok := it.(draw.Glyph); ok {
				space = max(space, g.Space)
			}
		})
	}
	return space
}

// TestOnePage: a sheet whose second page would be mostly empty is set smaller on one
// page, down to 88 % and no farther; one that fits keeps its size.
func TestOnePage(t *testing.T) {
	full := spaceOf(lay(t, long(t, 1), sheet.Options{}))
	small, several := 0, 0
	for times := 2; times <= 12; times++ {
		d := lay(t, long(t, times), sheet.Options{})
		switch size := spaceOf(d) / full; {
		case len(d.Pages) == 1 && size < 0.9999:
			small++
			if size < 0.88-1e-9 {
				t.Errorf("%d times: set at %.2f of its size", times, size)
			}
		case len(d.Pages) > 1:
			several++
			if size < 0.9999 {
				t.Errorf("%d times: %d pages at %.2f of their size", times, len(d.Pages), size)
			}
		}
		if len(d.Pages) == 2 {
			low := 0.0
			for _, it := range d.Pages[1].Items {
				if g, ok := it.(*draw.Group); ok && g.Class == "system" {
					low = max(low, g.Bounds().Y1)
				}
			}
			t.Logf("%d times: two pages, the second down to %.0f mm", times, low)
		}
	}
	if small == 0 || several == 0 {
		t.Errorf("%d sheets were set smaller on one page, %d have several: the test sees nothing", small, several)
	}
}

// TestClefOfTheOctave: a tune that was moved for the instrument, or lies low, has an
// 8 under its clef; one left in its octave stands where it sounds.
func TestClefOfTheOctave(t *testing.T) {
	clef := func(transposed int, words string) (draw.Symbol, float64) {
		r, _ := rig.Builtin("reso-open-g")
		tn := &tune.Tune{Title: "Step", Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, words)}}
		tb := &tab.Tab{Tune: tn, Rig: r, Transposed: transposed}
		d := lay(t, tb, sheet.Options{})
		var sym draw.Symbol
		at, line := 0.0, 0.0
		d.Pages[0].Walk(func(groups []*draw.Group, it draw.Item) {
			g, ok := it.(draw.Glyph)
			if !ok {
				return
			}
			switch groups[len(groups)-1].Class {
			case "clef":
				if g.Symbol == draw.GClef || g.Symbol == draw.GClef8vb {
					sym, line = g.Symbol, g.Y // the line of G4
				}
			case "head":
				at = g.Y / g.Space
				line /= g.Space
			}
		})
		return sym, line - at
	}
	for _, c := range []struct {
		transposed int
		words      string
		want       draw.Symbol
		above      float64 // staff spaces over the clef's line, G4 or with an 8 G3
	}{
		{0, "G4/1", draw.GClef, 0}, {0, "B4/1", draw.GClef, 1}, {0, "G3/1", draw.GClef8vb, 0}, {-12, "G4/1", draw.GClef8vb, 3.5},
	} {
		if got, above := clef(c.transposed, c.words); got != c.want || math.Abs(above-c.above) > 1e-6 {
			t.Errorf("%s moved by %d: %s, the note %g spaces over its line; want %s and %g", c.words, c.transposed, got, above, c.want, c.above)
		}
	}
}

// TestChordPiecesKeepTheirRoom: each piece of a chord symbol says in SVG how long it
// is, so that none runs into the next where a browser takes a wider font.
func TestChordPiecesKeepTheirRoom(t *testing.T) {
	tb := sheettest.EveryMark(t)
	tb.Tune.Bars[0].Chords = []tune.ChordAt{sheettest.Chord(t, 0, "Em")}
	svg := string(draw.SVG(lay(t, tb, sheet.Options{}), 0))
	m := regexp.MustCompile(`(?s)<g class="chord".*?</g>`).FindString(svg)
	if !strings.Contains(m, ">E</text>") || !strings.Contains(m, ">m</text>") {
		t.Fatalf("no Em in %q", m)
	}
	if n := strings.Count(m, "textLength="); n != 2 {
		t.Errorf("%d of two pieces say how long they are:\n%s", n, m)
	}
}

// TestGraceNumbers: a grace's number has 70 % of the size of the others, and the
// slide or slur that leads on from it.
func TestGraceNumbers(t *testing.T) {
	for name, c := range map[string]struct {
		grace, main tab.Pluck
		class       string
	}{
		"slide": {tab.Pluck{String: 1, Fret: 4, Glide: true}, tab.Pluck{String: 1, Fret: 5, Attack: tab.Glided}, "glide"},
		"slur":  {tab.Pluck{String: 1, Fret: 4}, tab.Pluck{String: 1, Fret: 5, Attack: tab.Hammered}, "join"},
	} {
		r, _ := rig.Builtin("reso-open-g")
		tn := &tune.Tune{Title: "Grace", Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, "g:F#4/8 G4/1")}}
		tb := &tab.Tab{Tune: tn, Rig: r}
		for i, m := range tune.Moments(tn) {
			p := []tab.Pluck{c.grace, c.main}[i]
			p.Ref, p.Len = m.Notes[0].Ref, m.Notes[0].Len
			at := steel.Placement{Kind: steel.Straight, First: 1, Last: 1, FirstFret: p.Fret, LastFret: p.Fret}
			tb.Strokes = append(tb.Strokes, tab.Stroke{BarIndex: m.BarIndex, At: m.At, Len: m.Len, Grace: m.Grace, Placement: at, Plucks: []tab.Pluck{p}})
		}
		d := lay(t, tb, sheet.Options{})
		sizes := map[string]float64{}
		within(d.Pages[0], "fret", func(_ []*draw.Group, it draw.Item) {
			if x, ok := it.(draw.Text); ok {
				sizes[x.S] = x.Size
			}
		})
		if got := sizes["4"] / sizes["5"]; math.Abs(got-0.7) > 1e-9 {
			t.Errorf("%s: the grace has %g of the size", name, got)
		}
		joined := 0
		d.Pages[0].Walk(func(groups []*draw.Group, it draw.Item) {
			in := func(class string) bool {
				return slices.ContainsFunc(groups, func(g *draw.Group) bool { return g.Class == class })
			}
			if _, text := it.(draw.Text); in("system") && in(c.class) && !text {
				joined++
			}
		})
		if joined == 0 {
			t.Errorf("%s: nothing leads from the grace to its note", name)
		}
	}
}

// laid is a bar on a rig with one chord, as the steel is laid.
func laid(t *testing.T, p steel.Placement, plucks ...tab.Pluck) *tab.Tab {
	t.Helper()
	r, _ := rig.Builtin("reso-open-g")
	tn := &tune.Tune{Title: "Laid", Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, "G3+B3+D4/1")}}
	tb := &tab.Tab{Tune: tn, Rig: r, Transposed: -12}
	m := tune.Moments(tn)[0]
	for i := range plucks {
		plucks[i].Ref, plucks[i].Len = m.Notes[i].Ref, m.Notes[i].Len
	}
	tb.Strokes = []tab.Stroke{{Len: m.Len, Placement: p, Plucks: plucks}}
	return tb
}

// textsOf lists the texts of a class in a drawing.
func textsOf(d *draw.Drawing, class string) []string {
	var out []string
	for _, p := range d.Pages {
		within(p, class, func(_ []*draw.Group, it draw.Item) {
			if x, ok := it.(draw.Text); ok {
				out = append(out, x.S)
			}
		})
	}
	return out
}

// TestLaidShort: a square steel whose heel is lifted off open strings says under the
// tablature which strings it lies on; one that lies across says nothing.
func TestLaidShort(t *testing.T) {
	at := func(first, last int8) steel.Placement {
		return steel.Placement{Kind: steel.Straight, First: first, Last: last, FirstFret: 5, LastFret: 5}
	}
	short := lay(t, laid(t, at(1, 2), tab.Pluck{String: 3}, tab.Pluck{String: 2, Fret: 5}, tab.Pluck{String: 1, Fret: 5}), sheet.Options{})
	if got := textsOf(short, "lean"); !slices.Equal(got, []string{"1–2"}) {
		t.Errorf("under a steel on strings 1 and 2 stands %q", got)
	}
	if got := strings.Join(textsOf(short, "legend"), " "); !strings.Contains(got, "lift its heel") {
		t.Errorf("the legend does not tell of the heel: %q", got)
	}
	across := lay(t, laid(t, at(1, 6), tab.Pluck{String: 3, Fret: 5}, tab.Pluck{String: 2, Fret: 5}, tab.Pluck{String: 1, Fret: 5}), sheet.Options{})
	if got := textsOf(across, "lean"); len(got) > 0 {
		t.Errorf("under a steel that lies across stands %q", got)
	}
}

// TestRoomOverLegend: at least 2 mm are left between the last row and the legend,
// however full the first page is.
func TestRoomOverLegend(t *testing.T) {
	nearest := math.Inf(1)
	for times := 1; times <= 30; times++ {
		for _, layout := range []sheet.Layout{sheet.Full, sheet.TabOnly} {
			d := lay(t, long(t, times), sheet.Options{Layout: layout})
			low, top := 0.0, math.Inf(1)
			for _, it := range d.Pages[0].Items {
				b := it.Bounds()
				switch g, ok := it.(*draw.Group); {
				case !ok:
				case g.Class == "legend":
					top = b.Y0
				case g.Class != "footer":
					low = max(low, b.Y1)
				}
			}
			nearest = min(nearest, top-low)
		}
	}
	if nearest < 2 {
		t.Errorf("only %.2f mm between the last row and the legend", nearest)
	}
	t.Logf("nearest: %.2f mm", nearest)
}

// TestProvenanceIsSmall: who wrote a tune down, its group and its history stand small
// on one line, or not at all; a note on how it is played keeps its size.
func TestProvenanceIsSmall(t *testing.T) {
	tb := sheettest.EveryMark(t)
	tb.Tune.Notes = []string{"Play it twice", "Group: evening", tune.FromScribe + "class of the harbour", tune.FromHistory + strings.Repeat("long ago on the quay ", 30)}
	d := lay(t, tb, sheet.Options{})
	var lines []draw.Text
	plain, again := 0.0, 0
	for _, p := range d.Pages {
		p.Walk(func(groups []*draw.Group, it draw.Item) {
			x, ok := it.(draw.Text)
			switch {
			case ok && len(groups) > 0 && groups[len(groups)-1].Class == "provenance":
				lines = append(lines, x)
			case ok && x.S == "Play it twice":
				plain = x.Size
			case ok && strings.Contains(x.S, "Group: "), ok && strings.Contains(x.S, "long ago"):
				again++
			}
		})
	}
	if len(lines) != 1 || !strings.HasPrefix(lines[0].S, "Group: evening · Transcription: class") || lines[0].Size > 0.8*plain || lines[0].Width() > 180 {
		t.Errorf("a note has %g mm, and where it comes from is %+v", plain, lines)
	}
	if again > 0 {
		t.Errorf("it stands %d times among the notes too", again)
	}
	if got := textsOf(lay(t, tb, sheet.Options{NoProvenance: true}), "provenance"); len(got) > 0 {
		t.Errorf("it was to be left off: %q", got)
	}
}

// TestRhythmRow: under the tablature a quarter has a full stem, a half a shorter one
// and a whole none, and the legend says so.
func TestRhythmRow(t *testing.T) {
	tb := sheettest.EveryMark(t)
	d := lay(t, tb, sheet.Options{Layout: sheet.TabOnly})
	stems := map[tune.Value]float64{}
	for i := range tb.Tune.Bars {
		for _, e := range tb.Tune.Bars[i].Lines[0] {
			if e.Kind == tune.Sounding && len(e.Tuplets) == 0 {
				at := e.At.String()
				within(d.Pages[0], "rhythm", func(groups []*draw.Group, it draw.Item) {
					g := groups[len(groups)-1]
					if r, ok := it.(draw.Rule); ok && g.Keys[0].Value == string(rune('0'+i)) && g.Keys[1].Value == at {
						stems[e.Value] = r.Y2 - r.Y1
					}
				})
			}
		}
	}
	quarterStem, half, whole := stems[tune.Value{Log2: 2}], stems[tune.Value{Log2: 1}], stems[tune.Value{}]
	if !(quarterStem > 3 && half > 0.3*quarterStem && half < 0.7*quarterStem) || whole != 0 {
		t.Errorf("stems of %.2f mm for a quarter, %.2f for a half, %.2f for a whole", quarterStem, half, whole)
	}
	if got := strings.Join(textsOf(d, "legend"), " "); !strings.Contains(got, "a half a short one") {
		t.Errorf("the legend: %q", got)
	}
}

// TestHyphensAreThin: the hyphen between two syllables is as thin as the font's own,
// a twentieth of its em.
func TestHyphensAreThin(t *testing.T) {
	d, err := sheet.LayTune(sheettest.EverySign(t), sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	em, thick := 0.0, math.Inf(1)
	for _, p := range d.Pages {
		within(p, "lyric", func(_ []*draw.Group, it draw.Item) { em = it.(draw.Text).Size })
		within(p, "lyric-line", func(_ []*draw.Group, it draw.Item) { thick = min(thick, it.(draw.Rule).Width) })
	}
	if em == 0 || thick > 0.055*em {
		t.Errorf("hyphens of %.3f mm at %.2f mm", thick, em)
	}
}

// TestManyBendersInATable: on an instrument with many benders those that are worked
// stand in a table; a few are said in words.
func TestManyBendersInATable(t *testing.T) {
	r, _ := rig.Builtin("pedal10-e9")
	for _, n := range []int{2, 5} {
		tb := laid(t, steel.Placement{Kind: steel.Straight, First: 1, Last: 10, FirstFret: 3, LastFret: 3}, tab.Pluck{String: 6, Fret: 3}, tab.Pluck{String: 5, Fret: 3}, tab.Pluck{String: 4, Fret: 3})
		tb.Rig = r
		tb.Strokes[0].Benders = 1<<n - 1
		d := lay(t, tb, sheet.Options{})
		table, title := textsOf(d, "benders"), strings.Join(textsOf(d, "title"), " ")
		if n == 2 {
			if len(table) > 0 || !strings.Contains(title, r.Benders[1].Mark+": "+r.Benders[1].Name) {
				t.Errorf("two benders: table %q, title %q", table, title)
			}
			continue
		}
		if len(table) != 3*n || table[0] != r.Benders[0].Mark || table[1] != r.Benders[0].Name || !strings.HasPrefix(table[2], "string ") {
			t.Errorf("five benders: %q", table)
		}
	}
}

// TestStringOneLow: when asked, the tablature is turned over: every number stands as
// far from the lowest line as it stood from the uppermost, and leaning steels with
// them; nothing moves sideways.
func TestStringOneLow(t *testing.T) {
	type mark struct{ x, y float64 }
	read := func(low bool) (frets map[string][]mark, top, bottom float64, steels []mark) {
		d := lay(t, sheettest.EveryMark(t), sheet.Options{Layout: sheet.TabOnly, StringOneLow: low, NoFingers: true, NoLean: true})
		frets = map[string][]mark{}
		top, bottom = math.Inf(1), math.Inf(-1)
		sys := 0
		for _, it := range d.Pages[0].Items {
			g, ok := it.(*draw.Group)
			if !ok || g.Class != "system" {
				continue
			}
			if sys++; sys > 1 {
				break
			}
			page := &draw.Page{Items: []draw.Item{g}}
			within(page, "frame", func(_ []*draw.Group, it draw.Item) {
				if r, ok := it.(draw.Rule); ok && r.Y1 == r.Y2 {
					top, bottom = min(top, r.Y1), max(bottom, r.Y1)
				}
			})
			within(page, "fret", func(groups []*draw.Group, it draw.Item) {
				x := it.(draw.Text)
				k := groups[len(groups)-1].Keys[0].Value
				frets[k] = append(frets[k], mark{x.X, x.Y})
			})
			within(page, "steel", func(_ []*draw.Group, it draw.Item) {
				if r, ok := it.(draw.Rule); ok {
					steels = append(steels, mark{min(r.X1, r.X2), max(r.X1, r.X2)})
				}
			})
		}
		return frets, top, bottom, steels
	}
	up, top, bottom, steelsUp := read(false)
	down, _, bottomDown, steelsDown := read(true)
	if len(up) < 3 || len(steelsUp) < 4 {
		t.Fatalf("numbers on %d strings, %d pieces of steel", len(up), len(steelsUp))
	}
	for k := range up {
		for i, a := range up[k] {
			b := down[k][i]
			// A number's baseline lies the same way below either line.
			base := a.y - top
			again := bottomDown - b.y
			gap := (bottom - top) / 5
			line, mirrored := math.Floor(base/gap+0.01), math.Ceil(again/gap-0.01)
			if math.Abs(a.x-b.x) > 1e-6 || line != mirrored {
				t.Errorf("string %s: %g over and %g under, %g mm aside", k, line, mirrored, a.x-b.x)
			}
		}
	}
	cmp := func(a, b mark) int { return int(math.Copysign(1, a.x+a.y-b.x-b.y)) }
	slices.SortFunc(steelsUp, cmp)
	slices.SortFunc(steelsDown, cmp)
	for i, a := range steelsUp {
		if b := steelsDown[i]; math.Abs(a.x-b.x) > 1e-6 || math.Abs(a.y-b.y) > 1e-6 {
			t.Errorf("a piece of the steel from %.2f to %.2f, turned over from %.2f to %.2f", a.x, a.y, b.x, b.y)
		}
	}
	title := strings.Join(textsOf(lay(t, sheettest.EveryMark(t), sheet.Options{StringOneLow: true}), "title"), " ")
	if !strings.Contains(title, "string 1 is the lowest line") {
		t.Errorf("the sheet does not say so: %q", title)
	}
}

// TestSystemLine: staff and tablature of each line are joined by one line at its
// left end.
func TestSystemLine(t *testing.T) {
	d := lay(t, long(t, 3), sheet.Options{})
	systems, joined := 0, 0
	for _, it := range d.Pages[0].Items {
		g, ok := it.(*draw.Group)
		if !ok || g.Class != "system" {
			continue
		}
		systems++
		var ys []float64
		page := &draw.Page{Items: []draw.Item{g}}
		within(page, "frame", func(_ []*draw.Group, it draw.Item) {
			if r, ok := it.(draw.Rule); ok && r.Y1 == r.Y2 {
				ys = append(ys, r.Y1)
			}
		})
		within(page, "frame", func(_ []*draw.Group, it draw.Item) {
			if r, ok := it.(draw.Rule); ok && r.X1 == r.X2 && r.Y1 < slices.Min(ys) && r.Y2 > slices.Max(ys) {
				joined++
			}
		})
	}
	if systems < 3 || joined != systems {
		t.Errorf("%d of %d lines have staff and tablature joined", joined, systems)
	}
}
