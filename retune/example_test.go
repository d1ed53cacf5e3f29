package retune_test

import (
	"fmt"

	"lapwright/retune"
	"lapwright/rig"
)

// From open D to open G on the tricone: which strings move, and how far
// (A to G is a tone down, F♯ to G a semitone and A to B a tone up).
func ExampleNewPlan() {
	r, _ := rig.Builtin("tricone-open-d")
	pitches, err := retune.ParseTuning("D2 G2 D3 G3 B3 D4")
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := retune.NewPlan(r, pitches, "slack open G", 440)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range p.Moves {
		fmt.Printf("string %d: %s\n", m.String, retune.Signed(m.Semitones))
	}
	// Output:
	// string 1: 0
	// string 2: +2
	// string 3: +1
	// string 4: 0
	// string 5: -2
	// string 6: 0
}
