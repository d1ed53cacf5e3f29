package fault

import (
	"strings"
	"testing"
)

// Common practice, no source: a message that quotes a whole file helps nobody.
func TestClip(t *testing.T) {
	for in, want := range map[string]string{
		"":                             "",
		" z9 ":                         " z9 ",
		strings.Repeat("x", 40):        strings.Repeat("x", 40),
		strings.Repeat("x", 41):        strings.Repeat("x", 40) + "…",
		strings.Repeat("♭", 41) + "\n": strings.Repeat("♭", 40) + "…",
		"a\xffb":                       "a?b",
	} {
		if got := Clip(in); got != want {
			t.Errorf("Clip(%q) = %q, want %q", in, got, want)
		}
	}
}
