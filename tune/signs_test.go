package tune_test

import (
	"strconv"
	"strings"
	"testing"

	"lapwright/notation/abc"
	"lapwright/tune"
)

// TestSignsAtRepeatsAndEndings: a sign acts when its bar, with its repeats, has been
// played: at the end of a last ending whose repeat sign adds no pass, at the end of a
// repeat after the last time round; after a jump the last ending is played.
func TestSignsAtRepeatsAndEndings(t *testing.T) {
	for _, c := range []struct{ music, want string }{
		{"|:C4|1D4:|2E4!D.C.!:|", "1 2 1 3 1 3"},
		{"|:C4|1D4:|2E4!D.C.!|]", "1 2 1 3 1 3"},
		{"|:C4|D4!D.C.!:|E4|]", "1 2 1 2 1 2 3"},
		{"C4!fine!|:D4|E4:|F4!D.C.!|]", "1 2 3 2 3 4 1"},
	} {
		tunes, _, err := abc.Read([]byte("X:1\nT:t\nM:4/4\nL:1/4\nK:C\n"+c.music+"\n"), "")
		if err != nil {
			t.Fatal(err)
		}
		passes, faults := tune.Unfold(tunes[0])
		var got []string
		for _, p := range passes {
			got = append(got, strconv.Itoa(p.BarIndex+1))
		}
		if strings.Join(got, " ") != c.want || len(faults) > 0 {
			t.Errorf("%s is played %s, want %s; %v", c.music, strings.Join(got, " "), c.want, faults)
		}
	}
}
