package sheet_test

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

func TestEverySignAndMark(t *testing.T) {
	var all []*draw.Drawing
	signs := sheettest.Signs(t)
	for i := range signs.Pages {
		golden.File(t, filepath.Join("testdata", "signs-"+strconv.Itoa(i+1)+".svg"), sheettest.Picture(signs, i))
	}
	all = append(all, signs)
	for _, l := range []sheet.Layout{sheet.Full, sheet.TabOnly, sheet.LargePrint, sheet.Grips} {
		d := sheettest.Marks(t, l)
		for i := range d.Pages {
			golden.File(t, filepath.Join("testdata", "marks-"+string(l)+"-"+strconv.Itoa(i+1)+".svg"), sheettest.Picture(d, i))
		}
		all = append(all, d)
	}
	for name, d := range map[string]*draw.Drawing{"signs-turns": sheettest.Turns(t), "marks-turned": sheettest.TurnedPages(t, draw.A4, sheet.TabOnly), "marks-turned-narrow": sheettest.TurnedPages(t, draw.Phone, sheet.Full)} {
		golden.File(t, filepath.Join("testdata", name+".svg"), sheettest.Picture(d, 0))
	}
	golden.File(t, filepath.Join("testdata", "marks.txt"), []byte(say.Tell(sheettest.EveryMark(t))))

	// Between them the pages show every symbol that the program can draw.
	seen := map[draw.Symbol]bool{}
	for _, d := range all {
		for _, p := range d.Pages {
			p.Walk(func(_ []*draw.Group, it draw.Item) {
				if g, ok := it.(draw.Glyph); ok {
					seen[g.Symbol] = true
				}
			})
		}
	}
	var missing []string
	for _, s := range draw.Symbols() {
		if !seen[s] {
			missing = append(missing, s.String())
		}
	}
	if len(missing) > 0 {
		t.Errorf("symbols that no page shows: %s", strings.Join(missing, ", "))
	}
	files, err := filepath.Glob(filepath.Join("testdata", "*"))
	if err != nil || len(files) < 6 {
		t.Errorf("%d golden files: %v", len(files), err)
	}
	// A golden with no test is a fault too.
	known := []string{"README.md", "marks.txt", "pages.txt"}
	for _, f := range files {
		base := filepath.Base(f)
		if !slices.Contains(known, base) && !strings.HasPrefix(base, "signs-") && !strings.HasPrefix(base, "marks-") {
			t.Errorf("%s belongs to no test", f)
		}
	}
}
