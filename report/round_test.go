package report

import (
	"math"
	"testing"
)

// TestRounding: by hand. Halves go to the even digit where the figure is exact
// in binary (IEEE 754), nothing becomes minus nothing.
func TestRounding(t *testing.T) {
	for _, c := range []struct {
		got, want float64
	}{
		{decimals(-3.456, 2), -3.46}, {decimals(-0.04, 1), 0}, {decimals(0.125, 2), 0.12}, {decimals(2.675, 2), 2.67},
		{significant(0.0012345, 3), 0.00123}, {significant(98765, 2), 99000}, {significant(math.Copysign(0, -1), 2), 0},
		{percent(0.604), 60}, {fret(12.49123), 12.491}, {cents(-3.96), -4}, {newtons(700.5), 700}, {hertz(440), 440},
	} {
		if c.got != c.want || c.got == 0 && math.Signbit(c.got) {
			t.Errorf("%v, want %v", c.got, c.want)
		}
	}
	// What is no figure stays none, for who asks whether it is one.
	if v := decimals(math.NaN(), 2); !math.IsNaN(v) {
		t.Errorf("no number is %g", v)
	}
	for _, v := range []float64{math.Inf(1), math.Inf(-1)} {
		if got := significant(v, 3); got != v {
			t.Errorf("%g is %g", v, got)
		}
	}
}
