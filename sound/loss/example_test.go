package loss_test

import (
	"fmt"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sound/loss"
)

// How long the fundamental and the tenth partial of a resonator's first string ring, the bridge left out.
func ExampleOf() {
	r, _ := rig.Builtin("reso-open-g")
	f := pitch.Equal(float64(r.OpenKey(1, 0)), r.Reference)
	l := loss.Of(r, r.Strings[0].Wire, f)
	for _, n := range []float64{1, 10} {
		fmt.Printf("partial %g: %.1f s\n", n, loss.Ln1000/l.Rate(float64(f), n*float64(f), false))
	}
	// Output:
	// partial 1: 14.0 s
	// partial 10: 2.5 s
}
