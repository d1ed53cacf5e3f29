package staff_test

import (
	"strconv"
	"testing"

	"lapwright/internal/golden"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

// TestSignsAsLookedAt: the staff of the pages that show every sign of the staff is as it was when
// they were looked at.
func TestSignsAsLookedAt(t *testing.T) {
	signs := sheettest.Signs(t)
	for i := range signs.Pages {
		golden.File(t, "../testdata/signs-"+strconv.Itoa(i+1)+".svg", sheettest.Picture(signs, i))
	}
}

// TestTurnsAsLookedAt: the staff of the pages that show what signs and marks do beside each other is as it was when
// they were looked at.
func TestTurnsAsLookedAt(t *testing.T) {
	for name, d := range map[string]*draw.Drawing{"signs-turns": sheettest.Turns(t), "marks-turned-narrow": sheettest.TurnedPages(t, draw.Phone, sheet.Full)} {
		golden.File(t, "../testdata/"+name+".svg", sheettest.Picture(d, 0))
	}
}
