package say

import (
	"strings"
	"testing"

	"lapwright/tune"
)

// TestByOnce: a composer who is written "by …" is not said to be "by by …" (common
// practice, no source).
func TestByOnce(t *testing.T) {
	for composer, want := range map[string]string{"By Harbour Street": ", by Harbour Street.", "Harbour Street": ", by Harbour Street.", "Byron": ", by Byron."} {
		if got := TellTune(&tune.Tune{Title: "A Waltz", Composer: composer}); !strings.Contains(got, want) || strings.Contains(strings.ToLower(got), "by by ") {
			t.Errorf("composer %q: %q does not have %q", composer, got, want)
		}
	}
}
