package tabtext

import (
	"testing"

	"lapwright/rig"
)

// A text that says nothing of a capo is read on the rig as it is given.
func TestCapoOfTheRig(t *testing.T) {
	r, _ := rig.Builtin("bender-open-d")
	at3, err := r.WithCapo(3)
	if err != nil {
		t.Fatal(err)
	}
	tb, _, err := Parse([]byte("|-0-|\n|---|\n|---|\n|---|\n|---|\n|---|\n"), "capo.txt", at3)
	if err != nil {
		t.Fatal(err)
	}
	if got := tb.Tune.Bars[0].Lines[0][0].Notes[0].Name.Key(); got != 65 || tb.Rig.Capo.At != 3 {
		t.Errorf("the open string sounds key %d with the capo at %d; want 65 and 3", got, tb.Rig.Capo.At)
	}
}
