package arrange

import (
	"testing"

	"lapwright/internal/tune"
)

func TestTry(t *testing.T) {
	for _, name := range []string{"reso-open-g", "lap6-c6", "lap8-c13", "bender-open-d", "pedal10-e9"} {
		tn := score(t, "G", "G3 A3 B3 C4 D4 E4 F#4 G4 G4:2 B4 D5 G4:2 D4:2 B3+D4:4 C4+E4:4- C4+E4:2 B3+D4:2 G3:4", "z:8 z:8 G3:8")
		r, err := Arrange(tn, builtin(t, name), Options{})
		if err != nil {
			t.Fatal(err)
		}
		t.Log(name, "\n"+picture(r))
		for _, e := range r.Events[:8] {
			t.Log(e)
		}
	}
	_ = tune.Whole
}
