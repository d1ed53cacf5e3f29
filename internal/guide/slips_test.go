package guide

import "testing"

// Counted by hand; "ca" to "abc" is 3 in the restricted form, which no letter
// passes twice.
func TestSlips(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"rank", "rank", 0}, {"", "rank", 4}, {"arange", "arrange", 1}, {"arrnage", "arrange", 1},
		{"hear", "near", 1}, {"sheets", "sheet", 1}, {"ca", "abc", 3}, {"kitten", "sitting", 3},
	} {
		if got, back := slips(c.a, c.b), slips(c.b, c.a); got != c.want || back != c.want {
			t.Errorf("slips(%q, %q) = %d, the other way %d; want %d", c.a, c.b, got, back, c.want)
		}
	}
}
