package tabtext

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/internal/golden"
	"lapwright/notation/columns"
	"lapwright/rig"
)

// Texts in the exact form that are broken. What is said about each, with
// carets, stands beside it (.said); the first line of the text names the rig.
func TestBrokenTexts(t *testing.T) {
	golden.Broken(t, func(t *testing.T, name string, text []byte, r *rig.Rig) string {
		if !Is(text) {
			t.Fatal("the text is not in the exact form")
		}
		got, _, err := Parse(text, name, r)
		list, ok := err.(fault.List)
		if !ok || got != nil {
			t.Fatalf("error %T %v with tab %v", err, err, got)
		}
		out := "refused\n"
		for _, f := range list {
			out += fmt.Sprintln(f.Error())
			if c := columns.Caret(text, f); c != "" {
				out += c + "\n"
			}
		}
		return out
	})
}

// Typed tab is not taken for the exact form, whatever its line ends.
func TestIs(t *testing.T) {
	for text, want := range map[string]bool{
		"tab text 1\ntitle: x": true, "tab text 1\r\ntitle: x": true, "tab text 1\rtitle: x": true, "\ufefftab text 1  \n": true, "tab text 1": true,
		"": false, "tab text 10\n": false, "Tab text 1\n": false, "D|-0-|\n": false, "\ntab text 1\n": false,
	} {
		if got := Is([]byte(text)); got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
	r, _ := rig.Builtin("reso-open-g")
	if _, _, err := Parse([]byte("D|-0-|\n"), "x.txt", r); err == nil || !strings.Contains(err.Error(), `x.txt:1:1: the first line is not "tab text 1"`) {
		t.Errorf("typed tab: %v", err)
	}
}
