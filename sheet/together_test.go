package sheet

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/feel"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

const duet = "X:1\nT:Two at the Quay\nM:3/4\nL:1/8\nQ:1/4=100\nK:G\nD2|\"G\"G2 B2 d2|\"C\"e4 c2|{c}\"D7\"d2 c2 A2|\"G\"G6:|\n|:\"Em\"g2 f2 e2|\"C\"(3efg e4|\"D7\"d2 c2 A2|1 \"G\"G6:|2 \"G\"G6|]\nw:la lu li\n"

// two are the parts of the duet: a tune, and what accompanies it on another instrument.
func two(t *testing.T, feelName string) []Part {
	t.Helper()
	tunes, _, err := abc.Read([]byte(duet), "duet.abc")
	if err != nil {
		t.Fatal(err)
	}
	a, _ := rig.Builtin("lap6-c6")
	b, _ := rig.Builtin("reso-open-g")
	first, err := arrange.Arrange(context.Background(), tunes[0], a, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := feel.Find(feelName)
	if err != nil {
		t.Fatal(err)
	}
	key := first.Tab.Tune.Bars[0].Key.Tonic
	second, err := accompany.Accompany(context.Background(), tunes[0], b, accompany.Options{Key: &key, Feel: f})
	if err != nil {
		t.Fatal(err)
	}
	return []Part{{Tab: first.Tab, Name: "Lap steel"}, {Tab: second.Tab, Name: "Resonator"}}
}

// What sounds together stands under one another, and barlines are one line, however
// wide the page is.
func TestTogetherInLine(t *testing.T) {
	parts := two(t, "waltz")
	pairs := 0
	for width := 30.0; width < 130; width += 7 {
		var all []*score.Score
		for _, p := range staves(parts) {
			o, err := Options{EveryBar: true}.Filled()
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, score.New(p.Tab.Tune, p.Tab, o))
		}
		lines, _ := spacing.SetTogether(all, width)
		seen := 0
		for _, line := range lines {
			at := map[string]float64{}
			for _, nd := range line[0].Nodes {
				at[fmt.Sprint(nd.Measure.Index, nd.At, nd.Grace)] = nd.X
			}
			last := -1.0
			for _, nd := range line[1].Nodes {
				if x, ok := at[fmt.Sprint(nd.Measure.Index, nd.At, nd.Grace)]; ok {
					pairs++
					if x != nd.X {
						t.Fatalf("at width %g bar %d, %s stands at %g and %g", width, nd.Measure.Index, nd.At, x, nd.X)
					}
				}
				if nd.X <= last {
					t.Fatalf("at width %g bar %d, %s stands at %g, not after %g", width, nd.Measure.Index, nd.At, nd.X, last)
				}
				last = nd.X
			}
			if len(line[0].Spans) != len(line[1].Spans) {
				t.Fatalf("%d bars over %d", len(line[0].Spans), len(line[1].Spans))
			}
			for i, sp := range line[0].Spans {
				lower := line[1].Spans[i]
				if sp.X0 != lower.X0 || sp.X1 != lower.X1 || sp.Measure.Index != lower.Measure.Index {
					t.Errorf("bar %d stands from %g to %g over bar %d from %g to %g", sp.Measure.Index, sp.X0, sp.X1, lower.Measure.Index, lower.X0, lower.X1)
				}
				if sp.Last {
					seen++
				}
			}
		}
		if seen != len(parts[0].Tab.Tune.Bars) {
			t.Errorf("at width %g %d bars are drawn of %d", width, seen, len(parts[0].Tab.Tune.Bars))
		}
	}
	if pairs < 100 {
		t.Errorf("%d pairs seen", pairs)
	}
}

// groups counts the groups of a class on all pages, and what words they hold.
func groups(items []draw.Item, class string) (n int, words string) {
	for _, it := range items {
		g, ok := it.(*draw.Group)
		if !ok {
			continue
		}
		if g.Class == class {
			n++
			for _, x := range g.Items {
				if text, ok := x.(draw.Text); ok {
					words += text.S + "\n"
				}
			}
		}
		k, w := groups(g.Items, class)
		n, words = n+k, words+w
	}
	return n, words
}

// One system line joins the staves of both at each line of music; tempo, endings and
// syllables stand once, with the first; both are named, and what is read aloud has both.
func TestTogetherOnThePage(t *testing.T) {
	parts := two(t, "swing")
	for _, layout := range []Layout{Full, TabOnly, LargePrint} {
		d, breaks, err := LayTogether(parts, Options{Layout: layout})
		if err != nil {
			t.Fatal(err)
		}
		var all []draw.Item
		described := ""
		for _, p := range d.Pages {
			all = append(all, p.Items...)
			described += p.Description
		}
		lines, _ := groups(all, "system-line")
		if lines != len(breaks.Lines) {
			t.Errorf("%s: %d system lines for %d lines of music", layout, lines, len(breaks.Lines))
		}
		if n, words := groups(all, "part-name"); n != 2*lines || strings.Count(words, "Lap steel") != lines || strings.Count(words, "Resonator") != lines {
			t.Errorf("%s: the names %q over %d lines", layout, words, lines)
		}
		for class, want := range map[string]int{"tempo": 1, "ending": 2, "part-name": 2 * lines} {
			if n, _ := groups(all, class); n != want {
				t.Errorf("%s: %d of %q, want %d", layout, n, class, want)
			}
		}
		if _, words := groups(all, "tempo"); !strings.Contains(words, "swung by tempo") {
			t.Errorf("%s: the swing of the backup is not said: %q", layout, words)
		}
		if strings.Count(described, "Lap steel: Bar 3") != 1 || strings.Count(described, "Resonator: Bar 3") != 1 {
			t.Errorf("%s: read aloud it is\n%s", layout, described)
		}
	}
	if !parts[0].Tab.Tune.Swing.Even() || parts[1].Tab.Tune.Bars[1].Number != 1 || len(parts[1].Tab.Tune.Bars[0].Tempos) == 0 {
		t.Error("drawing changed the tabs")
	}
}

func TestTogetherRefusals(t *testing.T) {
	parts := two(t, "waltz")
	other := *parts[1].Tab
	other.Tune = tune.Transpose(other.Tune, tune.Shift(other.Tune.Bars[0].Key, 2))
	if _, _, err := LayTogether([]Part{parts[0], {Tab: &other, Name: "Resonator"}}, Options{}); err == nil || !strings.Contains(err.Error(), "bar 0 is in G major in one and in A major in the other") {
		t.Errorf("in two keys: %v", err)
	}
	other.Tune = parts[1].Tab.Tune.Clone()
	other.Tune.Bars = other.Tune.Bars[:3]
	if _, _, err := LayTogether([]Part{parts[0], {Tab: &other, Name: "Resonator"}}, Options{}); err == nil || !strings.Contains(err.Error(), "one has 10 bars and the other 3") {
		t.Errorf("of two lengths: %v", err)
	}
	if _, _, err := LayTogether(nil, Options{}); err == nil {
		t.Error("no part at all is drawn")
	}
}

// Under a chop nothing is read of the steel, though it waits leaning.
func TestChopsShowNoSteel(t *testing.T) {
	tunes, _, err := abc.Read([]byte("X:1\nM:4/4\nL:1/4\nQ:1/4=160\nK:G\n\"Am7\"z2\"D7\"z2|\"G\"z4|]\n"), "t.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	f, _ := feel.Find("vamp")
	res, err := accompany.Accompany(context.Background(), tunes[0], r, accompany.Options{Feel: f})
	if err != nil {
		t.Fatal(err)
	}
	leaning, shown := 0, 0
	for i := range res.Tab.Strokes {
		if s := &res.Tab.Strokes[i]; s.Plucks[0].Attack == tab.Chopped && s.Placement.Kind != steel.Lifted {
			leaning++
		}
	}
	o, err := Options{}.Filled()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range score.New(res.Tab.Tune, res.Tab, o).Bars {
		for _, nd := range m.Nodes {
			for _, st := range nd.Stops {
				if st.Plays[0].Pluck.Attack == tab.Chopped && st.Stroke.Placement.Kind != steel.Lifted {
					shown++
				}
			}
		}
	}
	if leaning == 0 || shown > 0 {
		t.Errorf("the steel lies under %d chops, and is drawn under %d", leaning, shown)
	}
}

// Parts of one instrument have it named once over the music, with what is the same for
// all of them said once; what sets them apart stands over their staves.
func TestTogetherSaysOnce(t *testing.T) {
	parts := two(t, "waltz")
	for _, c := range []struct {
		parts []Part
		names int
	}{
		{[]Part{{Tab: parts[0].Tab, Name: "grade first"}, {Tab: parts[0].Tab, Name: "grade second"}}, 1},
		{[]Part{{Tab: parts[0].Tab, Name: "grade first"}, {Tab: parts[1].Tab, Name: "beside"}}, 0},
	} {
		d, _, err := LayTogether(c.parts, Options{})
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		names, tunings := 0, 0
		d.Pages[0].Walk(func(_ []*draw.Group, it draw.Item) {
			if x, ok := it.(draw.Text); ok {
				said = append(said, x.S)
				names += strings.Count(x.S, rigName(parts[0].Tab.Rig))
				tunings += strings.Count(x.S, "low to high")
			}
		})
		if names != c.names || tunings != 2-c.names {
			t.Errorf("the instrument is named %d times and tunings are told %d times, want %d and %d: %q", names, tunings, c.names, 2-c.names, said)
		}
	}
}

// A score whose first page is not full or whose last is mostly empty takes no more pages
// than the sizes within reach give, and fills the first where that takes no more.
func TestTogetherFillsItsPages(t *testing.T) {
	parts := two(t, "waltz")
	many := []Part{parts[0], parts[1], parts[0], parts[1]}
	scores := [][]Part{many[:2], many[:3], many}
	for _, bars := range []int{14, 17, 20} {
		tunes, _, err := abc.Read([]byte("X:1\nT:Steps\nM:4/4\nL:1/4\nK:D\n"+strings.Repeat("D F A d|", bars)+"]\n"), "steps.abc")
		if err != nil {
			t.Fatal(err)
		}
		r, _ := rig.Builtin("lap8-c13") // tall, so that few of them fill a page
		res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		scores = append(scores, []Part{{Tab: res.Tab, Name: "one"}, {Tab: res.Tab, Name: "two"}, {Tab: res.Tab, Name: "three"}})
	}
	filled := 0
	for i, parts := range scores {
		n := len(parts)
		p, d, _, err := layAt(parts, Options{}, 1)
		if err != nil {
			t.Fatal(err)
		}
		small, _, err := LayTogether(parts, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(small.Pages) > len(d.Pages) {
			t.Errorf("score %d, %d parts: %d pages were %d", i, n, len(small.Pages), len(d.Pages))
		}
		if last := len(p.fill) - 1; len(d.Pages) > 1 && (p.fill[0] < fullEnough || p.fill[last] < mostlyEmpty) {
			for _, k := range scoreFits {
				q, other, _, err := layAt(parts, Options{}, k)
				if err == nil && len(other.Pages) < len(small.Pages) {
					t.Errorf("score %d, %d parts: %d pages, and at %g of the size %d", i, n, len(small.Pages), k, len(other.Pages))
				}
				if err == nil && len(other.Pages) == len(small.Pages) && p.fill[0] < fullEnough && q.fill[0] >= fullEnough {
					filled++
					if got, want := strokesOn(small.Pages[0]), strokesOn(other.Pages[0]); got < want {
						t.Errorf("score %d, %d parts: %d strokes on the first page, and at %g of the size %d", i, n, got, k, want)
					}
					break
				}
			}
		}
		t.Logf("score %d, %d parts: %d pages, at the size asked for %d, of which the first is %.0f %% full", i, n, len(small.Pages), len(d.Pages), 100*p.fill[0])
	}
	if filled == 0 {
		t.Error("no first page could be filled")
	}
}

// strokesOn counts the strokes in the tablatures of a page.
func strokesOn(p *draw.Page) int {
	seen := map[*draw.Group]bool{}
	p.Walk(func(in []*draw.Group, _ draw.Item) {
		for _, g := range in {
			if g.Class == "stroke" {
				seen[g] = true
			}
		}
	})
	return len(seen)
}
