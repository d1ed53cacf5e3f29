package columns

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// small makes a grid of one bar in G for the built-in resonator rig with one
// voice: a rhythm in letters, each over an open string 1 until a test says
// otherwise.
func small(t testing.TB, rhythm string) *Grid {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g")
	key, err := pitch.ParseKey("G")
	if err != nil {
		t.Fatal(err)
	}
	bar := tune.Bar{Number: 1, Key: key, Meter: tune.Meter{}, Lines: [][]tune.Event{nil}}
	gb := GridBar{Rhythm: [][]RhythmEvent{nil}}
	for i, w := range strings.Fields(rhythm) {
		v, n := ScanValue(w)
		if n != len(w) {
			t.Fatalf("no value: %q", w)
		}
		bar.Lines[0] = append(bar.Lines[0], tune.Event{At: bar.Len, Len: v.Len(), Value: v})
		gb.Rhythm[0] = append(gb.Rhythm[0], RhythmEvent{})
		gb.Columns = append(gb.Columns, Column{At: bar.Len, Cells: []PlacedCell{cell(1, 0)}, Place: Place{10 + i, 1}})
		bar.Len += v.Len()
	}
	return &Grid{Tune: &tune.Tune{Voices: []tune.Voice{OnlyVoice}, Bars: []tune.Bar{bar}}, Rig: r, Bars: []GridBar{gb}}
}

// cell is a number on a string; its place is line = string, column = fret.
func cell(str int, fret float64, with ...func(*PlacedCell)) PlacedCell {
	c := PlacedCell{Cell: Cell{Fret: fret}, Str: str, Place: Place{str, int(fret) + 1}}
	for _, w := range with {
		w(&c)
	}
	return c
}

func attack(a tab.Attack) func(*PlacedCell) { return func(c *PlacedCell) { c.Attack = a } }

// said writes what a tab says: its strokes with their placements, then the notes
// of the tune with ties, glides and scoops.
func said(tb *tab.Tab) string {
	var b strings.Builder
	for _, s := range tb.Strokes {
		fmt.Fprintf(&b, "%v+%v %s", s.At, s.Len, FormatPlacement(s.Placement, true))
		if s.Grace {
			b.WriteString(" grace")
		}
		if s.Benders != 0 {
			fmt.Fprintf(&b, " benders %b", s.Benders)
		}
		for _, p := range s.Plucks {
			fmt.Fprintf(&b, "; %d:%s %v %v", p.String, Number(p.Fret, true), p.Attack, p.Len)
			if p.Glide {
				b.WriteString(" glides")
			}
			b.WriteString(" " + p.Finger.String())
			fmt.Fprintf(&b, "%v", []int{p.Ref.Event, p.Ref.Grace, p.Ref.Note})
		}
		b.WriteString("\n")
	}
	note := func(n tune.Note) {
		b.WriteString(n.Name.String())
		if n.Tie {
			b.WriteString("-")
		}
		if n.Glide {
			b.WriteString("/")
		}
		if n.Scoop != 0 {
			fmt.Fprintf(&b, "s%d", n.Scoop)
		}
		b.WriteString(" ")
	}
	for _, line := range tb.Tune.Bars[0].Lines {
		for _, e := range line {
			for _, g := range e.Graces {
				b.WriteString("'")
				for _, n := range g.Notes {
					note(n)
				}
			}
			for _, n := range e.Notes {
				note(n)
			}
			b.WriteString("| ")
		}
	}
	return strings.TrimSpace(b.String())
}

// What numbers in columns sound, on an instrument tuned G2 B2 D3 G3 B3 D4: a
// fret is a semitone (common practice, no source), so 2 on string 1 is E4 and 4
// on string 2 is D♯4.
func TestDerive(t *testing.T) {
	strs := func(cols ...[]PlacedCell) func(*Grid) {
		return func(g *Grid) {
			for i := range cols {
				g.Bars[0].Columns[i].Cells = cols[i]
			}
		}
	}
	cells := func(c ...PlacedCell) []PlacedCell { return c }
	graces := func(g *Grid, slash bool, n int) {
		e := &g.Tune.Bars[0].Lines[0][0]
		for range n {
			e.Graces = append(e.Graces, tune.Grace{Value: tune.Value{Log2: 4}, Slash: slash})
		}
		g.Bars[0].Rhythm[0][0].Graces = make([][]int, n)
	}
	for name, c := range map[string]struct {
		rhythm string
		set    func(*Grid)
		want   string
	}{
		"open, then stopped": {"q h", strs(cells(cell(1, 0)), cells(cell(1, 2))),
			"0+1/4 -; 1:0 picked 1/4 [0 -1 0]\n1/4+1/2 =1-6:2; 1:2 picked 1/2 [1 -1 0]\nD4 | E4 |"},
		"a chord from low to high, strings from the top": {"w", strs(cells(cell(1, 5), cell(2, 5), cell(3, 5))),
			"0+1 =1-6:5; 1:5 picked 1 [0 -1 2]; 2:5 picked 1 [0 -1 1]; 3:5 picked 1 [0 -1 0]\nC4 E4 G4 |"},
		"a unison: the nearer string comes first": {"w", strs(cells(cell(1, 0), cell(2, 3))),
			"0+1 =2-6:3; 1:0 picked 1 [0 -1 1]; 2:3 picked 1 [0 -1 0]\nD4 D4 |"},
		"open strings beyond and before": {"w", strs(cells(cell(1, 0), cell(3, 5), cell(4, 5), cell(6, 0))),
			"0+1 =3-4:5; 1:0 picked 1 [0 -1 3]; 3:5 picked 1 [0 -1 2]; 4:5 picked 1 [0 -1 1]; 6:0 picked 1 [0 -1 0]\nG2 G3 C4 D4 |"},
		"one string beside an open one nearer the player": {"w", strs(cells(cell(2, 5), cell(3, 0))),
			"0+1 N2:5; 2:5 picked 1 [0 -1 1]; 3:0 picked 1 [0 -1 0]\nG3 E4 |"},
		"forward": {"w", strs(cells(cell(1, 6), cell(2, 5))),
			"0+1 F1-2:6/5; 1:6 picked 1 [0 -1 1]; 2:5 picked 1 [0 -1 0]\nE4 G#4 |"},
		"reverse": {"w", strs(cells(cell(1, 5), cell(2, 6))),
			"0+1 R1-2:5/6; 1:5 picked 1 [0 -1 1]; 2:6 picked 1 [0 -1 0]\nF4 G4 |"},
		"fingers": {"w", func(g *Grid) {
			strs(cells(cell(1, 5), cell(2, 5)))(g)
			g.Bars[0].Columns[0].Hand = []tab.Finger{tab.Middle, tab.Thumb}
		}, "0+1 =1-6:5; 1:5 picked 1 M[0 -1 1]; 2:5 picked 1 T[0 -1 0]\nE4 G4 |"},
		"held on": {"q q", strs(cells(cell(1, 2)), cells(cell(1, 2, attack(tab.Tied)))),
			"0+1/4 =1-6:2; 1:2 picked 1/4 [0 -1 0]\n1/4+1/4 =1-6:2; 1:2 held on 1/4 [1 -1 0]\nE4- | E4 |"},
		"held on, but another note": {"q q", strs(cells(cell(1, 2)), cells(cell(1, 3, attack(tab.Tied)))),
			"0+1/4 =1-6:2; 1:2 picked 1/4 [0 -1 0]\n1/4+1/4 =1-6:3; 1:3 held on 1/4 [1 -1 0]\nE4 | F4 |"},
		"held on from another string": {"q q", strs(cells(cell(2, 3)), cells(cell(1, 0, attack(tab.Tied)))),
			"0+1/4 =1-6:3; 2:3 picked 1/4 [0 -1 0]\n1/4+1/4 -; 1:0 held on 1/4 [1 -1 0]\nD4 | D4 |"},
		"glided into": {"q q", strs(cells(cell(1, 2)), cells(cell(1, 5, attack(tab.Glided)))),
			"0+1/4 =1-6:2; 1:2 picked 1/4 glides [0 -1 0]\n1/4+1/4 =1-6:5; 1:5 glided into 1/4 [1 -1 0]\nE4/ | G4 |"},
		"a glide to the same note is no tie": {"q q q", strs(cells(cell(1, 2)), cells(cell(1, 2, attack(tab.Glided))), cells(cell(1, 2, attack(tab.Tied)))),
			"0+1/4 =1-6:2; 1:2 picked 1/4 glides [0 -1 0]\n1/4+1/4 =1-6:2; 1:2 glided into 1/4 [1 -1 0]\n1/2+1/4 =1-6:2; 1:2 held on 1/4 [2 -1 0]\nE4/ | E4- | E4 |"},
		"nothing to glide from": {"q q", strs(cells(cell(2, 2)), cells(cell(1, 5, attack(tab.Glided)))),
			"0+1/4 =1-6:2; 2:2 picked 1/4 [0 -1 0]\n1/4+1/4 =1-6:5; 1:5 glided into 1/4 [1 -1 0]\nC#4 | G4 |"},
		"a scoop from two frets below": {"w", strs(cells(cell(1, 5, func(c *PlacedCell) { c.Scooped, c.Start = true, 3 }))),
			"0+1 =1-6:5; 1:5 picked 1 [0 -1 0]\nG4s-2 |"},
		"a harmonic of the open string": {"w", strs(cells(cell(1, 12, attack(tab.Harmonic), func(c *PlacedCell) { c.Node = 2 }))),
			"0+1 -; 1:12 harmonic 1 [0 -1 0]\nD5 |"},
		"a harmonic leaves the steel to the others": {"w", strs(cells(cell(1, 12, attack(tab.Harmonic), func(c *PlacedCell) { c.Node = 2 }), cell(3, 5))),
			"0+1 =3-6:5; 1:12 harmonic 1 [0 -1 1]; 3:5 picked 1 [0 -1 0]\nC4 D5 |"},
		"a crushed note": {"q", func(g *Grid) {
			graces(g, true, 1)
			g.Bars[0].Columns = []Column{{At: 0, Cells: cells(cell(1, 4))}, {At: tune.Whole / 32, Cells: cells(cell(1, 5))}}
		}, "0+1/32 =1-6:4 grace; 1:4 picked 1/32 [0 0 0]\n1/32+7/32 =1-6:5; 1:5 picked 7/32 [0 -1 0]\n'F#4 G4 |"},
		"two graces": {"q", func(g *Grid) {
			graces(g, false, 2)
			g.Bars[0].Columns = []Column{{At: 0, Cells: cells(cell(1, 2))}, {At: tune.Whole / 16, Cells: cells(cell(1, 4))}, {At: tune.Whole / 8, Cells: cells(cell(1, 5))}}
		}, "0+1/16 =1-6:2 grace; 1:2 picked 1/16 [0 0 0]\n1/16+1/16 =1-6:4 grace; 1:4 picked 1/16 [0 1 0]\n1/8+1/8 =1-6:5; 1:5 picked 1/8 [0 -1 0]\n'E4 'F#4 G4 |"},
		"a note held on under graces, and its chord after them": {"q q", func(g *Grid) {
			e := &g.Tune.Bars[0].Lines[0][1]
			e.Graces = []tune.Grace{{Value: tune.Value{Log2: 4}}}
			g.Bars[0].Rhythm[0][1].Graces = make([][]int, 1)
			g.Bars[0].Columns = []Column{{At: 0, Cells: cells(cell(1, 0))}, {At: tune.Whole / 4, Cells: cells(cell(1, 0, attack(tab.Tied)), cell(2, 0))}, {At: 5 * tune.Whole / 16, Cells: cells(cell(3, 0))}}
		}, "0+1/4 -; 1:0 picked 1/4 [0 -1 0]\n1/4+1/4 -; 1:0 held on 1/4 [1 -1 1]; 2:0 picked 1/16 [1 0 0]\n5/16+3/16 -; 3:0 picked 3/16 [1 -1 0]\nD4- | 'B3 G3 D4 |"},
		"a note held on under graces from nowhere": {"q", func(g *Grid) {
			graces(g, false, 1)
			g.Bars[0].Columns = []Column{{At: 0, Cells: cells(cell(1, 0, attack(tab.Tied)), cell(2, 0))}, {At: tune.Whole / 16, Cells: cells(cell(3, 0))}}
		}, "0+1/4 -; 1:0 held on 1/4 [0 -1 1]; 2:0 picked 1/16 [0 0 0]\n1/16+3/16 -; 3:0 picked 3/16 [0 -1 0]\n'B3 G3 D4 |"},
		"the string of a grace held on": {"q", func(g *Grid) {
			graces(g, false, 1)
			g.Bars[0].Rhythm[0][0] = RhythmEvent{Strings: []int{1}, Graces: [][]int{{1}}}
			g.Bars[0].Columns = []Column{{At: 0, Cells: cells(cell(1, 0, attack(tab.Tied)))}, {At: tune.Whole / 16, Cells: cells(cell(1, 2))}}
		}, "0+1/4 -; 1:0 held on 1/4 [0 -1 0]\n1/16+3/16 =1-6:2; 1:2 picked 3/16 [0 -1 1]\n'D4 E4 |"},
		"held on from a grace": {"q", func(g *Grid) {
			graces(g, false, 1)
			g.Bars[0].Columns = []Column{{At: 0, Cells: cells(cell(1, 2))}, {At: tune.Whole / 16, Cells: cells(cell(1, 2, attack(tab.Tied)))}}
		}, "0+1/16 =1-6:2 grace; 1:2 picked 1/16 [0 0 0]\n1/16+1/4 =1-6:2; 1:2 held on 1/4 [0 -1 0]\n'E4 E4 |"}, // a held note has its event's whole length
	} {
		t.Run(name, func(t *testing.T) {
			g := small(t, c.rhythm)
			c.set(g)
			tb, faults := g.Derive("x.txt")
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			if got := said(tb); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
			if bad := tb.Tune.Check(); len(bad) > 0 && !strings.HasPrefix(name, "the string of a grace") {
				t.Errorf("a tune that is none: %v", bad)
			}
		})
	}
}

// Two voices whose strings are named share the columns, and glides stay in
// their voice.
func TestDeriveVoices(t *testing.T) {
	g := small(t, "q q")
	g.Tune.Voices = append(g.Tune.Voices, tune.Voice{ID: "2"})
	bar := &g.Tune.Bars[0]
	bar.Lines = append(bar.Lines, []tune.Event{{Len: bar.Len, Value: tune.Value{Log2: 1}}})
	for i := range g.Bars[0].Rhythm[0] {
		g.Bars[0].Rhythm[0][i].Strings = []int{1, 2}
	}
	g.Bars[0].Rhythm = append(g.Bars[0].Rhythm, []RhythmEvent{{Strings: []int{2, 6}}})
	g.Bars[0].Columns[0].Cells = []PlacedCell{cell(1, 0), cell(2, 0), cell(6, 0)}
	g.Bars[0].Columns[1].Cells = []PlacedCell{cell(1, 2, attack(tab.Glided))}
	tb, faults := g.Derive("x.txt")
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	const want = "B3 D4/ | E4 | G2 B3 |"
	if got := said(tb); !strings.HasSuffix(got, want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if s := tb.Strokes[0]; len(s.Plucks) != 4 || s.Len != tune.Whole/2 {
		t.Errorf("the unison of both voices on string 2 is %d plucks of %v", len(s.Plucks), s.Len)
	}
	g.Bars[0].Columns[1].Cells = []PlacedCell{cell(5, 2)}
	if _, faults := g.Derive("x.txt"); len(faults) != 1 || faults[0].Error() != "x.txt:5:3: no voice of the rhythm line plays string 5 here" || faults[0].Str != 5 {
		t.Errorf("a string that nobody plays: %v", faults)
	}
}

// What the grid can't mean is a fault at its place.
func TestDeriveFaults(t *testing.T) {
	for name, c := range map[string]struct {
		set  func(*Grid)
		want string
	}{
		"under no letter":       {func(g *Grid) { g.Bars[0].Columns[1].At++ }, "x.txt:1:1: the number stands under no letter of the rhythm line"},
		"under a rest":          {func(g *Grid) { g.Tune.Bars[0].Lines[0][1].Kind = tune.Rest }, "x.txt:1:1: the number stands under no letter of the rhythm line"},
		"too high":              {func(g *Grid) { g.Bars[0].Columns[1].Cells[0].Fret = 90 }, "x.txt:1:1: fret 90 on string 1 sounds beyond all instruments"},
		"a bender on a number":  {func(g *Grid) { g.Bars[0].Columns[1].Cells[0].Benders = []string{"Q"} }, `x.txt:1:1: the rig has no bender "Q"`},
		"a bender on the steel": {func(g *Grid) { g.Bars[0].Columns[1].Steel.Benders = []string{"Q"} }, `x.txt:11:1: the rig has no bender "Q"`},
		"too many fingers": {func(g *Grid) {
			g.Bars[0].Columns[1].Hand, g.Bars[0].Columns[1].HandAt = []tab.Finger{1, 2}, Place{20, 5}
		}, "x.txt:20:5: 2 fingers stand under 1 notes"},
		"a string too many": {func(g *Grid) {
			g.Bars[0].Columns[1].Steel = SteelState{Laid: true, Placement: steel.Placement{Kind: steel.Straight, First: 1, Last: 7}}
		}, "x.txt:11:1: the rig has no string 7"},
		"no fret to lie at": {func(g *Grid) {
			g.Bars[0].Columns[1].Steel = SteelState{Laid: true, Placement: steel.Placement{Kind: steel.Straight, First: 1, Last: 6}}
		}, `x.txt:11:1: the steel's frets can't be told from the numbers under "=1-6"`},
		"one end of a slant alone": {func(g *Grid) {
			g.Bars[0].Columns[1].Cells[0].Fret = 5
			g.Bars[0].Columns[1].Steel = SteelState{Laid: true, Placement: steel.Placement{Kind: steel.Forward, First: 1, Last: 3}}
		}, `x.txt:11:1: the steel's frets can't be told from the numbers under "F1-3"`},
	} {
		g := small(t, "q q")
		c.set(g)
		if _, faults := g.Derive("x.txt"); len(faults) != 1 || faults[0].Error() != c.want {
			t.Errorf("%s: %v, want %q", name, faults, c.want)
		}
	}
}

// The highest and the lowest key there is are played, a semitone beyond is not.
func TestDeriveBounds(t *testing.T) {
	g := small(t, "q")
	open := g.Rig.Strings[0].Open.Key()
	for off, ok := range map[float64]bool{0: true, 0.4: true, 0.5: false, 1: false} {
		fret := float64(pitch.MaxKey-open) + off
		g := small(t, "q")
		g.Bars[0].Columns[0].Cells[0].Fret = fret
		if _, faults := g.Derive("x"); (len(faults) == 0) != ok {
			t.Errorf("fret %v: %v", fret, faults)
		}
	}
}

// How the steel lies where the steel line says it, with the frets from the
// numbers under it.
func TestPlacementOf(t *testing.T) {
	for name, c := range map[string]struct {
		laid   steel.Placement
		framed bool
		cells  []PlacedCell
		want   string // "" when it can't be told
	}{
		"square on some":                 {steel.Placement{Kind: steel.Straight, First: 2, Last: 4}, false, []PlacedCell{cell(1, 0), cell(3, 5)}, "=2-4:5"},
		"square, told by its last":       {steel.Placement{Kind: steel.Straight, First: 2, Last: 4}, false, []PlacedCell{cell(4, 5)}, "=2-4:5"},
		"square, a number beyond it":     {steel.Placement{Kind: steel.Straight, First: 2, Last: 4}, false, []PlacedCell{cell(5, 5)}, ""},
		"square under a harmonic alone":  {steel.Placement{Kind: steel.Straight, First: 1, Last: 6}, false, []PlacedCell{cell(1, 12, attack(tab.Harmonic))}, ""},
		"under a palm harmonic":          {steel.Placement{Kind: steel.Straight, First: 1, Last: 6}, false, []PlacedCell{cell(1, 5, attack(tab.PalmHarmonic))}, "=1-6:5"},
		"a slant":                        {steel.Placement{Kind: steel.Forward, First: 1, Last: 3}, false, []PlacedCell{cell(1, 6), cell(2, 5.5), cell(3, 5)}, "F1-3:6/5"},
		"a split by its nose":            {steel.Placement{Kind: steel.Split, First: 1, Last: 4}, false, []PlacedCell{cell(1, 7), cell(4, 5)}, "S1-4:7/5"},
		"a split by the second string":   {steel.Placement{Kind: steel.Split, First: 1, Last: 4}, false, []PlacedCell{cell(2, 7), cell(4, 5)}, "S1-4:7/5"},
		"a slant isn't told by a second": {steel.Placement{Kind: steel.Forward, First: 1, Last: 4}, false, []PlacedCell{cell(2, 7), cell(4, 5)}, ""},
		"frets written out":              {steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 7, LastFret: 7}, true, []PlacedCell{cell(1, 0)}, "=1-6:7"},
		"lifted":                         {steel.Placement{}, false, []PlacedCell{cell(1, 0)}, "-"},
	} {
		g := small(t, "q")
		col := &g.Bars[0].Columns[0]
		col.Steel, col.Cells = SteelState{Laid: true, Placement: c.laid, Framed: c.framed}, c.cells
		p, ok := g.PlacementOf(steel.New(g.Rig), col)
		if ok != (c.want != "") || ok && FormatPlacement(p, true) != c.want {
			t.Errorf("%s: %s %v, want %q", name, FormatPlacement(p, true), ok, c.want)
		}
	}
}

// On a string that the leaning steel crosses, a number with two decimals stands
// for the crossing, and a number farther off for what it says.
func TestCrossings(t *testing.T) {
	g := small(t, "q")
	geo := steel.New(g.Rig)
	lean := steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 6, LastFret: 5}
	cross := geo.Contact(lean, 2)
	for _, c := range []struct {
		off, near float64
		exact     bool
		crosses   bool
	}{{0.004, 0, false, true}, {-0.004, 0, false, true}, {0.004, 0, true, false}, {0.006, 0, false, false}, {0.02, 0.05, true, true}, {0.06, 0.05, false, false}} {
		col := &g.Bars[0].Columns[0]
		col.Steel = SteelState{Laid: true, Placement: lean}
		col.Cells = []PlacedCell{cell(1, 6), cell(2, cross+c.off, func(p *PlacedCell) { p.Exact = c.exact }), cell(3, 5), cell(4, 0)}
		g.Near = c.near
		g.Tune.Bars[0].Lines[0][0].Notes = nil
		tb, faults := g.Derive("x")
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		if got := tb.Strokes[0].Plucks[1].Fret == cross; got != c.crosses {
			t.Errorf("%+v: fret %v beside a crossing at %v", c, tb.Strokes[0].Plucks[1].Fret, cross)
		}
		if f := tb.Strokes[0].Plucks[3].Fret; f != 0 {
			t.Errorf("a string beside the steel is at fret %v", f)
		}
	}
}

// Letters after numbers and on the steel line engage benders together.
func TestBendersOf(t *testing.T) {
	r, ok := rig.Builtin("pedal10-e9")
	if !ok || len(r.Benders) < 3 {
		t.Fatal("no rig with three benders")
	}
	g := &Grid{Rig: r}
	col := &Column{Cells: []PlacedCell{cell(1, 3), cell(2, 3)}}
	col.Cells[1].Benders = []string{r.Benders[0].Mark}
	col.Steel.Benders = []string{r.Benders[2].Mark}
	if got := g.BendersOf(col); got != 5 {
		t.Errorf("benders %b, want the first and the third", got)
	}
}
