package sheet_test

import (
	"testing"

	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

// TestLegendUsesTheWidth: what the marks mean stands in lines that can be read, on
// paper in three columns and on a phone in one: a line that goes on in the next has
// at least 28 mm (some 20 letters; our own measure, no source).
func TestLegendUsesTheWidth(t *testing.T) {
	for paper, columns := range map[draw.Paper]int{draw.A4: 3, draw.Letter: 3, draw.Phone: 1} {
		d := lay(t, sheettest.EveryMark(t), sheet.Options{Paper: paper})
		entries := 0
		var at []float64
		for _, p := range d.Pages {
			var item *draw.Group
			var last draw.Text
			p.Walk(func(in []*draw.Group, it draw.Item) {
				for _, g := range in {
					if g.Class != "legend-item" {
						continue
					}
					text, ok := it.(draw.Text)
					if !ok || text.Font != draw.Serif {
						return
					}
					if g != item {
						entries++
						if entries <= 3 {
							at = append(at, text.X)
						}
					} else if w := draw.Serif.Width(last.S) * last.Size; w < 28 {
						t.Errorf("%s: %q is broken off after %.0f mm", paper, last.S, w)
					}
					item, last = g, text
				}
			})
		}
		if entries < 5 {
			t.Fatalf("%s: %d entries", paper, entries)
		}
		across := map[float64]bool{}
		for _, x := range at {
			across[x] = true
		}
		if len(across) != columns {
			t.Errorf("%s: the first entries stand at %v, want %d columns", paper, at, columns)
		}
	}
}

// TestLegendSamplesAreClear: no letter or number of a sample stands in another.
func TestLegendSamplesAreClear(t *testing.T) {
	for _, layout := range []sheet.Layout{sheet.Full, sheet.TabOnly, sheet.LargePrint} {
		samples := map[*draw.Group][]draw.Text{}
		for _, p := range lay(t, sheettest.EveryMark(t), sheet.Options{Layout: layout}).Pages {
			p.Walk(func(in []*draw.Group, it draw.Item) {
				for _, g := range in {
					if text, ok := it.(draw.Text); ok && g.Class == "legend-item" && text.Font != draw.Serif {
						samples[g] = append(samples[g], text)
					}
				}
			})
		}
		bends := 0
		for _, all := range samples {
			for i, a := range all {
				if a.S == "b" {
					bends++
				}
				for _, b := range all[:i] {
					// Ink, not the em: lines of strings stand close.
					ra, rb := a.Bounds(), b.Bounds()
					if across := min(ra.X1, rb.X1) - max(ra.X0, rb.X0); across > 0.05 && min(ra.Y1, rb.Y1)-max(ra.Y0, rb.Y0) > 0.05 {
						t.Errorf("%s: %q stands %.2f mm in %q", layout, a.S, across, b.S)
					}
				}
			}
		}
		if bends == 0 {
			t.Errorf("%s: no sample of a bend among %d", layout, len(samples))
		}
	}
}
