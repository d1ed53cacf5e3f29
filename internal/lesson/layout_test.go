package lesson

import (
	"context"
	"slices"
	"strings"
	"testing"

	"lapwright/notation/abc/abctest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// TestLayoutsOfALesson: the sheet for one instrument may be laid out otherwise than
// the others', on paper, on the screen and in the handout.
func TestLayoutsOfALesson(t *testing.T) {
	p := Plan{Tune: abctest.Tune(t, short), Rigs: rigs(t, "reso-open-g", "lap6-c6"), Recordings: NoRecordings, Layouts: map[string]sheet.Layout{"lap6-c6": sheet.TabOnly}}
	l, err := Make(context.Background(), p, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, staves := range []bool{true, false} {
		heads := 0
		for _, page := range l.Editions[i].Sheet.Pages {
			page.Walk(func(groups []*draw.Group, _ draw.Item) {
				if slices.ContainsFunc(groups, func(g *draw.Group) bool { return g.Class == "head" }) {
					heads++
				}
			})
		}
		screen, narrow := strings.Contains(string(l.Editions[i].Pages[0]), `class="head"`), strings.Contains(string(l.Editions[i].Narrow), `class="head"`)
		if heads > 0 != staves || screen != staves || narrow != staves {
			t.Errorf("edition %d: %d heads on paper, on a screen %v, on a narrow one %v; want %v", i, heads, screen, narrow, staves)
		}
	}
	p.Rigs = p.Rigs[1:]
	alone, err := Make(context.Background(), p, nil)
	if err != nil {
		t.Fatal(err)
	}
	p.Layouts = nil
	full, err := Make(context.Background(), p, nil)
	if err != nil {
		t.Fatal(err)
	}
	if string(alone.handout) == string(full.handout) {
		t.Error("the handout does not follow the layout")
	}
	for rig, layout := range map[string]sheet.Layout{"tricone-open-d": sheet.TabOnly, "lap6-c6": "round"} {
		p.Layouts = map[string]sheet.Layout{rig: layout}
		if l, err := Make(context.Background(), p, nil); err == nil || l != nil {
			t.Errorf("%s for %s was taken", layout, rig)
		}
	}
}
