package tabstaff_test

import (
	"strconv"
	"testing"

	"lapwright/internal/golden"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

// TestMarksAsLookedAt: the tablature of the pages that show every mark of the tablature is as it was when
// they were looked at.
func TestMarksAsLookedAt(t *testing.T) {
	for _, l := range []sheet.Layout{sheet.Full, sheet.TabOnly, sheet.LargePrint} {
		marks := sheettest.Marks(t, l)
		for i := range marks.Pages {
			golden.File(t, "../testdata/marks-"+string(l)+"-"+strconv.Itoa(i+1)+".svg", sheettest.Picture(marks, i))
		}
	}
}

// TestTurnsAsLookedAt: the tablature of the pages that show what signs and marks do beside each other is as it was when
// they were looked at.
func TestTurnsAsLookedAt(t *testing.T) {
	for name, d := range map[string]*draw.Drawing{"marks-turned": sheettest.TurnedPages(t, draw.A4, sheet.TabOnly), "marks-turned-narrow": sheettest.TurnedPages(t, draw.Phone, sheet.Full)} {
		golden.File(t, "../testdata/"+name+".svg", sheettest.Picture(d, 0))
	}
}
