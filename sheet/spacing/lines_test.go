package spacing

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"lapwright/notation/abc/abctest"
	"lapwright/sheet/score"
	"lapwright/tune"
)

func read(t testing.TB, text string) *tune.Tune {
	t.Helper()
	return abctest.Tune(t, "X:1\nT:x\n"+text+"\n")
}

// TestAlongALine: a time of a bar stands between the instants beside it as far as it is gone from one to the other; in a rest of many bars each
// bar has its share; what stands in another line, or nowhere, is not here. On lines so short that bars are cut, and on long ones.
func TestAlongALine(t *testing.T) {
	tn := read(t, "M:4/4\nL:1/8\nK:C\nc2 {de}f2 g4|z8|z8|z8|z2 cd e2 {c}f2|CDEF GABc defg abc'd'|c8|")
	cut, rests, between := 0, 0, 0
	for _, width := range []float64{26, 31, 47, 90, 400} {
		s := score.New(tn, nil, score.Options{})
		lines, _ := Set(s, width)
		for bar := range tn.Bars {
			length := tn.Bars[bar].Len
			for k := range 33 {
				at := length * tune.Ticks(k) / 32
				found := 0
				for _, sy := range lines {
					got, ok := sy.Along(bar, at)
					if !ok {
						continue
					}
					found++
					want, here := along(sy, bar, at)
					if !here || math.Abs(got-want) > 1e-9 {
						t.Errorf("on a line of %g spaces bar %d at %v stands at %.3f, want %.3f, %v", width, bar+1, at, got, want, here)
					}
				}
				parts := 0
				for _, sy := range lines {
					if _, here := along(sy, bar, at); here {
						parts++
					}
				}
				if found != parts || parts > 1 {
					t.Errorf("on lines of %g spaces bar %d at %v is in %d lines, want %d", width, bar+1, at, found, parts)
				}
				if parts == 0 {
					between++ // of the last note of one line and the first of the next
				}
			}
		}
		for _, sy := range lines {
			for _, sp := range sy.Spans {
				if !sp.First || !sp.Last {
					cut++
				}
				if sp.Measure.Rests == 3 {
					rests++
				}
			}
			for _, outside := range []int{-1, len(tn.Bars), 99} {
				if _, ok := sy.Along(outside, 0); ok {
					t.Errorf("bar %d is in a line", outside+1)
				}
			}
		}
	}
	if cut == 0 || rests == 0 || between == 0 {
		t.Errorf("%d cut, %d rests, %d between lines: the test sees nothing", cut, rests, between)
	}
}

// along works it out from the instants of the line in order.
func along(sy *System, bar int, at tune.Ticks) (float64, bool) {
	for _, sp := range sy.Spans {
		m := sp.Measure
		if m.Rests > 1 {
			if bar < m.Index || bar > m.Index+m.Rests-1 {
				continue
			}
			share := float64(bar-m.Index) + float64(at)/float64(m.Bar.Len)
			return sp.X0 + (sp.X1-sp.X0)*share/float64(m.Rests), true
		}
		if m.Index != bar {
			continue
		}
		type place struct {
			at tune.Ticks
			x  float64
		}
		var all []place
		for _, nd := range sy.Nodes {
			if nd.Measure == m && nd.Grace == 0 {
				all = append(all, place{nd.At, nd.X})
			}
		}
		slices.SortFunc(all, func(a, b place) int { return cmp.Compare(a.at, b.at) })
		if sp.First && all[0].at > 0 {
			all = append([]place{{0, sp.X0}}, all...)
		}
		if sp.Last {
			all = append(all, place{m.Bar.Len, sp.X1})
		}
		for i := 0; i+1 < len(all); i++ {
			a, b := all[i], all[i+1]
			if at >= a.at && at < b.at {
				return a.x + (b.x-a.x)*float64(at-a.at)/float64(b.at-a.at), true
			}
		}
		if last := all[len(all)-1]; sp.Last && at >= last.at {
			return last.x, true
		}
	}
	return 0, false
}

// TestPlacesOfALine: a note stands where it was set, the end of a bar at its barline, and what isn't in the line nowhere.
func TestPlacesOfALine(t *testing.T) {
	tn := read(t, "M:4/4\nL:1/4\nK:C\nc d e f|[M:3/4]g {a}b c'|z3|")
	s := score.New(tn, nil, score.Options{EveryBar: true})
	lines, _ := Set(s, 200)
	sy := lines[0]
	for _, m := range s.Bars {
		sp := sy.SpanOf(m)[0]
		for _, nd := range m.Nodes {
			x, ok := sy.XAt(m, nd.At)
			if !ok || nd.Grace == 0 && x != nd.X || !sy.Has(nd) {
				t.Errorf("bar %d at %v: %.2f, want %.2f", m.Index+1, nd.At, x, nd.X)
			}
		}
		if x, ok := sy.XAt(m, m.Bar.Len); !ok || x != sp.X1 {
			t.Errorf("bar %d ends at %.2f, its barline stands at %.2f", m.Index+1, x, sp.X1)
		}
		if _, ok := sy.XAt(m, tune.Whole/64); ok {
			t.Error("where nothing stands something is found")
		}
		// What begins with a bar is lined up with its meter where that is new.
		left := sy.BarLeft(sp)
		if fresh := m.Index == 0 || m.Index == 1; fresh != (left < sp.X0) {
			t.Errorf("bar %d: its beginning is lined up at %.2f, its music begins at %.2f", m.Index+1, left, sp.X0)
		}
	}
	if _, ok := sy.XAt(&score.Measure{Bar: &tn.Bars[0]}, 0); ok {
		t.Error("a bar of nowhere is found")
	}
	if lines[0].ContentLeft() <= 0 || lines[0].ContentRight() != lines[0].Spans[2].X1 || len(sy.NotesHere()) != 9 {
		t.Errorf("music from %.2f to %.2f, %d notes", lines[0].ContentLeft(), lines[0].ContentRight(), len(sy.NotesHere()))
	}
}

// follows holds that an instant comes after another.
func follows(t *testing.T, bar int, last, at *score.Node) {
	t.Helper()
	if last.At > at.At || last.At == at.At && last.Grace >= at.Grace {
		t.Fatalf("bar %d: instant %v %d comes after %v %d", bar+1, at.At, at.Grace, last.At, last.Grace)
	}
}

// TestTogetherUnderOneAnother: of several parts what sounds together stands under one another on every line, graces too; a place that has a note in one
// part has room for it in all; where a bar is cut, it is cut in all, and no beam goes over the cut.
func TestTogetherUnderOneAnother(t *testing.T) {
	a := read(t, "M:4/4\nL:1/8\nK:C\nc2 {de}f2 g4|CDEF GABc|c8|{g}c2 d2 e2 f2|")
	b := read(t, "M:4/4\nL:1/8\nK:C\nC/D/E/F/ {G}A2 B2 z2|C4 D4|{c}C/D/E/F/ G/A/B/c/ C/D/E/F/ G/A/B/c/|{ab}C3 D {e}E2 F2|")
	cuts := 0
	for width := 14.0; width < 130; width += 3 {
		all := []*score.Score{score.New(a, nil, score.Options{EveryBar: true}), score.New(b, nil, score.Options{EveryBar: true})}
		sp := &spacer{all[0], all, width}
		for bar := range a.Bars {
			slots := sp.slots(bar)
			nodes := 0
			for i, x := range slots {
				at := x.any()
				if i > 0 {
					follows(t, bar, slots[i-1].any(), at)
				}
				var notes []*score.Note
				for _, nd := range x {
					if nd != nil {
						nodes++
						notes = append(notes, nd.Notes...)
						if nd.At != at.At || nd.Grace != at.Grace {
							t.Fatalf("bar %d: %v %d and %v %d are one instant", bar+1, nd.At, nd.Grace, at.At, at.Grace)
						}
					}
				}
				if at.Grace == 0 {
					next := a.Bars[bar].Len
					for _, y := range slots[i+1:] {
						if y.any().Grace == 0 {
							next = y.any().At
							break
						}
					}
					if got, want := sp.ideal(bar, slots, i), sp.Ideal(notes, next-at.At); got != want {
						t.Errorf("bar %d at %v: %.3f to the next, want %.3f", bar+1, at.At, got, want)
					}
				} else if got := sp.ideal(bar, slots, i); got != at.Ideal {
					t.Errorf("bar %d at %v: a grace is %.3f from the next, want %.3f", bar+1, at.At, got, at.Ideal)
				}
			}
			if want := len(all[0].Bars[bar].Nodes) + len(all[1].Bars[bar].Nodes); nodes != want {
				t.Fatalf("bar %d: %d instants of %d are set", bar+1, nodes, want)
			}
		}
		lines, _ := SetTogether(all, width)
		type key struct {
			bar   int
			at    tune.Ticks
			grace int
		}
		where := map[key][2]float64{} // line and place
		for i, line := range lines {
			if len(line) != 2 || line[0].Index != i || line[1].Index != i || line[0].Inked != line[1].Inked {
				t.Fatalf("line %d has %d parts", i, len(line))
			}
			for _, sy := range line {
				last := -1.0
				for _, nd := range sy.Nodes {
					k := key{nd.Measure.Index, nd.At, nd.Grace}
					here := [2]float64{float64(i), nd.X}
					if other, ok := where[k]; ok && other != here {
						t.Errorf("width %g: bar %d at %v stands at %v and %v", width, nd.Measure.Index+1, nd.At, other, here)
					}
					where[k] = here
					if nd.X <= last {
						t.Errorf("width %g: bar %d at %v stands at %.2f, the instant before at %.2f", width, nd.Measure.Index+1, nd.At, nd.X, last)
					}
					last = nd.X
				}
				for _, span := range sy.Spans {
					if !span.Last {
						cuts++
					}
				}
			}
		}
		for _, s := range all {
			keptWhole(t, s, width)
		}
	}
	if cuts == 0 {
		t.Error("no bar is cut: the test sees little")
	}
}

// keptWhole sees that no line ends between a grace and what it stands before, nor under a beam.
func keptWhole(t *testing.T, s *score.Score, width float64) {
	t.Helper()
	for _, m := range s.Bars {
		for i, nd := range m.Nodes {
			if i+1 < len(m.Nodes) && nd.Grace < 0 && nd.Line != m.Nodes[i+1].Line {
				t.Errorf("width %g: a grace ends a line", width)
			}
		}
		for _, n := range m.Notes {
			if n.Beam == nil {
				continue
			}
			for _, k := range n.Beam.Notes {
				if k.Node.Line != n.Node.Line {
					t.Errorf("width %g: a beam of bar %d goes over the end of a line", width, m.Index+1)
				}
			}
		}
	}
}

// TestLinesEndWherePiecesDo: a line likes to end with a repeat, a double or final barline, the end of an ending, and where the source ends its own, and not just before
// a first ending that no repeat precedes. Over lines of many widths each happens more often than for a bar that is like all others, or less.
func TestLinesEndWherePiecesDo(t *testing.T) {
	const bars, at = 24, 12
	ends := func(change func(t *tune.Tune)) (n int) {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
		base := read(t, "M:4/4\nL:1/4\nK:C\nc d e f|")
		for i := range bars {
			b := base.Bars[0]
			b.Number = i + 1
			tn.Bars = append(tn.Bars, b)
		}
		change(tn)
		for width := 60.0; width < 200; width += 1.5 {
			_, report := Set(score.New(tn, nil, score.Options{}), width)
			for _, l := range report.Lines {
				if l.FirstBarIndex == at+1 {
					n++
				}
			}
		}
		return n
	}
	plain := ends(func(*tune.Tune) {})
	for what, c := range map[string]struct {
		change func(t *tune.Tune)
		more   bool
	}{
		"a repeat":              {func(t *tune.Tune) { t.Bars[at].Right.Repeat = 1 }, true},
		"a double barline":      {func(t *tune.Tune) { t.Bars[at].Right.Style = tune.DoubleBarline }, true},
		"a final barline":       {func(t *tune.Tune) { t.Bars[at].Right.Style = tune.FinalBarline }, true},
		"the end of an ending":  {func(t *tune.Tune) { t.Bars[at].EndingEnds = true }, true},
		"the source's own line": {func(t *tune.Tune) { t.Bars[at].LineBreak = true }, true},
		"before an ending":      {func(t *tune.Tune) { t.Bars[at+1].Endings = []int{1} }, false},
	} {
		if n := ends(c.change); c.more && n <= plain || !c.more && n >= plain {
			t.Errorf("%s: %d lines end there, of a bar like others %d", what, n, plain)
		}
	}
	// After a repeat the next ending may begin a line: that is where one ends anyway.
	repeated := ends(func(t *tune.Tune) { t.Bars[at].Right.Repeat = 1 })
	if n := ends(func(t *tune.Tune) { t.Bars[at].Right.Repeat, t.Bars[at+1].Endings = 1, []int{2} }); n != repeated {
		t.Errorf("before a second ending %d lines end, without one %d", n, repeated)
	}
	// A lone bar is no last line where the piece has more than three and can be broken otherwise.
	lone := 0
	for n := 4; n <= 16; n++ {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
		base := read(t, "M:4/4\nL:1/4\nK:C\nc d e f|")
		for range n {
			tn.Bars = append(tn.Bars, base.Bars[0])
		}
		for width := 60.0; width < 140; width += 4 {
			_, report := Set(score.New(tn, nil, score.Options{}), width)
			last := report.Lines[len(report.Lines)-1]
			if last.Bars == 1 && len(report.Lines) > 1 && report.Lines[0].Bars > 1 {
				lone++
			}
		}
	}
	if lone > 0 {
		t.Errorf("%d times a bar is left alone", lone)
	}
}

// TestRatios: a line at natural spacing neither stretches nor squeezes, one at its least is squeezed by 1/0.6, one without room to give can't be.
func TestRatios(t *testing.T) {
	for _, c := range []struct{ width, nat, least, ideal, want float64 }{
		{100, 100, 60, 50, 0}, {130, 100, 60, 50, 1}, {115, 100, 60, 50, 0.5}, {60, 100, 60, 50, maxSqueeze}, {76, 100, 60, 50, -1}, {90, 100, 100, 50, -10}, {110, 100, 60, 0, 10}, {100, 100, 100, 0, 10},
	} {
		if got := ratio(c.width, c.nat, c.least, c.ideal); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%g of %g to %g on %g: %g, want %g", c.nat, c.least, c.ideal, c.width, got, c.want)
		}
	}
	for r, want := range map[float64]float64{0: 0, 1: 100, -1: 100, 0.5: 12.5, 2: 800} {
		if got := badness(r); got != want {
			t.Errorf("the badness of %g is %g, want %g", r, got, want)
		}
	}
}
