package console

import (
	"math"
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

// TestSigned: a figure in a table has the sign of what is printed, and never that of a nought.
func TestSigned(t *testing.T) {
	for v, want := range map[float64]string{-0.04: "0", math.Copysign(0, -1): "0", 0.06: "+0.1", -1.26: "-1.3"} {
		if got := Signed(v, 1); got != want {
			t.Errorf("Signed(%g, 1) = %q, want %q", v, got, want)
		}
	}
	if got := Signed(math.NaN(), 1); got != "" {
		t.Errorf("what is no figure is written %q", got)
	}
}
