package rig

import (
	"bytes"
	"strings"
	"testing"
)

// FuzzParse: whatever the bytes, reading gives a sound rig or a placed error,
// never both and never a panic, and a rig that reads comes back from its text.
func FuzzParse(f *testing.F) {
	for _, name := range builtinOrder {
		src, _ := BuiltinSource(name)
		f.Add(src)
	}
	f.Add([]byte(goodRig))
	for _, c := range badRigs {
		f.Add([]byte(strings.Replace(strings.Replace(goodRig, c.old, c.new, 1), "«", "", 1)))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		r, err := Parse(src, "fuzz.toml")
		if (r == nil) == (err == nil) {
			t.Fatalf("got rig %v and error %v", r, err)
		}
		if err != nil {
			if msg := err.Error(); !strings.HasPrefix(msg, "fuzz.toml:") || strings.Contains(msg, "\n") {
				t.Fatalf("error %q", msg)
			}
			return
		}
		if l := r.Check(); len(l) > 0 {
			t.Fatalf("a rig that reads is bad: %v", l)
		}
		text := Format(r)
		back, err := Parse(text, "fuzz.toml")
		if err != nil {
			t.Fatalf("its text does not read: %v\n%s", err, text)
		}
		if again := Format(back); !bytes.Equal(again, text) {
			t.Fatalf("formatting twice differs:\n%s\n%s", text, again)
		}
	})
}
