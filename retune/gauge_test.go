package retune

import (
	"regexp"
	"testing"

	"pgregory.net/rapid"
)

// gaugeForm is a gauge as packets print it (RE2 syntax, Go's regexp).
var gaugeForm = regexp.MustCompile(`^(\d+\.?\d*|\.\d+)\s*(mm)?\s*([wW])?(?:\s+|$)`)

// TestGaugesReadTheirForm: the scanner takes what the form matches, and no more.
func TestGaugesReadTheirForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune("01249.wWm e-+")), 0, 9, -1).Draw(t, "text")
		number, mm, wound, rest, ok := oneGauge(s)
		m := gaugeForm.FindStringSubmatch(s)
		if ok != (m != nil) {
			t.Fatalf("%q: a gauge %v, want %v", s, ok, m != nil)
		}
		if ok && (number != m[1] || mm != (m[2] != "") || wound != (m[3] != "") || rest != s[len(m[0]):]) {
			t.Fatalf("%q: %q, mm %v, wound %v, then %q; want %q", s, number, mm, wound, rest, m)
		}
	})
}
