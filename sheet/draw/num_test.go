package draw

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// TestNumbersAreShortest: a number in an SVG is the shortest decimal that says it to three places, as strconv writes it.
func TestNumbersAreShortest(t *testing.T) {
	want := func(v float64) string { return strconv.FormatFloat(Round(v, 3), 'f', -1, 64) }
	for _, v := range []float64{0, math.Copysign(0, -1), -0.0004, -0.0005, 0.0005, 0.05, -0.05, 1.5, 12, 100.25, -7.125, 999999.9994, 999999.9996, 1e6, -1e6, 1e9 + 0.1, 1e300, math.Inf(1), math.NaN()} {
		if got := num(v); got != want(v) {
			t.Errorf("%v is written %s, want %s", v, got, want(v))
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-2000, 2000), rapid.Custom(func(t *rapid.T) float64 {
			return float64(rapid.IntRange(-3_000_000, 3_000_000).Draw(t, "halves of micrometres")) / 2000
		})).Draw(t, "v")
		if got := num(v); got != want(v) {
			t.Fatalf("%v is written %s, want %s", v, got, want(v))
		}
	})
}
