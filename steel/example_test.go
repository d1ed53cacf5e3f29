package steel_test

import (
	"fmt"

	"lapwright/rig"
	"lapwright/steel"
)

// A forward slant over three strings of a lap steel: where each is stopped, how
// far the steel leans, and that it can be laid.
func Example() {
	r, _ := rig.Builtin("lap6-c6")
	g := steel.New(r)
	p := steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 13, LastFret: 12}
	for s := 1; s <= 4; s++ {
		fmt.Printf("string %d at fret %.2f\n", s, g.Contact(p, s))
	}
	fmt.Printf("%.0f degrees, %v\n", g.Angle(p), g.Check(p))
	// Output:
	// string 1 at fret 13.00
	// string 2 at fret 12.49
	// string 3 at fret 12.00
	// string 4 at fret 0.00
	// 40 degrees, <nil>
}
