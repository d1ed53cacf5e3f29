package staff_test

import (
	"math"
	"testing"

	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/sheettest"
	"lapwright/sheet/spacing"
	"lapwright/sheet/staff"
	"lapwright/tab"
	"lapwright/tune"
)

// piece is one item of a drawing with the class of the group it stands in.
type piece struct {
	class string
	draw.Rect
}

func pieces(c *ink.Canvas) (out []piece) {
	(&draw.Page{Items: []draw.Item{&c.Root}}).Walk(func(in []*draw.Group, it draw.Item) {
		out = append(out, piece{in[len(in)-1].Class, it.Bounds()})
	})
	return out
}

// staffs draws the staff of every line of a tune, changed by change after it is spaced.
func staffs(tn *tune.Tune, tb *tab.Tab, change func(*score.Note)) (out [][]piece) {
	s := score.New(tn, tb, score.Options{})
	systems, _ := spacing.Set(s, 80)
	for i := range s.Bars {
		for _, n := range s.Bars[i].Notes {
			change(n)
		}
	}
	for _, sys := range systems {
		sys.SetStems()
		c := ink.New()
		staff.Draw(sys, c)
		out = append(out, pieces(c))
	}
	return out
}

// TestAllMovesWithItsNote: when notes are moved aside, as for another voice, or heads to the other side of
// their stems, everything that belongs to them goes along by as much (what belongs to a line's
// end or to a column stays), and nothing goes the other way.
func TestAllMovesWithItsNote(t *testing.T) {
	const by = 0.01 // staff spaces: too little for anything to make room
	turned := sheettest.Turned(t)
	for _, c := range []struct {
		say    string
		change func(*score.Note)
		with   map[string]bool // what follows throughout
	}{
		{"notes", func(n *score.Note) {
			if n.Grace < 0 {
				n.DX += by
			}
		}, map[string]bool{"head": true, "dot": true, "stem": true, "flag": true}},
		{"heads", func(n *score.Note) {
			for _, h := range n.Heads {
				if n.Grace < 0 {
					h.DX += by
				}
			}
		}, map[string]bool{"head": true, "dot": true}},
	} {
		for _, x := range []struct {
			tune *tune.Tune
			tab  *tab.Tab
		}{{sheettest.EveryTurn(t), nil}, {sheettest.EverySign(t), nil}, {turned.Tune, turned}} {
			before, after := staffs(x.tune, x.tab, func(*score.Note) {}), staffs(x.tune, x.tab, c.change)
			moved := map[string]int{}
			for line := range before {
				if len(before[line]) != len(after[line]) {
					t.Fatalf("%s moved: line %d has %d pieces, %d before", c.say, line+1, len(after[line]), len(before[line]))
				}
				for i, b := range before[line] {
					a := after[line][i]
					for _, d := range []float64{a.X0 - b.X0, a.X1 - b.X1} {
						if d < -0.1*by || d > 1.1*by {
							t.Errorf("%s moved by %.3f: a %s on line %d at %.2f by %.4f", c.say, by, b.class, line+1, b.X0, d)
						}
						if d > 0.9*by {
							moved[b.class]++
						}
					}
				}
			}
			for _, class := range []string{"head", "dot", "tie", "slur"} {
				if moved[class] == 0 {
					t.Errorf("%s moved: no %s went along", c.say, class)
				}
			}
		}
	}
}

// TestMeterAsLargeAsAsked: a time signature twice as large is the same picture twice as large, and its
// two rows have one middle.
func TestMeterAsLargeAsAsked(t *testing.T) {
	for _, m := range []tune.Meter{{Beats: 3, Unit: 4}, {Beats: 12, Unit: 8}, {Beats: 11, Unit: 16}, {Beats: 5, Unit: 8, Groups: []int{3, 2}}, {Beats: 4, Unit: 4, Symbol: "C"}} {
		one, two := ink.New(), ink.New()
		staff.DrawMeter(one, &m, 3, 5, 1)
		staff.DrawMeter(two, &m, 3, 5, 2)
		a, b := pieces(one), pieces(two)
		if len(a) != len(b) {
			t.Fatalf("%v: %d and %d pieces", m, len(a), len(b))
		}
		for i := range a {
			for _, d := range []float64{3 + 2*(a[i].X0-3) - b[i].X0, 3 + 2*(a[i].X1-3) - b[i].X1, 5 + 2*(a[i].Y0-5) - b[i].Y0, 5 + 2*(a[i].Y1-5) - b[i].Y1} {
				if math.Abs(d) > 1e-9 {
					t.Errorf("%v: piece %d is at %v and at %v", m, i+1, a[i].Rect, b[i].Rect)
					break
				}
			}
		}
		var rows [2]draw.Rect
		for _, p := range a {
			row := &rows[0]
			if (p.Y0+p.Y1)/2 > 5 {
				row = &rows[1]
			}
			if *row == (draw.Rect{}) {
				*row = p.Rect
			} else if p.X0 < row.X1 {
				t.Errorf("%v: digits lie over each other", m)
			}
			row.X1 = max(row.X1, p.X1)
		}
		if m.Symbol == "" && math.Abs(rows[0].X0+rows[0].X1-rows[1].X0-rows[1].X1) > 0.5 {
			t.Errorf("%v: over each other stand %v and %v", m, rows[0], rows[1])
		}
	}
}

// TestTupletNumberKeepsClear: the number of a tuplet stands a quarter of a space clear of the ink that it or its bracket
// lies over or under, and takes no notice of what lies beside (our own measure).
func TestTupletNumberKeepsClear(t *testing.T) {
	half := draw.Tuplet3.Advance() * 0.8 / 2
	for _, c := range []struct {
		say   string
		bare  bool
		x     float64 // where the ink stands, under a tuplet from 0 to 8
		moves bool
	}{
		{"in its middle", true, 4, true},
		{"just beside the number, right", true, 4 + half + 0.15, true},
		{"just beside the number, left", true, 4 - half - 0.15, true},
		{"a little farther right", true, 4 + half + 0.3, false},
		{"a little farther left", true, 4 - half - 0.3, false},
		{"under the bracket's end", false, 7.9, true},
		{"under its beginning", false, 0.1, true},
		{"beyond it", false, 8.2, false},
	} {
		for _, above := range []bool{true, false} {
			edge := -3.0 // of the ink, three spaces out of the staff
			if !above {
				edge = 7
			}
			ink1, bare := ink.New(), ink.New()
			ink1.Begin("obstacle")
			ink1.Line(c.x, 2, c.x, edge, 0.02)
			ink1.End()
			staff.TupletMark(ink1, "3", 0, 8, above, c.bare, math.Inf(1))
			staff.TupletMark(bare, "3", 0, 8, above, c.bare, math.Inf(1))
			var number, free draw.Rect
			for _, p := range pieces(ink1) {
				if p.class == "tuplet" {
					number = p.Rect // the first piece is the digit
					break
				}
			}
			free = pieces(bare)[0].Rect
			gap, near := edge-number.Y1, -free.Y1
			if !above {
				gap, near = number.Y0-edge, free.Y0-4
			}
			if c.moves && (gap < 0.15 || gap > 0.5) || !c.moves && number != free {
				t.Errorf("ink %s, above %v: the number stands %.2f clear of it", c.say, above, gap)
			}
			if near < 0.2 || near > 0.5 {
				t.Errorf("with nothing there, above %v: the number stands %.2f clear of the staff", above, near)
			}
		}
	}
}

// heads counts the heads that are drawn in a bar of four quarters.
func heads(t *testing.T, voices ...string) (n int) {
	t.Helper()
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}, {ID: "2"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, voices...)}}
	for _, line := range staffs(tn, nil, func(*score.Note) {}) {
		for _, p := range line {
			if p.class == "head" {
				n++
			}
		}
	}
	return n
}

// TestSharedHeads: two voices share a head where they meet on one place in heads of one kind; a grace, a
// white head beside a black one and another place have their own (common practice of engraving, no source).
func TestSharedHeads(t *testing.T) {
	for _, c := range []struct {
		up, down string
		want     int
	}{
		{"C5/4 r/2.", "C5/4 r/2.", 1},
		{"C5/8 r/8 r/2.", "C5/4 r/2.", 1},
		{"C5/4 r/2.", "C5/2 r/2", 2},
		{"C5/4 r/2.", "A4/4 r/2.", 2},
		{"r/4 r/2.", "C5/4 r/2.", 1},
		{"g:C5/8 C5/4 r/2.", "A4/4 r/2.", 3},
		{"g:C5/8 C5/4 r/2.", "C5/4 r/2.", 2},
		{"C5/4 r/2.", "g:C5/8 A4/4 r/2.", 3},
		{"C5/4 C5/4 C5/2", "C5/4 A4/4 C5/2", 4},
		{"C5/4. r/8 r/2", "C5/4 r/2.", 2},
		{"C5+E5/4 r/2.", "C5/4 r/2.", 3},
	} {
		if got := heads(t, c.up, c.down); got != c.want {
			t.Errorf("%q over %q: %d heads, want %d", c.up, c.down, got, c.want)
		}
	}
}

// TestBracketsRoundAccidentals: brackets stand close on both sides of their accidental, of a grace's smaller one too.
func TestBracketsRoundAccidentals(t *testing.T) {
	bracketed := map[bool]int{} // of graces, of notes
	s := score.New(sheettest.EveryTurn(t), nil, score.Options{})
	systems, _ := spacing.Set(s, 80)
	for _, sys := range systems {
		sys.SetStems()
		for _, n := range sys.NotesHere() {
			for _, h := range n.Heads {
				h.Brackets = true
			}
		}
		c := ink.New()
		staff.Draw(sys, c)
		groups := map[*draw.Group][]draw.Rect{}
		(&draw.Page{Items: []draw.Item{&c.Root}}).Walk(func(in []*draw.Group, it draw.Item) {
			if g := in[len(in)-1]; g.Class == "accidental" {
				groups[g] = append(groups[g], it.Bounds())
			}
		})
		for _, r := range groups {
			left, right, sign := r[0], r[1], r[2]
			bracketed[left.Y1-left.Y0 < 1.5]++
			if a, b := sign.X0-left.X1, right.X0-sign.X1; a < -0.1 || a > 0.2 || b < -0.15 || b > 0.2 {
				t.Errorf("round an accidental at %.2f brackets stand %.2f and %.2f off", sign.X0, a, b)
			}
		}
	}
	if bracketed[true] < 2 || bracketed[false] < 2 {
		t.Fatalf("accidentals in brackets: %v", bracketed)
	}
}

// TestGracesAreSmallAllOver: of a grace, which is drawn at three fifths of a note's size, dots stand as much nearer, the pieces
// of beams are as much shorter, and a stroke through its stem crosses it, up or down.
func TestGracesAreSmallAllOver(t *testing.T) {
	line := func(voices ...string) []piece {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}, {ID: "2"}}[:len(voices)], Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, voices...)}}
		return staffs(tn, nil, func(*score.Note) {})[0]
	}
	of := func(in []piece, class string) (out []piece) {
		for _, p := range in {
			if p.class == class {
				out = append(out, p)
			}
		}
		return out
	}
	gaps := func(in []piece) (first, next, head float64) {
		h, d := of(in, "head"), of(in, "dot")
		return d[0].X0 - h[0].X1, d[1].X0 - d[0].X0, h[0].X1 - h[0].X0
	}
	f0, n0, h0 := gaps(line("C5/2.. r/8"))
	f1, n1, h1 := gaps(line("g:C5/4.. C5/1"))
	if size := h1 / h0; size > 0.7 || math.Abs(f1-size*f0) > 0.1 || math.Abs(n1-size*n0) > 0.1 {
		t.Errorf("dots stand %.2f and %.2f off a note, %.2f and %.2f off a grace of size %.2f", f0, n0, f1, n1, size)
	}
	for _, music := range []string{"g:E5/8 g:F5/16 D5/1", "g:F5/16 g:E5/8 D5/1"} {
		x := line(music)
		stems, beams := of(x, "stem"), of(x, "beam")
		if len(beams) != 2 {
			t.Fatalf("%s: %d pieces of beams", music, len(beams))
		}
		if short := beams[1].X1 - beams[1].X0; math.Abs(short-1.1*h1/h0) > 0.01 || beams[1].X0 < stems[0].X0-0.01 || beams[1].X1 > stems[1].X1+0.01 {
			t.Errorf("%s: a piece of beam from %.2f to %.2f, between stems at %.2f and %.2f", music, beams[1].X0, beams[1].X1, stems[0].X0, stems[1].X1)
		}
	}
	for _, voices := range [][]string{{"g:C5/8 D5/1"}, {"A5/1", "g:C5/8 D5/1"}} {
		x := line(voices...)
		stem, slash := of(x, "stem")[0], of(x, "slash")
		if len(slash) != 1 || !slash[0].Overlaps(stem.Rect) {
			t.Errorf("%q: the stroke at %v crosses no stem at %v", voices, slash, stem.Rect)
		}
		head, slur := of(x, "head")[0], of(x, "slur")
		up := stem.Y0 < head.Y0-1
		if len(slur) != 1 || up != (len(voices) == 1) || up != (slur[0].Y1 > head.Y1) {
			t.Errorf("%q: stem up %v, the head at %v, its slur at %v", voices, up, head.Rect, slur)
		}
	}
}

// TestDotsClearOfHeads: the dots of a chord stand in a column to the right of all its heads, those on the
// other side of the stem too, and of a flag, and the second to the right of the first.
func TestDotsClearOfHeads(t *testing.T) {
	for _, music := range []string{"E4/8. r/16 r/2.", "F4+G4/2. r/4", "C5+D5/2. r/4", "E4+F4+G4/2.. r/8", "C6/2.. r/8"} {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, music)}}
		right, dots, flag := 0.0, []draw.Rect{}, draw.Empty
		for _, p := range staffs(tn, nil, func(*score.Note) {})[0] {
			switch p.class {
			case "head":
				right = max(right, p.X1)
			case "dot":
				dots = append(dots, p.Rect)
			case "flag":
				flag = p.Rect
			}
		}
		for i, d := range dots {
			if d.X0 < right+0.1 || d.X1 > right+2 || d.Overlaps(flag) {
				t.Errorf("%s: a dot at %.2f, the heads end at %.2f, a flag stands at %v", music, d.X0, right, flag)
			}
			if i > 0 && d.Y0 == dots[i-1].Y0 && d.X0 < dots[i-1].X1+0.05 {
				t.Errorf("%s: two dots at %.2f and %.2f", music, dots[i-1].X0, d.X0)
			}
		}
		if len(dots) == 0 {
			t.Fatalf("%s: no dots", music)
		}
	}
}
