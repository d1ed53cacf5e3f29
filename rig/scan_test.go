package rig

import (
	"regexp"
	"testing"

	"pgregory.net/rapid"
)

// The scanners read what these regular expressions (RE2 syntax, Go's regexp) match,
// and nothing else.
var (
	quantityForm = regexp.MustCompile(`^([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*([a-zA-Z/]+)$`)
	nameForm     = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	figureForm   = regexp.MustCompile(`"(NaN|[+-]?Inf|[-+0-9.e]+)( [a-z/A-Z]+)?"`)
)

func TestScannersReadTheirForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune("0123456789.+-eE mmin/kg\t")), 0, 9, -1).Draw(t, "text")
		number, unit, ok := quantity(s)
		m := quantityForm.FindStringSubmatch(s)
		if ok != (m != nil) || ok && (number != m[1] || unit != m[2]) {
			t.Fatalf("%q: number %q, unit %q, %v; want %q", s, number, unit, ok, m)
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune("ab9-A ")), 0, 7, -1).Draw(t, "text")
		if got, want := plainName(s), nameForm.MatchString(s); got != want {
			t.Fatalf("%q: a name %v, want %v", s, got, want)
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune(`""12.e-+ mIinfNa`)), 0, 12, -1).Draw(t, "text")
		from, to, ok := figure(s)
		at := figureForm.FindStringIndex(s)
		if ok != (at != nil) || ok && (from != at[0] || to != at[1]) {
			t.Fatalf("%q: found %d to %d, %v; want %v", s, from, to, ok, at)
		}
	})
}
