package picture_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/tune"
)

// TestLanesAsLookedAt: two bars played twice, with one of everything that a lane can show.
func TestLanesAsLookedAt(t *testing.T) {
	right := func(n *listen.Note) { n.Right = true }
	just := func(n *listen.Note) { n.CentsJust = 2 }
	v := &listen.Reviewed{Path: plucks(1, 0, 1, 2, 3)}
	v.Notes = []listen.Note{
		played(0, 0, off(3), late(0.061)), played(0, 1, off(14), right), played(0, 2, off(-12), just, late(-0.052)), played(0, 3, off(9), unsure),
		played(1, 0, off(-2), on(2)), played(1, 0, off(7), on(3)), played(1, 1, off(44), late(0.12), right, on(2)), played(1, 2, missed), played(1, 3, wrong),
		played(2, 0, untold), played(2, 1, off(-38)), played(2, 2, off(0), lasting(3)), played(3, 1), played(3, 2),
	}
	n := &v.Notes[11]
	for i := range 280 {
		n.Curve = append(n.Curve, listen.Moment{At: n.Onset + float64(i)/100, Cents: 20 * math.Sin(float64(i)/20)})
	}
	name, err := pitch.ParseName("F#4")
	if err != nil {
		t.Fatal(err)
	}
	v.Extra = []listen.Extra{{Onset: 3.5, Pitch: name}}
	v.Paces = []listen.Pace{{PassIndex: 3, Taken: 0.84}}
	words := []picture.Word{{At: v.Notes[1].At, String: 1, Text: "lovely"}, {At: v.Notes[5].At, String: 3, Text: "lean less"}}
	s := look(v, song(t, 2, true), words, 0, 1)
	golden.File(t, "testdata/lanes.svg.txt", draw.SVG(&draw.Drawing{Title: "Lanes", Pages: []*draw.Page{s.page}}, 0))
}

// TestMarkTellsTheFault: shape and colour say the same; within 5 cents, to the last, is in tune, from where the string
// is meant to be, from the just chord, and between the two; the mark stands 0.36 mm off the middle for each cent against
// equal temperament, at most 10.8 mm; what lies beyond has its figure.
func TestMarkTellsTheFault(t *testing.T) {
	none := math.NaN()
	for _, c := range []struct {
		cents, meant, just float64
		looks              string
		up                 float64 // mm over the middle
		figure             string
	}{
		{0, 0, none, "green round", 0, ""},
		{5, 0, none, "green round", 1.8, ""},
		{-5, 0, none, "green round", -1.8, ""},
		{5.1, 0, none, "orange up", 1.836, ""},
		{-5.1, 0, none, "blue down", -1.836, ""},
		{30, 0, none, "orange up", 10.8, ""},
		{-30, 0, none, "blue down", -10.8, ""},
		{30.6, 0, none, "orange up", 10.8, "+31"},
		{-44, 0, none, "blue down", -10.8, "−44"},
		{-14, -14, none, "green round", -5.04, ""},
		{-8, -14, none, "orange up", -2.88, ""},
		{6, 14, none, "blue down", 2.16, ""},
		{-14, 0, 0, "green round", -5.04, ""},
		{-7, 0, 7, "green round", -2.52, ""},
		{-20, 0, -6, "blue down", -7.2, ""},
		{20, 0, 8, "orange up", 7.2, ""},
		{6, 0, 20, "orange up", 2.16, ""},
	} {
		v := &listen.Reviewed{Notes: []listen.Note{played(0, 1, off(c.cents), func(n *listen.Note) { n.Meant, n.CentsJust = c.meant, c.just })}}
		g := look(v, song(t, 1, false), nil, 0).notes["0"]
		m, figure := markOf(g), ""
		for _, x := range texts(g.Items) {
			figure += x.S
		}
		if m.looks != c.looks || math.Abs(m.x-30) > 1e-6 || math.Abs(middleMM-m.y-c.up) > 1e-6 || figure != c.figure {
			t.Errorf("%g cents, meant %g, just %g: %s %.3f mm up at %.2f mm, figure %q; want %s %.3f mm up at 30 mm, figure %q", c.cents, c.meant, c.just, m.looks, middleMM-m.y, m.x, figure, c.looks, c.up, c.figure)
		}
	}
}

// TestMarkWithoutPitch: where no pitch is told the mark stands in the middle and says why; hollow is not sure.
func TestMarkWithoutPitch(t *testing.T) {
	for _, c := range []struct {
		with  []func(*listen.Note)
		looks string
		y     float64
	}{
		{[]func(*listen.Note){missed}, "black cross", middleMM},
		{[]func(*listen.Note){wrong}, "purple square", middleMM},
		{[]func(*listen.Note){untold}, "grey hollow round", middleMM},
		{[]func(*listen.Note){off(2), unsure}, "green hollow round", middleMM - 2*centMM},
		{[]func(*listen.Note){off(20), unsure}, "orange hollow up", middleMM - 20*centMM},
	} {
		// Another note plucked with it has the string's number; without a pitch there is none to put beside.
		v := &listen.Reviewed{Notes: []listen.Note{played(0, 2, append(c.with, on(3))...), played(0, 2, on(5))}}
		s := look(v, song(t, 1, false), nil, 0)
		m := markOf(s.notes["0"])
		if m.looks != c.looks || math.Abs(m.x-40) > 1e-6 || math.Abs(m.y-c.y) > 1e-6 {
			t.Errorf("%s at %s, want %s at %s", m.looks, at(m.x, m.y), c.looks, at(40, c.y))
		}
		numbers := texts(s.notes["0"].Items)
		if told := !math.IsNaN(v.Notes[0].Cents); told != (len(numbers) == 1) || told && numbers[0].S != "3" {
			t.Errorf("%s: string numbers %v", c.looks, numbers)
		}
	}
	// Outlined, a mark is as large as a filled one.
	size := func(with ...func(*listen.Note)) draw.Rect {
		g := look(&listen.Reviewed{Notes: []listen.Note{played(0, 2, with...)}}, song(t, 1, false), nil, 0).notes["0"]
		for _, it := range g.Items {
			if b, ok := it.(draw.Box); ok {
				return b.Bounds()
			}
		}
		return draw.Empty
	}
	if a, b := size(), size(unsure); math.Abs(a.X0-b.X0) > 1e-6 || math.Abs(a.Y1-b.Y1) > 1e-6 {
		t.Errorf("filled %v, hollow %v", a, b)
	}
}

// TestStringsOfAChord: marks plucked at one moment have their strings' numbers, left of them; alone a mark has none.
func TestStringsOfAChord(t *testing.T) {
	v := &listen.Reviewed{Notes: []listen.Note{
		played(0, 0), played(0, 0, on(5)), played(0, 1, off(10), on(2)), played(0, 1, off(-10), on(4)), played(0, 1, on(6)), played(0, 2), played(1, 2), played(1, 3, on(2)), played(1, 3, on(3)),
	}}
	s := look(v, song(t, 2, false), nil, 0, 1)
	for i, want := range []string{"1", "5", "2", "4", "6", "", "", "2", "3"} {
		got := ""
		for _, x := range texts(s.notes[fmt.Sprint(i)].Items) {
			got += x.S
			if m := markOf(s.notes[fmt.Sprint(i)]); x.Bounds().X1 > m.x-0.42*letterMM || math.Abs(x.Y-m.y) > letterMM/2 {
				t.Errorf("note %d: its string stands at %s, its mark at %s", i, at(x.X, x.Y), at(m.x, m.y))
			}
		}
		if got != want {
			t.Errorf("note %d: strings %q, want %q", i, got, want)
		}
	}
}

// TestLatenessWritten: from more than 45 ms on, once for all that is plucked together, with an arrow to the side
// where it lies; not where the time wavers, nor where another figure or word stands.
func TestLatenessWritten(t *testing.T) {
	adrift := func(n *listen.Note) { n.Adrift = true }
	type notes = []listen.Note
	for _, c := range []struct {
		why   string
		notes notes
		want  string // each with the beat that it stands at
	}{
		{"in time", notes{played(0, 0, late(0.045)), played(0, 1, late(-0.045)), played(0, 2)}, ""},
		{"late and early", notes{played(0, 0, late(0.046)), played(0, 2, late(-0.0512))}, "0: > 46 ms; 2: < 51 ms; "},
		{"a chord", notes{played(0, 1, late(0.06)), played(0, 1, late(0.06), on(2)), played(0, 1, late(0.06), on(3))}, "1: > 60 ms; "},
		{"a chord whose first note was missed", notes{played(0, 1, missed), played(0, 1, late(0.06), on(2))}, "1: > 60 ms; "},
		{"a chord whose middle note was missed", notes{played(0, 1, late(0.06)), played(0, 1, missed, on(2)), played(0, 1, late(0.06), on(3))}, "1: > 60 ms; "},
		{"where time wavers", notes{played(0, 1, late(0.06), adrift), played(0, 3, late(-0.06))}, "3: < 60 ms; "},
		{"one close after another", notes{played(0, 1, late(0.06)), played(0, 1.5, late(-0.06)), played(0, 3, late(0.07))}, "1: > 60 ms; 3: > 70 ms; "},
		{"a missed one", notes{played(0, 1, missed)}, ""},
	} {
		s := look(&listen.Reviewed{Notes: c.notes}, song(t, 1, false), nil, 0)
		got := ""
		for i := range c.notes {
			got += lateness(s.notes[fmt.Sprint(i)])
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
}

// lateness writes what stands under a lane beside a note: the beat of a ruler, the way of the arrow, the words.
func lateness(g *draw.Group) (out string) {
	for _, it := range g.Items {
		switch it := it.(type) {
		case draw.Path:
			if len(it.Steps) == 4 && it.Ink == draw.Black {
				way, b := "<", it.Bounds()
				if tip := it.Steps[0].P[0].X; tip == b.X1 {
					way = ">"
				}
				out = fmt.Sprintf("%g: %s ", math.Round(100*((b.X0+b.X1)/2-rulerLeft)/beatMM)/100, way)
			}
		case draw.Text:
			if strings.HasSuffix(it.S, " ms") {
				out += it.S + "; "
			}
		}
	}
	return out
}

// TestRoomForLateness: two latenesses stand beside each other when 0.6 of a letter's height lies between the words of
// the first and the note of the second; nearer, the first alone is written.
func TestRoomForLateness(t *testing.T) {
	first := look(&listen.Reviewed{Notes: []listen.Note{played(0, 0, late(0.06))}}, song(t, 1, false), nil, 0)
	end := texts(first.notes["0"].Items)[0].Bounds().X1
	for _, c := range []struct {
		letters float64
		both    bool
	}{{0.59, false}, {0.61, true}} {
		second := (end + c.letters*letterMM - rulerLeft) / beatMM
		s := look(&listen.Reviewed{Notes: []listen.Note{played(0, 0, late(0.06)), played(0, second, late(0.06))}}, song(t, 1, false), nil, 0)
		if got := lateness(s.notes["1"]); lateness(s.notes["0"]) == "" || (got != "") != c.both {
			t.Errorf("%g letters apart: %q", c.letters, got)
		}
	}
}

// TestFigureClearOfTheLine: the figure of a note that lies beyond the lane stands inside the lane, where neither its own
// line nor the lane's edge runs through it.
func TestFigureClearOfTheLine(t *testing.T) {
	for _, cents := range []float64{44, -44} {
		g := look(&listen.Reviewed{Notes: []listen.Note{played(0, 1, off(cents))}}, song(t, 1, false), nil, 0).notes["0"]
		edge := middleMM - math.Copysign(10.8, cents)
		b := texts(g.Items)[0].Bounds()
		clear := min(math.Abs(b.Y0-edge), math.Abs(b.Y1-edge))
		if m := markOf(g); math.Abs(m.y-edge) > 1e-6 || b.Y0 < edge && edge < b.Y1 || math.Abs((b.Y0+b.Y1)/2-middleMM) > 10 || clear < 0.5 || clear > 1.5 || b.X0 < m.x+1.2*0.42*letterMM {
			t.Errorf("%g cents: the figure stands at %v, the edge at %.2f mm, the mark at %s", cents, b, edge, at(m.x, m.y))
		}
	}
}

// TestLatenessOfATakeFromTheMiddle: a take that begins in the second bar and goes on into the repeat shows both bars in one
// lane, and the lateness of the first, though it was played later.
func TestLatenessOfATakeFromTheMiddle(t *testing.T) {
	v := &listen.Reviewed{Notes: []listen.Note{played(1, 0, late(0.05)), played(1, 2, late(0.06)), played(2, 0, late(0.07)), played(2, 3, late(0.08))}, Path: plucks(1, 1, 2)}
	s := look(v, song(t, 2, true), nil, 0, 1)
	if len(s.takes) != 1 {
		t.Fatalf("%d lanes, want 1", len(s.takes))
	}
	got := ""
	for i := range v.Notes {
		got += lateness(s.notes[fmt.Sprint(i)])
	}
	// The last would run into the first one's words: it begins 10 mm before those.
	if want := "4: > 50 ms; 6: > 60 ms; 0: > 70 ms; 3: > 80 ms; "; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestPacesWritten: a bar that is hurried or drags says so at its beginning, under the lane in which it was played; it comes
// before the lateness of single notes, and a second bar's words give way to the first's.
func TestPacesWritten(t *testing.T) {
	v := &listen.Reviewed{
		Notes: []listen.Note{played(0, 0, late(0.09)), played(0, 3, late(0.05)), played(1, 2, late(0.07)), played(2, 0), played(3, 0)},
		Paces: []listen.Pace{{PassIndex: 0, Taken: 0.846}, {PassIndex: 3, Taken: 1.2}, {PassIndex: 9, Taken: 1}}, Path: plucks(1, 0, 1, 2, 3),
	}
	tb := song(t, 2, true)
	tb.Performed = tune.Perform(tb.Tune).Rearranged(tune.Span{From: 0, To: 4}, tune.Span{From: 0, To: 4}, tune.Span{From: 0, To: 4})
	s := look(v, tb, nil, 0, 1)
	got := ""
	for k, take := range s.takes {
		for _, it := range take.Items {
			if x, ok := it.(draw.Text); ok && strings.Contains(x.S, "of the time") {
				got += fmt.Sprintf("lane %d at %g: %s; ", k+1, x.X, x.S)
			}
		}
	}
	for i := range v.Notes {
		got += lateness(s.notes[fmt.Sprint(i)])
	}
	if want := "lane 1 at 20: hurried, 85 % of the time; lane 2 at 60: drags, 120 % of the time; 3: > 50 ms; 6: > 70 ms; "; got != want {
		t.Errorf("%q,\nwant %q", got, want)
	}
	// On a narrow line of short bars.
	v = &listen.Reviewed{Notes: []listen.Note{played(0, 0), played(1, 0)}, Paces: []listen.Pace{{PassIndex: 0, Taken: 0.8}, {PassIndex: 1, Taken: 1.3}}}
	l := ruler(0, 1)
	wide := l.X
	l.X = func(bar int, at tune.Ticks) (float64, bool) {
		x, ok := wide(bar, at)
		return 20 + (x-20)/2, ok
	}
	words := slices.DeleteFunc(texts(picture.New(v, song(t, 2, false), nil).Lane(l).Items), func(x draw.Text) bool { return !strings.Contains(x.S, "of the time") })
	if len(words) != 1 || words[0].S != "hurried, 80 % of the time" {
		t.Errorf("where there is room for one: %v", words)
	}
}

// TestWordsOverNotes: a teacher's words have their number in a ring over the note of that string, which makes way for a tick;
// none without text.
func TestWordsOverNotes(t *testing.T) {
	v := &listen.Reviewed{Notes: []listen.Note{
		played(0, 0), played(0, 1, on(2)), played(0, 1, on(3)), played(0, 2, on(2), func(n *listen.Note) { n.Right = true }), played(0, 3),
	}}
	words := []picture.Word{{At: beat(0, 1), String: 3, Text: "lean less"}, {At: beat(0, 0), String: 1}, {At: beat(0, 2), String: 2, Text: "yes!"}, {At: beat(0, 3), String: 2, Text: "another string"}}
	s := look(v, song(t, 1, false), words, 0)
	for i, want := range []string{"", "", "1 at 30.00 2.17", "2 at 43.77 2.17", ""} {
		got := ""
		for _, it := range s.notes[fmt.Sprint(i)].Items {
			if b, ok := it.(draw.Box); ok && b.Ink == draw.Black {
				got += " at " + at(b.X+b.W/2, b.Y+b.H/2)
			}
			if x, ok := it.(draw.Text); ok && x.Anchor == draw.Middle {
				got = x.S + got
			}
		}
		if got != want {
			t.Errorf("note %d: %q, want %q", i, got, want)
		}
	}
}

// TestLanesNamed: bars that are played more than once have a lane a time, one under the other and each as high as one alone, and
// the lanes are named: common practice in English, 11th, 12th and 13th with th.
func TestLanesNamed(t *testing.T) {
	tb := song(t, 1, false)
	spans := make([]tune.Span, 113)
	v := &listen.Reviewed{}
	for i := range spans {
		spans[i] = tune.Span{From: 0, To: 1}
		v.Notes = append(v.Notes, played(i, 0.2, func(n *listen.Note) { n.Right = true }))
	}
	tb.Performed = tune.Perform(tb.Tune).Rearranged(spans...)
	s := look(v, tb, nil, 0)
	alone := look(&listen.Reviewed{Notes: v.Notes[:1]}, tb, nil, 0)
	if len(s.takes) != 113 || math.Abs(s.page.H-113*alone.page.H) > 1e-6 {
		t.Fatalf("%d lanes, %.2f mm high; one alone %.2f mm", len(s.takes), s.page.H, alone.page.H)
	}
	// What is written overlaps no tick, nor anything else that is written.
	name := func(take *draw.Group) string {
		var words []string
		var own []draw.Rect
		for _, it := range take.Items {
			if g, ok := it.(*draw.Group); ok && g.Class == "played" {
				own = append(own, g.Items[2].Bounds()) // after the line and the mark
			}
		}
		for _, x := range texts(take.Items) {
			if x.Font == draw.SerifItalic {
				words = append(words, x.S)
			}
			for _, o := range own {
				if r := x.Bounds(); r.Overlaps(o) {
					t.Errorf("%q stands at %v, where something else stands at %v", x.S, r, o)
				}
			}
			own = append(own, x.Bounds())
		}
		return strings.Join(words, " ")
	}
	if got := name(alone.takes[0]); got != "" {
		t.Errorf("one lane alone is named %q", got)
	}
	for n, want := range map[int]string{
		1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 5: "5th", 10: "10th", 11: "11th", 12: "12th", 13: "13th", 14: "14th", 20: "20th", 21: "21st", 22: "22nd", 23: "23rd", 24: "24th",
		101: "101st", 110: "110th", 111: "111th", 112: "112th", 113: "113th",
	} {
		if got := name(s.takes[n-1]); got != want+" time" {
			t.Errorf("lane %d is named %q", n, got)
		}
	}
}

// TestLanesOfALine: a line has as many lanes as the bar in it that was played most often; the bars that were played less
// often are empty in the later ones, and a line of which nothing was played has none.
func TestLanesOfALine(t *testing.T) {
	tb := song(t, 2, true)
	v := &listen.Reviewed{Notes: []listen.Note{played(3, 0), played(1, 0), played(2, 3), played(1, 2)}}
	got := ""
	s := look(v, tb, nil, 0, 1)
	for k, take := range s.takes {
		got += fmt.Sprintf("lane %d:", k+1)
		for i := range v.Notes {
			if slices.Contains(take.Items, draw.Item(s.notes[fmt.Sprint(i)])) {
				got += fmt.Sprintf(" %d", i)
			}
		}
		got += "; "
	}
	if want := "lane 1: 1 2 3; lane 2: 0; "; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if s := look(&listen.Reviewed{Notes: v.Notes[:1]}, tb, nil, 0); len(s.takes) != 0 || s.page.H != 0 {
		t.Errorf("%d lanes over a bar that was not played", len(s.takes))
	}
}
