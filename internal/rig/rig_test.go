package rig

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Every built-in rig reads, is sound, and comes back the same from its own
// formatted text.
func TestBuiltinsRoundTrip(t *testing.T) {
	all := Builtins()
	if len(all) != len(builtinOrder) || len(all) == 0 {
		t.Fatalf("%d built-in rigs, want %d", len(all), len(builtinOrder))
	}
	for _, r := range all {
		if l := r.Check(); len(l) > 0 {
			t.Errorf("%s: %v", r.Name, l)
		}
		text := Format(r)
		back, err := Parse(text, r.Name)
		if err != nil {
			t.Errorf("%s: its own text does not read: %v\n%s", r.Name, err, text)
			continue
		}
		if d := cmp.Diff(r, back); d != "" {
			t.Errorf("%s changed on the way through its text:\n%s", r.Name, d)
		}
		if again := Format(back); string(again) != string(text) {
			t.Errorf("%s: formatting twice differs:\n%s\n%s", r.Name, text, again)
		}
	}
}
