package grip

import "testing"

// By hand: the slant costs a forward one's 1.50 and 429·2/10 for its lean, 0.85;
// fret 13 is eight above the fifth and one above the twelfth, 0.44; a string is
// skipped, 0.45. That is the cost in
// TestGrips of the room report.
func TestCostOfASlant(t *testing.T) {
	if sum := std.Forward + 429*std.PerLean/10 + 8*std.Up + std.High + std.Gap; sum != 324 {
		t.Errorf("%d hundredths", sum)
	}
}
