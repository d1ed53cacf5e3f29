package system_test

import (
	"math"
	"strconv"
	"testing"

	"lapwright/internal/golden"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

// TestSignsAsLookedAt: the frame of the pages that show every sign of the staff is as it was when
// they were looked at.
func TestSignsAsLookedAt(t *testing.T) {
	signs := sheettest.Signs(t)
	for i := range signs.Pages {
		golden.File(t, "../testdata/signs-"+strconv.Itoa(i+1)+".svg", sheettest.Picture(signs, i))
	}
}

// TestMarksAsLookedAt: the frame of the pages that show every mark of the tablature is as it was when
// they were looked at.
func TestMarksAsLookedAt(t *testing.T) {
	for _, l := range []sheet.Layout{sheet.Full, sheet.TabOnly, sheet.LargePrint} {
		marks := sheettest.Marks(t, l)
		for i := range marks.Pages {
			golden.File(t, "../testdata/marks-"+string(l)+"-"+strconv.Itoa(i+1)+".svg", sheettest.Picture(marks, i))
		}
	}
}

// TestTurnsAsLookedAt: the frame of the pages that show what signs and marks do beside each other is as it was when
// they were looked at.
func TestTurnsAsLookedAt(t *testing.T) {
	for name, d := range map[string]*draw.Drawing{"signs-turns": sheettest.Turns(t), "marks-turned": sheettest.TurnedPages(t, draw.A4, sheet.TabOnly), "marks-turned-narrow": sheettest.TurnedPages(t, draw.Phone, sheet.Full)} {
		golden.File(t, "../testdata/"+name+".svg", sheettest.Picture(d, 0))
	}
}

// TestSyllablesStandClear: on a sheet of tablature alone the words stand over the strings,
// clear of them and of the numbers.
func TestSyllablesStandClear(t *testing.T) {
	syllables := 0
	for _, it := range sheettest.TurnedPages(t, draw.A4, sheet.TabOnly).Pages[0].Items {
		g, ok := it.(*draw.Group)
		if !ok || g.Class != "system" {
			continue
		}
		top, low := math.Inf(1), math.Inf(-1)
		page := &draw.Page{Items: []draw.Item{g}}
		page.Walk(func(in []*draw.Group, it draw.Item) {
			switch b := it.Bounds(); in[len(in)-1].Class {
			case "frame":
				top = min(top, b.Y0)
			case "fret":
				top = min(top, b.Y0)
			case "lyric":
				syllables++
				low = max(low, b.Y1)
			}
		})
		if low > top {
			t.Errorf("syllables reach down to %.1f mm, the tablature begins at %.1f", low, top)
		}
	}
	if syllables < 10 {
		t.Fatalf("%d syllables", syllables)
	}
}
