package tabtext

import (
	"strings"
	"testing"

	"lapwright/notation/columns"
	"lapwright/rig"
)

// Hostile texts get an answer: a tab or one clear error. The time they take is
// bounded by the test's own deadline.
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
		tb, _, err := Parse([]byte(src), name, r)
		if (tb == nil) == (err == nil) {
			t.Errorf("%s: tab %v, error %v", name, tb != nil, err)
		}
		if err != nil && (err.Error() == "" || len(err.Error()) > 500) {
			t.Errorf("%s: the error is %d bytes long", name, len(err.Error()))
		}
	}
}
