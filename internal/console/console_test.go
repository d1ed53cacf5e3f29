package console

import (
	"strings"
	"testing"
)

// TestNothingFromAFileWorksTheTerminal prints names that hold escapes.
func TestNothingFromAFileWorksTheTerminal(t *testing.T) {
	for _, colour := range []bool{false, true} {
		var out strings.Builder
		con := &Console{Stdout: &out, colour: colour}
		evil := "a\x1b[2Jb\u009bc\x07d\u202ee\rf\x00g"
		con.Printf("wrote %s in %v\n%s\tdone\n", evil, []string{evil}, con.Strong("bold"+evil))
		got := out.String()
		if colour {
			got = strings.NewReplacer(boldOn, "", boldOff, "").Replace(got)
		}
		for _, r := range got {
			if works(r) {
				t.Errorf("colour %t: %q holds %q", colour, out.String(), r)
			}
		}
		if strings.Count(out.String(), boldOn) != map[bool]int{true: 1}[colour] || strings.Count(got, "\n") != 2 || strings.Count(got, "\t") != 1 {
			t.Errorf("colour %t: printed %q", colour, out.String())
		}
	}
}
