package hall

import (
	"math"
	"testing"

	"lapwright/sound/filter"
)

// The room answers a clap on each side by its reflections, at the times and
// levels of their table, and its tail dies in T60.
func TestRoom(t *testing.T) {
	r := New(1)
	n := filter.Rate
	l, rt := make([]float64, n), make([]float64, n)
	l[0], rt[0] = 1, 1
	r.Add(l, rt)
	// The first comes before any line of the tail has come round; the bass cut
	// takes under a tenth of it.
	for side, x := range [][]float64{l, rt} {
		f := reflections[side][0]
		if got := x[f.delay] / f.gain; got < 0.9 || got > 1.01 {
			t.Errorf("side %d: the first reflection is %.2f of its level", side, got)
		}
		for i := 100; i < f.delay; i++ {
			if math.Abs(x[i]) > 0.03 {
				t.Fatalf("side %d: an answer of %g at sample %d, before the first reflection", side, x[i], i)
			}
		}
		energy := func(from float64) float64 {
			sum := 0.0
			for _, v := range x[int(from*filter.Rate):int((from+0.05)*filter.Rate)] {
				sum += v * v
			}
			return 10 * math.Log10(sum)
		}
		// From 0.1 to 0.3 s; highs die faster than the figure for the whole.
		got := 60 * 0.2 / (energy(0.1) - energy(0.3))
		if got > T60 || got < 0.5*T60 {
			t.Errorf("side %d: the tail dies in %.2f s, want up to %v", side, got, T60)
		}
	}
}
