package sheet_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/staff"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// arranged places ABC text on a built-in rig.
func arranged(t *testing.T, text, rigName string) *tab.Tab {
	t.Helper()
	tunes, _, err := abc.Read([]byte(text), "t.abc")
	if err != nil {
		t.Fatal(err)
	}
	res, err := arrange.Arrange(context.Background(), tunes[0], rigtest.Builtin(t, rigName), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res.Tab
}

// legendOf returns the words of a sheet's legend, entry by entry.
func legendOf(d *draw.Drawing) []string {
	var out []string
	var last *draw.Group
	for _, p := range d.Pages {
		p.Walk(func(in []*draw.Group, it draw.Item) {
			text, ok := it.(draw.Text)
			if !ok || text.Font != draw.Serif {
				return
			}
			for _, g := range in {
				if g.Class != "legend-item" {
					continue
				}
				if g == last {
					out[len(out)-1] += " " + text.S
				} else {
					out = append(out, text.S)
				}
				last = g
			}
		})
	}
	return out
}

// TestTabKeepsTheMarks: who reads the tablature alone is told of every accent, fermata,
// swell, breath and roll that a staff would have, once, over the note that has it, and
// what the signs mean (the signs are the staff's; common practice, no source).
func TestTabKeepsTheMarks(t *testing.T) {
	marks := map[string]tune.Mark{"swell": tune.Swell, "fermata": tune.Fermata, "accent": tune.Accent, "marcato": tune.StrongAccent, "tenuto": tune.Tenuto, "trill": tune.Trill, "breath": tune.Breath, "arpeggio": tune.Arpeggio}
	meant := map[string]string{"swell": "begin softly", "fermata": "hold it longer", "accent": "harder", "arpeggio": "roll it"}
	for name, k := range marks {
		tb := arranged(t, "X:1\nT:One Mark\nM:4/4\nL:1/4\nK:D\nD2 A2|!"+name+"![DF]2 A2|]\n", "tricone-open-d")
		d := lay(t, tb, sheet.Options{Layout: sheet.TabOnly})
		sym, _ := staff.Over(k)
		drawn := 0
		for _, p := range d.Pages {
			p.Walk(func(in []*draw.Group, it draw.Item) {
				for _, g := range in {
					if g.Class != "mark" {
						continue
					}
					if glyph, ok := it.(draw.Glyph); k == tune.Arpeggio || ok && glyph.Symbol == sym {
						drawn++
					}
				}
			})
		}
		if drawn != 1 {
			t.Errorf("%s is drawn %d times", name, drawn)
		}
		legend := legendOf(d)
		if w, ok := meant[name]; ok && !slices.ContainsFunc(legend, func(s string) bool { return strings.Contains(s, w) }) {
			t.Errorf("%s: the legend says %q, not %q", name, legend, w)
		}
	}
}

// TestLegendKnowsWhatMoves: a glide whose steel stands still is a bender's, and the
// legend says so; only one that moves the steel is called a slide of it.
func TestLegendKnowsWhatMoves(t *testing.T) {
	const slide, level = "slide the steel", "a level line"
	for _, c := range []struct {
		name     string
		to       float64 // fret that the glide from fret 5 comes to
		benders  rig.BenderSet
		says, no string
	}{
		{"the steel", 7, 0, slide, level},
		{"a bender", 5, 2, level, slide},
	} {
		tb := gliding(t, c.to, c.benders)
		legend := strings.Join(legendOf(lay(t, tb, sheet.Options{})), "; ")
		if !strings.Contains(legend, c.says) || strings.Contains(legend, c.no) {
			t.Errorf("%s moves: the legend says %q", c.name, legend)
		}
	}
}

// gliding returns two notes on string 2, the second reached by a glide from fret 5.
func gliding(t *testing.T, to float64, benders rig.BenderSet) *tab.Tab {
	t.Helper()
	tb := arranged(t, "X:1\nT:A Glide\nM:4/4\nL:1/4\nK:D\nA2 B2|]\n", "bender-open-d")
	if len(tb.Strokes) != 2 {
		t.Fatalf("%d strokes", len(tb.Strokes))
	}
	at := func(i int, fret float64, benders rig.BenderSet) *tab.Pluck {
		s := &tb.Strokes[i]
		s.Placement, s.Benders = steel.Placement{Kind: steel.Straight, First: 2, Last: 2, FirstFret: fret, LastFret: fret}, benders
		s.Plucks[0].String, s.Plucks[0].Fret = 2, fret
		return &s.Plucks[0]
	}
	at(0, 5, 0).Glide = true
	at(1, to, benders).Attack = tab.Glided
	return tb
}
