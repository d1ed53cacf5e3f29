package arrange

import (
	"runtime"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// TestGrowsInProportion arranges tunes of n and 2n notes, which come round again
// or never do, in one voice and in three, and counts what is done for them: no
// count grows by more than a tenth beyond the double.
func TestGrowsInProportion(t *testing.T) {
	const bars = 400
	for _, c := range []struct {
		name string
		make func(bars int) *tune.Tune
	}{
		{"phrases that come again", func(bars int) *tune.Tune { return melodyOf(t, bars) }},
		{"nothing that comes again", func(bars int) *tune.Tune { return wander(t, 8*bars) }},
		{"three voices", func(bars int) *tune.Tune { return voicesOf(t, bars/4) }},
	} {
		once, counted := worked(t, c.make(bars))
		double := c.make(2 * bars)
		twice, _ := worked(t, double)
		moments := len(tune.Moments(double))
		for i, what := range counted {
			if what == "compared" {
				// Each moment stands in one bar and one half of a bar.
				if most := 2 * float64(moments); twice[i] > most {
					t.Errorf("%s: %.0f moments are compared, of %.0f that come up", c.name, twice[i], most)
				}
				continue
			}
			if once[i] == 0 {
				t.Errorf("%s: nothing is counted as %s", c.name, what)
			}
			if twice[i] > 2.1*once[i]+1000 {
				t.Errorf("%s: %s grows from %.0f to %.0f when the tune doubles", c.name, what, once[i], twice[i])
			}
		}
		t.Logf("%s: %v once %.0f, twice %.0f", c.name, counted, once, twice)
	}
}

// worked arranges a tune and counts what that takes.
func worked(t *testing.T, tn *tune.Tune) (counts []float64, names []string) {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g")
	w := newWatch(t.Context())
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	q, err := newRequest(w, tn, r, Options{Octave: Octaves(0)})
	if err != nil {
		t.Fatal(err)
	}
	res, err := q.arrange()
	runtime.ReadMemStats(&after)
	if err != nil {
		t.Fatal(err)
	}
	work := res.Work
	return []float64{
			float64(w.done), float64(work.Grips), float64(work.States), float64(work.Transitions), float64(work.Compared),
			float64(after.Mallocs - before.Mallocs), float64(after.TotalAlloc - before.TotalAlloc),
		}, []string{
			"moments worked on", "grips", "states", "pairs weighed", "compared", "allocations", "bytes",
		}
}
