package tabtext

import (
	"bytes"
	"testing"

	"lapwright/internal/seeds"
	"lapwright/tab"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// The property tests are the same on every run; -rapid.seed and -rapid.checks
// on the command line try others.
func TestMain(m *testing.M) { seeds.Run(m, 3, 200) }

// A tab written and read back is equal, and written again is the same text.
func TestRoundTrip(t *testing.T) {
	tried, ties, glides := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		in := randomTab(t)
		if faults := in.Tune.Check(); len(faults) > 0 {
			return // repeats drawn at random can't always be followed
		}
		tried++
		for _, s := range in.Strokes {
			for _, p := range s.Plucks {
				switch p.Attack {
				case tab.Tied:
					ties++
				case tab.Glided:
					glides++
				}
			}
		}
		text := Format(in)
		out, guesses, err := Parse(text, "round.txt", in.Rig)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		// The warnings are those of tab.Check, for the tab that went in.
		if want := in.Check(); len(guesses) != len(want) {
			t.Fatalf("warned %v, and the tab has %v\n%s", guesses, want, text)
		}
		if d := cmp.Diff(in, out, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("the tab changed (-was +is):\n%s\n%s", d, text)
		}
		if again := Format(out); !bytes.Equal(again, text) {
			t.Fatalf("the text changed:\n%s\n%s", text, again)
		}
	})
	t.Logf("%d tabs, %d ties, %d glides", tried, ties, glides)
	least := 50
	if testing.Short() {
		least /= 5 // as rapid draws a fifth of the cases
	}
	if tried < least || ties == 0 || glides == 0 {
		t.Error("too little was tried")
	}
}
