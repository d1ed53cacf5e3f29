package tabtext

import (
	"strings"
	"testing"

	"lapwright/internal/hostile"
	"lapwright/notation/columns"
	"lapwright/rig"
)

// Hostile texts get an answer within bounds: a tab or one clear error.
func TestHostileTexts(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	six := func(l string) string { return strings.Repeat(l+"\n", 6) }
	exact := "tab text 1\ntuning: G2 B2 D3 G3 B3 D4\nkey: C major\nmeter: 4/4\n\n"
	for name, src := range map[string]string{
		"deep tuplets": exact + "rhythm " + strings.Repeat("[3", 1<<12) + "q\n" + six("1 D4 |-|"),
		"deep slurs":   exact + "rhythm " + strings.Repeat("(", 1<<12) + "q\n" + six("1 D4 |-|"),
		"many graces":  exact + "rhythm  " + strings.Repeat("'e ", 1<<12) + "q\n" + six("1 D4 |-|"),
		"too long":     exact + strings.Repeat("x\n", columns.MaxBytes),
	} {
		hostile.Feed(t, name, []byte(src), func(in []byte) (bool, error) {
			tb, _, err := Parse(in, name, r)
			return tb != nil, err
		})
	}
}
