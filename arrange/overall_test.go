package arrange

import (
	"math"
	"testing"

	"lapwright/tab"
)

// TestResultsAgainstOneAnother: a result in another key or an octave lower is weighed by what each stroke
// of it is away from the page, one that leaves notes out by four times what a compromise is; an octave
// higher is the same key.
func TestResultsAgainstOneAnother(t *testing.T) {
	by := &prices{Broken: 200, KeepOctave: 50, KeepKey: 300}
	lost, otherwise := tab.Compromise{Kind: tab.NotPlayed}, tab.Compromise{Kind: tab.PluckedAgain}
	for name, c := range map[string]struct {
		change func(*Result)
		want   float64
	}{
		"as written":             {func(*Result) {}, 10},
		"plucked again":          {func(r *Result) { r.Tab.Compromises = []tab.Compromise{otherwise} }, 12},
		"a note left out":        {func(r *Result) { r.Tab.Compromises = []tab.Compromise{lost} }, 18},
		"both":                   {func(r *Result) { r.Tab.Compromises = []tab.Compromise{lost, otherwise} }, 20},
		"lower, though it fits":  {func(r *Result) { r.lowered = true }, 12},
		"a fourth up":            {func(r *Result) { r.Transposed = 5 }, 22},
		"a fourth down":          {func(r *Result) { r.Transposed = -5 }, 22},
		"an octave up":           {func(r *Result) { r.Transposed = 12 }, 10},
		"an octave and a step":   {func(r *Result) { r.Transposed = 14 }, 22},
		"broken among the costs": {func(r *Result) { r.Events = []Explained{{Broken: 1.5}, {Broken: 2}} }, 6.5},
	} {
		r := &Result{Cost: 10, by: by, Tab: &tab.Tab{Strokes: make([]tab.Stroke, 4)}}
		c.change(r)
		if got := r.overall(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %v points, want %v", name, got, c.want)
		}
	}
}
