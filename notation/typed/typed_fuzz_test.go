package typed

import (
	"bytes"
	"testing"

	"lapwright/internal/golden"
	"lapwright/notation/columns"
	"lapwright/notation/tabtext"
	"lapwright/rig"
)

// Whatever the text, reading it gives a tab or an error and never both, and a
// tab that was read can be written, read back and written to the same text.
func FuzzParse(f *testing.F) {
	golden.Seeds(f)
	rigs := rig.Builtins()
	f.Fuzz(func(t *testing.T, src []byte, which uint8) {
		r := rigs[int(which)%len(rigs)]
		tb, guesses, err := Parse(src, "f.txt", r)
		if err != nil {
			if tb != nil || err.Error() == "" {
				t.Fatalf("error %q with a tab", err)
			}
			return
		}
		for _, g := range guesses {
			if columns.Caret(src, g) == "" && g.Bar == "" && g.Line > 0 {
				t.Fatalf("%v points nowhere", g)
			}
		}
		text := tabtext.Format(tb)
		again, _, err := tabtext.Parse(text, "g.txt", r)
		if err != nil {
			t.Fatalf("%v\nwritten:\n%s", err, text)
		}
		if second := tabtext.Format(again); !bytes.Equal(second, text) {
			t.Fatalf("written:\n%s\nand then:\n%s", text, second)
		}
	})
}
