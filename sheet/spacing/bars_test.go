package spacing

import (
	"testing"

	"lapwright/notation/abc"
	"lapwright/sheet/score"
)

// TestLinesEndAtBars: on lines of every width a bar is broken over two only when it
// fits none, even with everything in it as close as it may come.
func TestLinesEndAtBars(t *testing.T) {
	tunes, _, err := abc.Read([]byte("X:1\nT:Run\nM:4/4\nL:1/16\nK:D\nABcd efga bagf edcB|A4 d4 f8|d2d2 e2e2 fgaf d4|]\n"), "run.abc")
	if err != nil {
		t.Fatal(err)
	}
	whole, cut, near := 0, 0, 0
	for width := 15.0; width < 120; width += 0.25 {
		s := score.New(tunes[0], nil, score.Options{})
		sp := &spacer{s, []*score.Score{s}, width}
		fits := map[*score.Measure]bool{}
		for _, m := range s.Bars {
			g := sp.segment(m, sp.slots(m.Index), 0, len(m.Nodes))
			room := width - sp.startBlock(g).w - 2
			fits[m] = g.min <= room
			if fits[m] && g.min > 0.9*room {
				near++
			}
		}
		for _, g := range sp.segments() {
			switch {
			case !g.first && fits[g.m]:
				t.Errorf("on a line of %g spaces bar %d is cut, which would fit", width, g.m.Index+1)
			case !g.first:
				cut++
			case g.last:
				whole++
			}
		}
	}
	if whole == 0 || cut == 0 || near == 0 {
		t.Errorf("%d whole, %d cut, %d that just fit: the test sees nothing", whole, cut, near)
	}
}
