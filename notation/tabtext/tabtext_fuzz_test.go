package tabtext

import (
	"bytes"
	"testing"

	"lapwright/internal/golden"
	"lapwright/notation/columns"
	"lapwright/rig"

	"pgregory.net/rapid"
)

// Whatever the text, reading it gives a tab or an error and never both, and a
// tab that was read can be written, read back and written to the same text.
func FuzzParse(f *testing.F) {
	golden.Seeds(f)
	rigs := rig.Builtins()
	for i := range 12 {
		t := rapid.Custom(randomTab).Example(i)
		for k, r := range rigs {
			if r.Name == t.Rig.Name {
				f.Add(Format(t), uint8(k))
			}
		}
	}
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
		text := Format(tb)
		again, _, err := Parse(text, "g.txt", r)
		if err != nil {
			t.Fatalf("%v\nwritten:\n%s", err, text)
		}
		if second := Format(again); !bytes.Equal(second, text) {
			t.Fatalf("written:\n%s\nand then:\n%s", text, second)
		}
	})
}
