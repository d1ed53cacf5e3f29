package loss

import (
	"math"
	"testing"
)

// The law gives what its source's own plain string has: Q of 2010, 2700, 3160, 3480,
// 3470 and 2690 at 196 Hz to 8 kHz (worked out from the constants of C. Issanchou et al., 2017: 1.17 g/m,
// 0.43 mm, 180.5 N, B of 1.87e-5 at 1.002 m).
func TestLossLawOfAPrintedString(t *testing.T) {
	const mu, pull, length, d, b = 1.17e-3, 180.5, 1.002, 0.43, 1.87e-5
	l := lawOf(mu, d/1000, pull, b*pull*length*length/(math.Pi*math.Pi), plainBending, plainFriction)
	for i, f := range []float64{196, 500, 1000, 2000, 4000, 8000} {
		want := []float64{2010, 2700, 3160, 3480, 3470, 2690}[i]
		got := math.Pi * f / l.Rate(0, f, false)
		if math.Abs(got-want) > 0.02*want {
			t.Errorf("Q at %g Hz is %.0f, want %.0f", f, got, want)
		}
	}
}
