package sound

import (
	"math"
	"testing"
)

// Triangular dither of one step each way makes the error of rounding a quarter of a step squared whatever the sample, with no bias (S. Lipshitz,
// R. Wannamaker and J. Vanderkooy, Quantization and Dither, Journal of the Audio Engineering Society 40, 1992); no
// sample is a step and a half astray. Silence stays silent, and what is too loud is clipped alike on both sides.
func TestDither(t *testing.T) {
	for _, bits := range []int{16, 24} {
		full := math.Exp2(float64(bits-1)) - 1
		for _, steps := range []float64{0.001, 0.25, 0.5, 100.3, -7.75} {
			var d Dither
			const n = 40000
			sum, square := 0.0, 0.0
			for range n {
				v := float32(steps / full)
				e := float64(d.Step(v, bits)) - float64(v)*full
				sum, square = sum+e, square+e*e
				if math.Abs(e) > 1.5 {
					t.Fatalf("%d bits: %g steps become %g more", bits, steps, e)
				}
			}
			if mean := sum / n; math.Abs(mean) > 0.015 || math.Abs(square/n-0.25) > 0.01 {
				t.Errorf("%d bits, %g steps: the error's mean is %.4f and its square %.4f, want 0 and 0.25", bits, steps, mean, square/n)
			}
		}
		var d Dither
		for range 1000 {
			if got := d.Step(0, bits); got != 0 {
				t.Fatalf("%d bits: silence becomes %d", bits, got)
			}
			if up, down := d.Step(2, bits), d.Step(-2, bits); up != int32(full) || down != -int32(full) {
				t.Fatalf("%d bits: what is too loud becomes %d and %d", bits, up, down)
			}
		}
	}
}
