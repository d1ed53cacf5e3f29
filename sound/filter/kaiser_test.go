package filter

import (
	"math"
	"testing"
)

// A sine of known frequency keeps it and its height at another rate; what would fold
// is gone. The bounds are those that Resample states.
func TestResampleKeepsASine(t *testing.T) {
	for _, c := range []struct{ from, to, hz, gain float64 }{
		{44100, 48000, 997, 1}, {48000, 44100, 997, 1}, {22050, 48000, 5000, 1}, {96000, 48000, 20000, 1}, {96000, 48000, 30000, 0}, {48000, 48000 * 1.0179, 440, 1},
	} {
		x := make([]float32, int(c.from))
		for i := range x {
			x[i] = float32(math.Sin(2 * math.Pi * c.hz * float64(i) / c.from))
		}
		y := Resample(x, c.to/c.from)
		if want := int(c.to/c.from*float64(len(x)) + 0.5); len(y) != want {
			t.Errorf("%g to %g: %d samples, want %d", c.from, c.to, len(y), want)
		}
		worst := 0.0
		for i := len(y) / 4; i < len(y)*3/4; i++ {
			worst = max(worst, math.Abs(float64(y[i])-c.gain*math.Sin(2*math.Pi*c.hz*float64(i)/c.to)))
		}
		if !(worst <= 1e-3) { // also what is no number
			t.Errorf("%g Hz from %g to %g a second: %.5f off, want at most 0.001", c.hz, c.from, c.to, worst)
		}
	}
}

// Modified Bessel function of order 0: Abramowitz and Stegun, Handbook of Mathematical
// Functions, table 9.8 (from memory): I0(1) = 1.2660658778, I0(5) = 27.2398718236.
func TestBessel0(t *testing.T) {
	for x, want := range map[float64]float64{0: 1, 1: 1.2660658778, 5: 27.2398718236} {
		if got := Bessel0(x); math.Abs(got-want) > 1e-9*want {
			t.Errorf("I0(%g) is %.10f, want %.10f", x, got, want)
		}
	}
}
