package workbench

import (
	"encoding/json"
	"testing"

	"lapwright/internal/studio"
	"lapwright/report"
)

// TestOneOfAThing: lists say "1 bar" and "1 instrument" (common practice, no
// source).
func TestOneOfAThing(t *testing.T) {
	body, err := json.Marshal(report.LessonPlan{Tune: "x", Rigs: []string{"lap6-c6"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		kind       studio.Kind
		body, want string
	}{
		{studio.Tune, "X:1\nT:One Bar\nM:4/4\nL:1/4\nK:G\nGABd|]\n", "G major, 1 bar"},
		{studio.Lesson, string(body), "1 instrument"},
	} {
		it := &studio.Item{Kind: c.kind, Content: studio.Content{Body: c.body}}
		if got := About(it); got != c.want {
			t.Errorf("%s: %q, want %q", c.kind, got, c.want)
		}
	}
}
