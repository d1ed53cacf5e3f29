package spacing

import (
	"math"
	"math/bits"
	"testing"

	"pgregory.net/rapid"
)

// cheapest tries every way to break n items into lines.
func cheapest(n int, cost func(a, b int) float64) float64 {
	best := math.Inf(1)
	for set := range 1 << (n - 1) { // bit i: a line ends after item i
		sum, a := 0.0, 0
		for i := range n {
			if i == n-1 || set>>i&1 == 1 {
				c := cost(a, i+1)
				if math.IsInf(c, 1) && i == a {
					c = forbidden
				}
				sum += c
				a = i + 1
			}
		}
		best = min(best, sum)
	}
	return best
}

// TestLineBreakingEqualsBruteForce compares the dynamic program with every
// possible set of breaks, for random bars on a line of random width.
func TestLineBreakingEqualsBruteForce(t *testing.T) {
	most := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "bars")
		width := rapid.Float64Range(20, 120).Draw(t, "width")
		nat := make([]float64, n+1)
		least := make([]float64, n+1)
		ideal := make([]float64, n+1)
		extra := make([]float64, n)
		for i := range n {
			w := rapid.Float64Range(4, 40).Draw(t, "natural")
			nat[i+1] = nat[i] + w
			least[i+1] = least[i] + w*rapid.Float64Range(0.3, 1).Draw(t, "least")
			ideal[i+1] = ideal[i] + w*rapid.Float64Range(0.1, 1).Draw(t, "stretch")
			extra[i] = rapid.SampledFrom([]float64{0, 0, -400, -250, 400, 3e4}).Draw(t, "extra")
		}
		cost := func(a, b int) float64 {
			r := ratio(width, nat[b]-nat[a], least[b]-least[a], ideal[b]-ideal[a])
			if r < maxSqueeze {
				return math.Inf(1)
			}
			return (1+badness(r))*(1+badness(r)) + extra[b-1]
		}
		starts, got := BreakLines(n, cost)
		if want := cheapest(n, cost); math.Abs(got-want) > 1e-6*math.Max(1, math.Abs(want)) {
			t.Fatalf("%d bars: cost %g, the best of all is %g", n, got, want)
		}
		// The breaks given are the ones that cost that.
		sum := 0.0
		for i, a := range starts {
			b := n
			if i+1 < len(starts) {
				b = starts[i+1]
			}
			c := cost(a, b)
			if math.IsInf(c, 1) {
				c = forbidden
			}
			sum += c
		}
		if math.Abs(sum-got) > 1e-6*math.Max(1, math.Abs(got)) {
			t.Fatalf("the lines given cost %g, not %g", sum, got)
		}
		most = max(most, bits.Len(uint(len(starts))))
	})
	if most < 2 {
		t.Error("no case had more than one line")
	}
}

// TestRodsHold stretches random links under random rods and sees that every rod
// fits at every force.
func TestRodsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "links")
		g := &seg{links: make([]link, n)}
		for i := range g.links {
			g.links[i].ideal = rapid.Float64Range(0, 9).Draw(t, "ideal")
		}
		var rods []rod
		for range rapid.IntRange(0, 10).Draw(t, "rods") {
			a := rapid.IntRange(0, n-1).Draw(t, "a")
			b := rapid.IntRange(a+1, n).Draw(t, "b")
			rods = append(rods, rod{a, b, rapid.Float64Range(0, 30).Draw(t, "d")})
		}
		for _, r := range rods {
			g.stretchTo(r)
		}
		for _, f := range []float64{0, 0.5, 1, 2} {
			for _, r := range rods {
				sum := 0.0
				for _, l := range g.links[r.a:r.b] {
					sum += l.stretched(f)
				}
				if sum < r.d-1e-9 {
					t.Fatalf("at force %g the links %d–%d are %g long, under their rod's %g", f, r.a, r.b, sum, r.d)
				}
			}
		}
		// And a line filled by force is as long as asked.
		want := rapid.Float64Range(1, 400).Draw(t, "length")
		least := 0.0
		grows := 0.0
		for _, l := range g.links {
			least += l.min
			grows += l.ideal
		}
		if _, got := force([]*seg{g}, want); want > least && grows > 0.5 && math.Abs(got-want) > 1e-3 {
			t.Fatalf("filled to %g, want %g", got, want)
		}
	})
}
