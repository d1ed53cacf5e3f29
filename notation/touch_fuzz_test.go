package notation

import (
	"testing"

	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/tune"
)

// FuzzAppend adds a note to any text: it is refused, or the text that comes back
// can be read.
func FuzzAppend(f *testing.F) {
	for _, text := range []string{"", "X:1\nK:C\n", "X:1\nM:4/4\nL:1/8\nK:D\nD2E2F2G2|]", "X:1\nK:G\nGAB|\nw: la la", "X:1\nV:1\nV:2\nK:C\n[V:1]C|\n[V:2]E|", "no tune", "X:1\nL:1/0\nK:C\nC"} {
		f.Add(text, 60, int64(tune.Whole/8))
	}
	f.Fuzz(func(t *testing.T, text string, key int, length int64) {
		if len(text) > 10_000 || key < 0 || key > 127 {
			return
		}
		got, err := Append(text, pitch.SpellKey(key, 0), tune.Ticks(length))
		if err != nil {
			if got != "" {
				t.Fatalf("an error (%v) came with a text", err)
			}
			return
		}
		if _, _, err := abc.Read([]byte(got), "t.abc"); err != nil {
			t.Fatalf("%q became %q, which can't be read: %v", text, got, err)
		}
	})
}
