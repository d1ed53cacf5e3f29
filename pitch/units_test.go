package pitch

import (
	"math"
	"testing"
)

// Frequencies of equal temperament at A4 = 440 Hz (ISO 16:1975): the key
// numbers are those of the MIDI 1.0 specification, middle C is 60.
func TestKeyOf(t *testing.T) {
	for _, c := range []struct {
		f, a4 Hz
		want  float64
	}{
		{440, 440, 69}, {220, 440, 57}, {880, 440, 81}, {261.6256, 440, 60}, {82.4069, 440, 40}, {415.3047, 440, 68},
		{415, 415, 69}, {207.5, 415, 57}, {466.1638, 440, 70}, {452.8930, 440, 69.5},
	} {
		if got := KeyOf(c.f, c.a4); math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%.4f Hz under A4 = %.0f Hz is key %.6f; want %.2f", c.f, c.a4, got, c.want)
		}
	}
}

// Sizes of intervals by their ratios: any table of just intervals (3/2 is
// 701.955 cents, 5/4 is 386.314).
func TestBetween(t *testing.T) {
	for _, c := range []struct {
		low, high Hz
		want      Cents
	}{
		{200, 300, 701.955}, {400, 500, 386.314}, {110, 220, 1200}, {440, 220, -1200}, {440, 440, 0}, {300, 200, -701.955},
	} {
		if got := Between(c.low, c.high); math.Abs(float64(got-c.want)) > 0.001 {
			t.Errorf("from %.0f Hz to %.0f Hz are %.4f cents; want %.3f", c.low, c.high, got, c.want)
		}
	}
}
