package loudness

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// Peaks are found alike in a whole signal and in one that comes in pieces, and
// are those found by looking at every sample.
func TestPeaksInPieces(t *testing.T) {
	r := rand.New(rand.NewSource(77))
	c := make([]float32, 96000)
	for i := range c {
		c[i] = float32(0.25 * math.Sin(float64(i)*0.0288))
	}
	for k := range 40 { // crackles
		for i := range 90 {
			c[500+k*2300+i] += float32(6 * (r.Float64() - 0.5) * math.Exp(-float64(i)/25))
		}
	}
	type found struct {
		at   int
		peak float32
	}
	var plain []found
	for i := overTaps; i < len(c)-overTaps; i++ { // it begins softly
		if p := peakNear(c, i); p > 0.9 {
			plain = append(plain, found{i, p})
		}
	}
	for _, size := range []int{1, 63, 64, 5000} {
		var p peaks
		var got []found
		for at := 0; at < len(c); at += size {
			p.add(c[at:min(at+size, len(c))], 0.9, func(i int, peak float32) float32 {
				got = append(got, found{at + i - limitGuard, peak})
				return 0.9
			})
		}
		if len(plain) == 0 || !slices.Equal(got, plain) {
			t.Errorf("in pieces of %d %d peaks are found, %d are there", size, len(got), len(plain))
		}
	}
}
