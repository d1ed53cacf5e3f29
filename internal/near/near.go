// Package near compares figures in tests, within a tolerance that says its unit at
// the call.
//
// Entry points: To, Share.
package near

import (
	"math"
	"testing"
)

// To fails the test unless got is within a tolerance of want.
func To(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s: got %.7g, want %.7g ± %.3g", what, got, want, within)
	}
}

// Share fails the test unless got is within a share of want, such as 0.01 for one
// per cent.
func Share(t testing.TB, what string, got, want, share float64) {
	t.Helper()
	To(t, what, got, want, share*math.Abs(want))
}
