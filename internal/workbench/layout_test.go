package workbench

import (
	"errors"
	"strings"
	"testing"
	"time"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// TestLayoutsOfALesson: each layout has words of its own and can be seen and chosen
// for a lesson; one that is not known is a fault and not kept silently.
func TestLayoutsOfALesson(t *testing.T) {
	ctx := t.Context()
	st, err := studio.Open(ctx, t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	tune, err := st.Add(ctx, studio.Tune, studio.Content{Title: "Two Bars", Body: "X:1\nT:Two Bars\nM:4/4\nL:1/4\nK:G\n\"G\"GABd|d2G2|]\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	g, _ := rig.Builtin("reso-open-g")
	placed, err := Place(ctx, tune, g)
	if err != nil {
		t.Fatal(err)
	}
	said, drawn := map[string]bool{}, map[string]bool{}
	for _, l := range append(LayoutChoices(), LayoutChoice{"", "the usual"}, LayoutChoice{"sideways", "none"}) {
		c, err := lessonContent("A lesson", &report.LessonPlan{Tune: tune.ID, Rigs: []string{"reso-open-g"}, Layout: l.Layout})
		if err != nil {
			t.Fatal(err)
		}
		plan, _, err := PlanLesson(ctx, st, &studio.Item{Content: c})
		seen, seeErr := placed.Sheet(sheet.Options{Paper: draw.A4, Layout: l.Layout})
		if l.Layout == "sideways" {
			var f, g *fault.Fault
			if !errors.As(err, &f) || !errors.As(seeErr, &g) {
				t.Errorf("an unknown layout: %v, %v", err, seeErr)
			}
			continue
		}
		if err != nil || seeErr != nil || plan.Sheet.Layout != l.Layout || len(seen.Pages) == 0 || l.Words == "" {
			t.Fatalf("%q, %q: %v, %v", l.Layout, l.Words, err, seeErr)
		}
		turned, err := lessonContent("A lesson", &report.LessonPlan{Tune: tune.ID, Rigs: []string{"reso-open-g"}, Layout: l.Layout, StringOneLow: true, LeftHanded: true})
		if err != nil {
			t.Fatal(err)
		}
		if p, _, err := PlanLesson(ctx, st, &studio.Item{Content: turned}); err != nil || !p.Sheet.StringOneLow || !p.Sheet.LeftHanded || plan.Sheet.StringOneLow || plan.Sheet.LeftHanded {
			t.Errorf("%q: a lesson with turned sheets is planned as %+v, another as %+v, %v", l.Layout, p.Sheet, plan.Sheet, err)
		}
		if l.Layout != "" {
			said[l.Words], drawn[strings.Join(seen.Pages, "")] = true, true
		}
	}
	if n := len(sheet.Layouts()); len(said) != n || len(drawn) != n {
		t.Errorf("%d layouts have %d names and %d looks", n, len(said), len(drawn))
	}
}
