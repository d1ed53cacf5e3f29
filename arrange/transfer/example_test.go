package transfer_test

import (
	"fmt"

	"lapwright/arrange/transfer"
	"lapwright/rig"
)

// Strings 1 to 4 of open G have the intervals of strings 2 to 5 of open D
// (common practice, no source).
func ExampleSharedRuns() {
	g, _ := rig.Builtin("reso-open-g")
	d, _ := rig.Builtin("tricone-open-d")
	fmt.Println(transfer.SharedRuns(g, d)[0].Words())
	// Output: strings 1–4 here are strings 2–5 there, same frets, sounding 5 semitones lower
}
