package tabstaff_test

import (
	"context"
	"os"
	"testing"

	"lapwright/arrange"
	"lapwright/internal/golden"
	"lapwright/notation/abc"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

// TestRhythmAsLookedAt: the rhythm under a tablature without a staff, and the marks and joins over
// it, are as they were when the page was looked at: rests and dots of every kind, bars of rest alone and in a
// row, tuplets under a beam, beside it and within each other, voices that take turns, accents, a breath,
// vibrato, a glide and a hammer over the end of a line.
func TestRhythmAsLookedAt(t *testing.T) {
	src, err := os.ReadFile("testdata/rhythm.abc")
	if err != nil {
		t.Fatal(err)
	}
	tunes, _, err := abc.Read(src, "rhythm.abc")
	if err != nil {
		t.Fatal(err)
	}
	r := rigtest.Builtin(t, "lap6-c6")
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{Vibrato: true, Octave: arrange.Octaves(0)})
	if err != nil {
		t.Fatal(err)
	}
	for name, paper := range map[string]draw.Paper{"rhythm": draw.A4, "rhythm-narrow": draw.Phone} {
		d, err := sheet.Lay(res.Tab, sheet.Options{Layout: sheet.TabOnly, Paper: paper})
		if err != nil {
			t.Fatal(err)
		}
		golden.File(t, "testdata/"+name+".svg", sheettest.Picture(d, 0))
	}
}
