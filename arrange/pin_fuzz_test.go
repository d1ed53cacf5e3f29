package arrange

import (
	"strings"
	"testing"

	"lapwright/rig/rigtest"
)

// FuzzParsePin: whatever the text, there is a pin that the rig allows or one
// clear error.
func FuzzParsePin(f *testing.F) {
	for _, s := range []string{"3-4 string 2", "5 fret 0", "1-8 frets 3-9 closed", "7@1/8 benders A B", "4 grip 1:5 3:4", "2 square", "-1 fret 99999999999999999999"} {
		f.Add(s)
	}
	r := rigtest.Builtin(f, "bender-open-d")
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePin(s, r)
		if err != nil {
			return
		}
		if bad := p.check(r); bad != nil {
			t.Errorf("%q gives a pin that is refused: %v", s, bad)
		}
		if strings.HasPrefix(p.Words(), " in") {
			t.Errorf("%q fixes nothing: %q", s, p.Words())
		}
	})
}
