package spacing_test

import (
	"strconv"
	"testing"

	"lapwright/internal/golden"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

// TestSignsAsLookedAt: the spacing of the pages that show every sign of the staff is as it was when
// they were looked at.
func TestSignsAsLookedAt(t *testing.T) {
	signs := sheettest.Signs(t)
	for i := range signs.Pages {
		golden.File(t, "../testdata/signs-"+strconv.Itoa(i+1)+".svg", sheettest.Picture(signs, i))
	}
}

// TestMarksAsLookedAt: the spacing of the pages that show every mark of the tablature is as it was when
// they were looked at.
func TestMarksAsLookedAt(t *testing.T) {
	for _, l := range []sheet.Layout{sheet.Full, sheet.TabOnly, sheet.LargePrint} {
		marks := sheettest.Marks(t, l)
		for i := range marks.Pages {
			golden.File(t, "../testdata/marks-"+string(l)+"-"+strconv.Itoa(i+1)+".svg", sheettest.Picture(marks, i))
		}
	}
}

// TestTurnsAsLookedAt: the spacing of the pages that show what signs and marks do beside each other is as it was when
// they were looked at.
func TestTurnsAsLookedAt(t *testing.T) {
	for name, d := range map[string]*draw.Drawing{"signs-turns": sheettest.Turns(t), "marks-turned": sheettest.TurnedPages(t, draw.A4, sheet.TabOnly), "marks-turned-narrow": sheettest.TurnedPages(t, draw.Phone, sheet.Full)} {
		golden.File(t, "../testdata/"+name+".svg", sheettest.Picture(d, 0))
	}
}
