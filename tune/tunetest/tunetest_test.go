package tunetest

import (
	"testing"

	"pgregory.net/rapid"
)

// TestTunesAreValid pins what Tunes promises.
func TestTunesAreValid(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tn := Tunes().Draw(r, "tune")
		if faults := tn.Check(); len(faults) > 0 {
			r.Fatalf("%v", faults)
		}
	})
}
