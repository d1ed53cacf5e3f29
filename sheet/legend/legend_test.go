package legend_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/legend"
	"lapwright/sheet/score"
	"lapwright/sheet/sheettest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// TestMarksAsLookedAt: the legend of the pages that show every mark of the tablature is as it was when
// they were looked at.
func TestMarksAsLookedAt(t *testing.T) {
	for _, l := range []sheet.Layout{sheet.Full, sheet.TabOnly, sheet.LargePrint} {
		marks := sheettest.Marks(t, l)
		for i := range marks.Pages {
			golden.File(t, "../testdata/marks-"+string(l)+"-"+strconv.Itoa(i+1)+".svg", sheettest.Picture(marks, i))
		}
	}
}

// entries are the legend's words, in their order, each with what its sample shows.
func entries(g *draw.Group) (words []string, shown [][]draw.Item) {
	page := &draw.Page{Items: []draw.Item{g}}
	var last *draw.Group
	page.Walk(func(in []*draw.Group, it draw.Item) {
		var item *draw.Group
		for _, g := range in {
			if g.Class == "legend-item" {
				item = g
			}
		}
		if item == nil {
			return
		}
		if item != last {
			words, shown, last = append(words, ""), append(shown, nil), item
		}
		if x, ok := it.(draw.Text); ok && x.Font == draw.Serif {
			words[len(words)-1] = strings.TrimSpace(words[len(words)-1] + " " + x.S)
			return
		}
		shown[len(shown)-1] = append(shown[len(shown)-1], it)
	})
	return words, shown
}

// played is the score of one bar on reso-open-g in which the plucks follow each other
// as quarters, or sound together.
func played(t *testing.T, together bool, p steel.Placement, o score.Options, plucks ...tab.Pluck) *score.Score {
	t.Helper()
	music := "C4/4 C4/4 C4/4 C4/4"
	if together {
		music = "C4+E4+G4/1"
	}
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, music)}}
	tb := &tab.Tab{Tune: tn, Rig: rigtest.Builtin(t, "reso-open-g")}
	for i, m := range tune.Moments(tn) {
		st := tab.Stroke{At: m.At, Len: m.Len, Placement: p}
		for j, n := range m.Notes {
			if k := i + j; k < len(plucks) {
				q := plucks[k]
				q.Ref, q.Len = n.Ref, n.Len
				st.Plucks = append(st.Plucks, q)
			}
		}
		if len(st.Plucks) > 0 {
			tb.Strokes = append(tb.Strokes, st)
		}
	}
	return score.New(tn, tb, filled(t, o))
}

// filled gives options their sizes.
func filled(t *testing.T, o score.Options) score.Options {
	t.Helper()
	o, err := o.Filled()
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// TestEachMarkIsExplained: what a tab uses is explained, and nothing that it does not
// use.
func TestEachMarkIsExplained(t *testing.T) {
	flat := func(first, last int8) steel.Placement {
		return steel.Placement{Kind: steel.Straight, First: first, Last: last, FirstFret: 5, LastFret: 5}
	}
	lean := func(k steel.Kind, a, b float64) steel.Placement {
		return steel.Placement{Kind: k, First: 1, Last: 3, FirstFret: a, LastFret: b}
	}
	as := func(a tab.Attack) []tab.Pluck { return []tab.Pluck{{String: 1, Fret: 5, Attack: a}} }
	one := flat(1, 6)
	for name, c := range map[string]struct {
		together bool
		at       steel.Placement
		plucks   []tab.Pluck
		want     []string // how the entries begin
	}{
		"one number":              {false, one, as(tab.Picked), nil},
		"two strings":             {true, one, []tab.Pluck{{String: 2, Fret: 5}, {String: 1, Fret: 5}}, []string{"the steel lies square"}},
		"open beside it":          {true, flat(1, 1), []tab.Pluck{{String: 2}, {String: 1, Fret: 5}}, []string{"the steel lies on these strings only"}},
		"two open":                {true, steel.Placement{}, []tab.Pluck{{String: 2}, {String: 1}}, nil},
		"forward":                 {true, lean(steel.Forward, 6, 5), []tab.Pluck{{String: 3, Fret: 5}, {String: 1, Fret: 6}}, []string{"forward slant"}},
		"reverse":                 {true, lean(steel.Reverse, 5, 6), []tab.Pluck{{String: 3, Fret: 6}, {String: 1, Fret: 5}}, []string{"reverse slant"}},
		"split":                   {true, lean(steel.Split, 6, 5), []tab.Pluck{{String: 3, Fret: 5}, {String: 1, Fret: 6}}, []string{"split"}},
		"the tip":                 {true, steel.Placement{Kind: steel.Nose, First: 1, Last: 1, FirstFret: 5, LastFret: 5}, []tab.Pluck{{String: 2}, {String: 1, Fret: 5}}, []string{"only the tip"}},
		"the tip, alone":          {true, steel.Placement{Kind: steel.Nose, First: 1, Last: 1, FirstFret: 5, LastFret: 5}, []tab.Pluck{{String: 1, Fret: 5}}, nil},
		"a quarter of a fret off": {false, steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 4.75, LastFret: 4.75}, []tab.Pluck{{String: 1, Fret: 4.75}}, []string{"a place between"}},
		"under the next":          {false, one, []tab.Pluck{{String: 1, Fret: 4.5}}, []string{"a place between"}},
		"a tenth off":             {false, one, []tab.Pluck{{String: 1, Fret: 5.1}}, nil},
		"slide":                   {false, one, []tab.Pluck{{String: 1, Fret: 5, Glide: true}, {String: 1, Fret: 7, Attack: tab.Glided}}, []string{"slide the steel"}},
		"scoop":                   {false, one, []tab.Pluck{{String: 1, Fret: 5, Scoop: -1}}, []string{"slide into"}},
		"scoop from above":        {false, one, []tab.Pluck{{String: 1, Fret: 5, Scoop: 1}}, []string{"slide into"}},
		"hammer":                  {false, one, []tab.Pluck{{String: 1}, {String: 1, Fret: 5, Attack: tab.Hammered}}, []string{"h: bring"}},
		"pull":                    {false, one, []tab.Pluck{{String: 1, Fret: 5}, {String: 1, Attack: tab.PulledOff}}, []string{"h: bring"}},
		"bend":                    {false, one, []tab.Pluck{{String: 1, Fret: 5, Glide: true}, {String: 1, Fret: 5, Attack: tab.BentTo}}, []string{"b: work"}},
		"vibrato":                 {false, one, []tab.Pluck{{String: 1, Fret: 5, Vibrato: true}}, []string{"vibrato"}},
		"stopped":                 {false, one, []tab.Pluck{{String: 1, Fret: 5, Damp: true}}, []string{"stop the string"}},
		"tied":                    {false, one, as(tab.Tied), []string{"still ringing"}},
		"harmonic":                {false, steel.Placement{}, []tab.Pluck{{String: 1, Attack: tab.Harmonic, Node: 2}}, []string{"harmonic of the open"}},
		"palm":                    {false, one, as(tab.PalmHarmonic), []string{"harmonic with the picking"}},
		"chop":                    {true, steel.Placement{}, []tab.Pluck{{String: 2, Attack: tab.Chopped}, {String: 1, Attack: tab.Chopped}}, []string{"x: lay"}},
		"fingers":                 {false, one, []tab.Pluck{{String: 1, Fret: 5, Finger: tab.Thumb}}, []string{"T thumb"}},
	} {
		t.Run(name, func(t *testing.T) {
			g, height := legend.Draw(played(t, c.together, c.at, score.Options{}, c.plucks...), 180)
			if len(c.want) == 0 {
				if g != nil || height != 0 {
					words, _ := entries(g)
					t.Errorf("explained: %q", words)
				}
				return
			}
			if g == nil {
				t.Fatalf("nothing is explained, want %q", c.want)
			}
			words, _ := entries(g)
			if len(words) != len(c.want) {
				t.Fatalf("explained: %q, want %q", words, c.want)
			}
			for i, w := range c.want {
				if !strings.HasPrefix(words[i], w) {
					t.Errorf("explained: %q, want %q", words[i], w)
				}
			}
		})
	}
	for name, o := range map[string]score.Options{"no fingers": {NoFingers: true}, "staff only": {}} {
		s := played(t, false, one, o, tab.Pluck{String: 1, Fret: 5, Finger: tab.Thumb})
		if name == "staff only" {
			s = score.New(s.Tune, nil, o)
		}
		if g, _ := legend.Draw(s, 180); g != nil {
			words, _ := entries(g)
			t.Errorf("%s: %q", name, words)
		}
	}
}

// TestLegendLeansAsTheTabDoes: a forward slant has string 1's number farther up the
// neck and to the right, over the other; where string 1 is the lowest line the sample
// is turned over, and fingers are named from the top line.
func TestLegendLeansAsTheTabDoes(t *testing.T) {
	at := steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 6, LastFret: 5}
	read := func(low bool) (five, four draw.Text, steels []draw.Rule, words string) {
		s := played(t, true, at, score.Options{StringOneLow: low}, tab.Pluck{String: 3, Fret: 5, Finger: tab.Thumb}, tab.Pluck{String: 1, Fret: 6, Finger: tab.Index})
		g, _ := legend.Draw(s, 180)
		all, shown := entries(g)
		for _, it := range shown[0] {
			switch it := it.(type) {
			case draw.Text:
				if it.S == "5" {
					five = it
				} else {
					four = it
				}
			case draw.Rule:
				if it.X1 != it.X2 && it.Y1 != it.Y2 {
					steels = append(steels, it)
				}
			}
		}
		return five, four, steels, strings.Join(all, "\n")
	}
	five, four, steels, words := read(false)
	if !(five.Y < four.Y && five.X > four.X) || len(steels) != 3 {
		t.Errorf("5 stands at %g, %g, 4 at %g, %g; the steel has %d pieces", five.X, five.Y, four.X, four.Y, len(steels))
	}
	if !strings.Contains(words, "from string 1 down") {
		t.Errorf("%q", words)
	}
	under, over, turned, words := read(true)
	if !(under.Y > over.Y) || math.Abs(under.X-five.X)+math.Abs(over.X-four.X) > 1e-9 {
		t.Errorf("turned over: 5 stands at %g, %g, 4 at %g, %g", under.X, under.Y, over.X, over.Y)
	}
	if !strings.Contains(words, "from the top line down") {
		t.Errorf("%q", words)
	}
	mid := func(a, b draw.Text) float64 { return (a.Y + b.Y) / 2 }
	if math.Abs(mid(five, four)-mid(under, over)) > 1e-9 {
		t.Errorf("the lines' middle moved from %g to %g", mid(five, four), mid(under, over))
	}
	for i, a := range steels {
		if b := turned[i]; math.Abs(a.X1-b.X1)+math.Abs(a.X2-b.X2) > 1e-9 || (a.Y2-a.Y1)*(b.Y2-b.Y1) >= 0 {
			t.Errorf("a piece of the steel runs %+v, turned over %+v", a, b)
		}
	}
}

// TestLegendColumns: another column is begun where a sample with 40 mm of words beside
// it fits, 4 mm from the last, up to three; large print has one. Each row is as high
// as what stands in it, and none is empty.
func TestLegendColumns(t *testing.T) {
	s := score.New(sheettest.EveryMark(t).Tune, sheettest.EveryMark(t), filled(t, score.Options{}))
	entry := 7*0.8*s.Style.Space + 2 + 40
	count := func(s *score.Score, width float64) (columns int, rows []float64, height float64) {
		g, height := legend.Draw(s, width)
		at := map[float64]bool{}
		seen := map[*draw.Group]bool{}
		page := &draw.Page{Items: []draw.Item{g}}
		page.Walk(func(in []*draw.Group, it draw.Item) {
			for _, g := range in {
				if x, ok := it.(draw.Text); ok && g.Class == "legend-item" && !seen[g] && x.Font == draw.Serif {
					seen[g], at[math.Round(x.X*100)] = true, true
					rows = append(rows, g.Bounds().Y1)
				}
			}
		})
		return len(at), rows, height
	}
	for n := 1; n <= 3; n++ {
		for _, c := range []struct {
			width float64
			want  int
		}{{float64(n)*(entry+4) - 4 + 0.1, n}, {float64(n)*(entry+4) - 4 - 0.1, max(n-1, 1)}, {400, 3}} {
			if got, _, _ := count(s, c.width); got != c.want {
				t.Errorf("%.1f mm wide: %d columns, want %d", c.width, got, c.want)
			}
		}
	}
	large := score.New(s.Tune, s.Tab, filled(t, score.Options{Layout: score.LargePrint}))
	columns, rows, height := count(large, 400)
	if left := height - slices.Max(rows); columns != 1 || left > 2 {
		t.Errorf("large print: %d columns, %.1f mm left under the last row", columns, left)
	}
}
