package chart

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/notation/abc/abctest"
	"lapwright/sheet/draw"
	"lapwright/tune"
)

// seen is one chart as a player finds it on paper, in millimetres.
type seen struct {
	page  *draw.Page
	texts map[string]draw.Text // the first of each
	lines []draw.Rule
	dots  []draw.Glyph
}

func look(t *testing.T, tn *tune.Tune, o Options) (seen, string) {
	t.Helper()
	d := Lay(tn, o)
	s := seen{page: d.Pages[0], texts: map[string]draw.Text{}}
	s.page.Walk(func(_ []*draw.Group, it draw.Item) {
		switch it := it.(type) {
		case draw.Text:
			if _, ok := s.texts[it.S]; !ok {
				s.texts[it.S] = it
			}
		case draw.Rule:
			s.lines = append(s.lines, it)
		case draw.Glyph:
			s.dots = append(s.dots, it)
		}
	})
	return s, d.Description
}

// text returns a text of the chart.
func (s *seen) text(t *testing.T, words string) draw.Text {
	t.Helper()
	x, ok := s.texts[words]
	if !ok {
		t.Fatalf("nowhere stands %q", words)
	}
	return x
}

// uprights returns where barlines of a width stand in the line of bars that holds a height.
func (s *seen) uprights(y, width float64) []float64 {
	var out []float64
	for _, l := range s.lines {
		if l.X1 == l.X2 && l.Y1 < y && y < l.Y2 && math.Abs(l.Width-width) < 0.01 {
			out = append(out, math.Round(l.X1*100)/100)
		}
	}
	slices.Sort(out)
	return out
}

const thin, thick = 0.3, 0.9

// TestBarsAndChordsInPlace: four bars share a line between the margins; a chord stands in
// its bar where its beat is, and in the middle of its height; a bar without one says to go on.
func TestBarsAndChordsInPlace(t *testing.T) {
	tn := abctest.Tune(t, "X:1\nT:Quay\nM:4/4\nL:1/4\nQ:1/4=96\nK:C\nG|\"C\"z4|\"F\"z2\"G7\"z2|z4|\"C\"z\"Am\"z\"D7\"z\"G\"z|\"Dm\"z3\"E\"z|]\n")
	s, told := look(t, tn, Options{Feel: "shuffle"})
	const left, width = 15.0, (210.0 - 30) / 4
	first := s.text(t, "C")
	top := first.Y
	if got, want := s.uprights(top-2, thin), []float64{15, 60, 105, 150, 195}; !slices.Equal(got, want) {
		t.Errorf("barlines at %v, want %v: the bar before the first is no bar of the chart", got, want)
	}
	for words, at := range map[string][3]float64{ // bar of its line, share of the bar, line
		"C": {0, 0, 0}, "F": {1, 0, 0}, "G7": {1, 0.5, 0}, "Am": {3, 0.25, 0}, "D7": {3, 0.5, 0}, "G": {3, 0.75, 0}, "Dm": {0, 0, 1}, "E": {0, 0.75, 1},
	} {
		x := s.text(t, words)
		// Three millimetres are left free on either side of a bar's chords.
		if want := left + at[0]*width + 3 + (width-6)*at[1]; math.Abs(x.X-want) > 0.01 {
			t.Errorf("%s stands at %.2f, want %.2f", words, x.X, want)
		}
		if want := top + at[2]*(tallest+rowGap); math.Abs(x.Y-want) > 2.5 {
			t.Errorf("%s stands on a line at %.2f, want %.2f", words, x.Y, want)
		}
	}
	if rest := s.text(t, "%"); math.Abs(rest.X-(left+2.5*width)) > 0.01 || rest.Anchor != draw.Middle || rest.Size > first.Size {
		t.Errorf("the bar without a chord says so at %.2f, %.2f mm large", rest.X, rest.Size)
	}
	middle := s.lines[0].Y1 + tallest/2
	for _, words := range []string{"C", "F", "G7", "Am", "%"} {
		if b := s.text(t, words).Bounds(); math.Abs((b.Y0+b.Y1)/2-middle) > 0.4 {
			t.Errorf("%s stands about %.2f, the middle of its bar is at %.2f", words, (b.Y0+b.Y1)/2, middle)
		}
	}
	for _, words := range []string{"F", "G7", "E"} {
		if x := s.text(t, words); words == "E" && x.X+x.Width() > left+width || words != "E" && x.Size != first.Size {
			t.Errorf("%s is %.2f mm large, and reaches to %.2f", words, x.Size, x.X+x.Width())
		}
	}
	for _, l := range s.lines {
		if l.X1 == l.X2 && math.Abs(l.Y2-l.Y1-tallest) > 1e-9 {
			t.Errorf("a short chart has bars %.2f mm high, want %g", l.Y2-l.Y1, tallest)
		}
		if l.X1 != l.X2 {
			t.Errorf("a line across from %.2f to %.2f", l.X1, l.X2)
		}
	}
	// Four on a line of 45 mm: each as large as fits before its neighbour.
	for _, words := range []string{"C", "Am", "D7", "G"} {
		x := s.text(t, words)
		room := (width - 6.0) / 4
		if words == "C" { // it is alone in its bar
			room = width - 6
		}
		if w := x.Width(); w > room-1+1e-9 {
			t.Errorf("%s is %.2f mm wide in %.2f", words, w, room)
		}
	}
	if x := s.text(t, "C"); math.Abs(x.Size-min(17*draw.PointMM, tallest*0.42)) > 1e-9 {
		t.Errorf("a name with room is %.2f mm large", x.Size)
	}
	facts := s.text(t, "key C major · 4/4 · 96 beats a minute · shuffle")
	title := s.text(t, "Quay")
	if title.X != 105 || facts.X != 105 || title.Y < 15+title.Size*0.7 || facts.Y < title.Y+title.Size || facts.Y > first.Y-tallest/2 || facts.Size >= title.Size || facts.Size < 9*draw.PointMM {
		t.Errorf("the title stands at %g, %g and the facts at %g, %g", title.X, title.Y, facts.X, facts.Y)
	}
	if want := "Quay; key C major, 4/4, 96 beats a minute, shuffle; bar 1 C; bar 2 F G7; bar 3 the same; bar 4 C Am D7 G; bar 5 Dm E."; told != want {
		t.Errorf("told as\n%s\nwant\n%s", told, want)
	}
}

// TestRepeatsEndingsAndParts: a repeat has two dots inside its bar, level about the middle,
// and a thick line; an ending has its number in a bracket; a part begins a line with its name
// over it.
func TestRepeatsEndingsAndParts(t *testing.T) {
	tn := abctest.Tune(t, "X:1\nT:Slip\nM:3/4\nL:1/4\nK:Am\nP:A\n|:\"Am\"z3|\"Dm\"z3|1\"E7\"z3:|2\"A\"z3||\nP:B\n\"F\"z3|\"G\"z3|]\n")
	s, _ := look(t, tn, Options{Numbers: true})
	const width = (210.0 - 30) / 4
	a, f := s.text(t, "Am"), s.text(t, "F")
	if f.X != a.X || f.Y < a.Y+tallest {
		t.Errorf("part B begins at %.2f, %.2f, part A at %.2f, %.2f", f.X, f.Y, a.X, a.Y)
	}
	if got, want := s.uprights(a.Y-2, thick), []float64{15, 150, 195}; !slices.Equal(got, want) {
		t.Errorf("thick lines at %v, want %v", got, want)
	}
	if got, want := s.uprights(a.Y-2, thin), []float64{15, 60, 105}; !slices.Equal(got, want) {
		t.Errorf("thin lines at %v, want %v", got, want)
	}
	if got, want := s.uprights(f.Y-2, thick), []float64{105}; !slices.Equal(got, want) {
		t.Errorf("the last line ends at %v, want %v", got, want)
	}
	if len(s.dots) != 4 {
		t.Fatalf("%d dots for two repeats", len(s.dots))
	}
	top, bottom := 1e9, 0.0
	for _, l := range s.lines {
		if l.X1 == 15 && l.X2 == 15 && l.Y1 < a.Y && a.Y < l.Y2 {
			top, bottom = l.Y1, l.Y2
		}
	}
	for i, d := range s.dots {
		b := d.Bounds()
		line := []float64{15, 15 + 3*width}[i/2]
		if off := math.Abs((b.X0+b.X1)/2 - line); math.Abs(off-1.8) > 0.05 {
			t.Errorf("dot %d stands at %.2f, %.2f mm from its line", i, b.X0, off)
		}
		if inside := (b.X0 > line) == (i < 2); !inside {
			t.Errorf("dot %d stands outside its repeat", i)
		}
		if want := (top+bottom)/2 + []float64{-1.5, 1.5}[i%2]; math.Abs((b.Y0+b.Y1)/2-want) > 0.3 {
			t.Errorf("dot %d stands at height %.2f, want %.2f", i, (b.Y0+b.Y1)/2, want)
		}
	}
	for words, bar := range map[string]float64{"1.": 2, "2.": 3} {
		x := s.text(t, words)
		found := false
		for _, l := range s.lines {
			if l.Y1 == l.Y2 && math.Abs(l.X1-(15+bar*width)) < 1e-9 {
				found = true
				if l.X2 >= 15+(bar+1)*width || l.X2 < 15+(bar+0.8)*width || l.Y1 != top || x.X < l.X1 || x.X > l.X1+3 || x.Y < top+2 || x.Y > top+5 || x.Size > 9*draw.PointMM {
					t.Errorf("ending %s: a bracket from %.2f to %.2f, its number at %.2f, %.2f below", words, l.X1, l.X2, x.X, x.Y-top)
				}
			}
		}
		if !found {
			t.Errorf("ending %s has no bracket", words)
		}
	}
	for _, words := range []string{"A", "B"} {
		x := s.text(t, words)
		if x.X < 15 || x.X > 17 {
			t.Errorf("part %s is named at %.2f", words, x.X)
		}
	}
	if x := s.text(t, "A"); x.Y > top || x.Y < top-2 {
		t.Errorf("part A is named %.2f over its line", top-x.Y)
	}
	// The numbers of a minor key count from its own tonic; they stand under the names, inside the bar.
	for name, number := range map[string]string{"Am": "1m", "Dm": "4m", "E7": "57"} {
		x, n := s.text(t, name), s.text(t, number)
		if n.X != x.X || n.Y < x.Y+1 || n.Y > bottom {
			t.Errorf("%s stands at %.2f, %.2f under %s at %.2f, %.2f", number, n.X, n.Y, name, x.X, x.Y)
		}
		if n.Size >= x.Size*0.61 || n.Size < x.Size*0.4 {
			t.Errorf("%s is %.2f mm large, the name %.2f", number, n.Size, x.Size)
		}
		if n.Bounds().Overlaps(x.Bounds()) {
			t.Errorf("%s stands in %s", number, name)
		}
		// Together they stand about the middle.
		if both := n.Bounds().Union(x.Bounds()); math.Abs((both.Y0+both.Y1)/2-(top+bottom)/2) > 1.2 {
			t.Errorf("%s and %s stand about %.2f, the middle of the bar is at %.2f", name, number, (both.Y0+both.Y1)/2, (top+bottom)/2)
		}
	}
}

// TestLongCharts: from 49 bars on eight share a line; the lines share the height that the
// page has, and none is ever taller than a short chart's.
func TestLongCharts(t *testing.T) {
	for bars, across := range map[int]float64{48: 4, 49: 8, 160: 8} {
		s, _ := look(t, rests(bars, "Gm7b5/Db"), Options{})
		lowest, highest, left := 0.0, 1e9, map[float64]bool{}
		for _, l := range s.lines {
			lowest, highest = max(lowest, l.Y2), min(highest, l.Y1)
			left[math.Round(l.Y1*100)] = true
		}
		if want := int(math.Ceil(float64(bars) / across)); len(left) != want {
			t.Errorf("%d bars stand on %d lines, want %d", bars, len(left), want)
		}
		if n := len(s.uprights(highest+1, thin)); n != int(across)+1 {
			t.Errorf("%d bars: %d barlines on the first line", bars, n)
		}
		if foot := 297.0 - margin - lowest; len(left) > 15 && (foot < -0.01 || foot > rowGap+0.01) {
			t.Errorf("%d bars leave %.2f mm at the foot", bars, foot)
		}
	}
	// A bar before the first counts for nothing, here either.
	short := rests(49, "C")
	short.Bars[0].Number, short.Bars[0].Len = 0, tune.Whole/4
	short.Bars[0].Lines[0] = short.Bars[0].Lines[0][:1]
	short.Bars[0].Lines[0][0].Len = tune.Whole / 4
	s, _ := look(t, short, Options{})
	if n := len(s.uprights(s.text(t, "C").Y-2, thin)); n != 5 {
		t.Errorf("48 bars and one before them: %d barlines on the first line", n)
	}
	if _, told := look(t, abctest.Tune(t, "X:1\nT:Call\nM:4/4\nL:1/4\nK:C\n\"C\"z|]\n"), Options{}); !strings.Contains(told, "C.") {
		t.Errorf("a chart of one short bar is told as %q", told)
	}
	// A long name late in its bar ends before the bar does.
	s, _ = look(t, abctest.Tune(t, "X:1\nT:Late\nM:4/4\nL:1/4\nK:C\n\"C\"z3\"Ebmaj7/Bb\"z|]\n"), Options{})
	if x := s.text(t, "E♭maj7/B♭"); x.X+x.Width() > margin+45-3 || x.Size < 5*draw.PointMM {
		t.Errorf("a long name of %.2f mm reaches to %.2f in a bar that ends at %.2f", x.Size, x.X+x.Width(), margin+45)
	}
	// On low lines names are lower too, with white above and below.
	s, _ = look(t, rests(160, "C"), Options{})
	x := s.text(t, "C")
	if h := x.Bounds().Y1 - x.Bounds().Y0; h < 0.2*(s.lines[0].Y2-s.lines[0].Y1) || h > 0.5*(s.lines[0].Y2-s.lines[0].Y1) {
		t.Errorf("a name is %.2f mm high in a line of %.2f", h, s.lines[0].Y2-s.lines[0].Y1)
	}
	s, _ = look(t, rests(3, "C"), Options{Paper: draw.Letter})
	if s.page.W != 215.9 || s.uprights(s.text(t, "C").Y-2, thin)[0] != margin {
		t.Error("a chart on letter paper is not on letter paper")
	}
}

// TestHeads: a title that is too long goes on below, and a tune without one, without a
// meter or with a tempo in words alone says what there is.
func TestHeads(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("A very long way round the harbour ", 4))
	tn := abctest.Tune(t, "X:1\nT:"+long+"\nM:none\nL:1/4\nK:D\n\"D\"z4|\"A\"z4|]\n")
	tn.Bars[0].Tempos = []tune.Tempo{{Text: "slowly"}, {Beat: tune.Whole / 4, PerMinute: 72_500}}
	s, told := look(t, tn, Options{})
	var heads []draw.Text
	for _, x := range s.texts {
		if x.Font == draw.SerifBold {
			heads = append(heads, x)
		}
	}
	slices.SortFunc(heads, func(a, b draw.Text) int { return int(a.Y - b.Y) })
	if len(heads) < 2 {
		t.Fatalf("a title of %d letters stands on %d lines", len(long), len(heads))
	}
	for i, h := range heads {
		b := h.Bounds()
		if b.X0 < margin || b.X1 > 210-margin || b.Y0 < margin {
			t.Errorf("%q reaches %v", h.S, b)
		}
		if i > 0 && h.Y-heads[i-1].Y < h.Size {
			t.Errorf("lines of the title are %.2f apart", h.Y-heads[i-1].Y)
		}
	}
	if facts := s.text(t, "key D major · 73 beats a minute"); facts.Y <= heads[len(heads)-1].Y {
		t.Error("the facts stand in the title")
	}
	if !strings.HasPrefix(told, long) {
		t.Errorf("told as %.80q", told)
	}
	tn = abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:D\n\"D\"z4|]\n")
	tn.Title = ""
	if _, told := look(t, tn, Options{}); !strings.HasPrefix(told, "Untitled; key D major, 4/4; bar 1 D.") {
		t.Errorf("told as %q", told)
	}
}

// TestOneChordAtAPlace: of two chords at one time the last holds.
func TestOneChordAtAPlace(t *testing.T) {
	tn := abctest.Tune(t, "X:1\nT:Two\nM:4/4\nL:1/4\nK:C\n\"C\"z4|]\n")
	b := &tn.Bars[0]
	b.Chords = append(b.Chords, tune.ChordAt{At: 0, Text: "no chord"}, tune.ChordAt{At: tune.Whole / 2, Text: "slow"})
	s, told := look(t, tn, Options{Numbers: true})
	if !strings.HasSuffix(told, "bar 1 no chord slow.") {
		t.Errorf("told as %q", told)
	}
	if len(s.texts) != 4 {
		t.Errorf("%d texts: a word that is no chord has no number", len(s.texts))
	}
	// Words as wide as their room are set smaller, to fit.
	if x := s.text(t, "no chord"); x.X+x.Width() > s.text(t, "slow").X-0.99 {
		t.Errorf("the words reach to %.2f, the next begin at %.2f", x.X+x.Width(), s.text(t, "slow").X)
	}
}
