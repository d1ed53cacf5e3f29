package steel_test

import (
	"fmt"

	"lapwright/rig"
	"lapwright/steel"
)

// A forward slant over three strings: string 1 a fret above string 3, and the
// string between them where the straight line of the steel crosses it.
func ExampleGeometry_Contact() {
	r, _ := rig.Builtin("reso-open-g")
	g := steel.New(r)
	p := steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 6, LastFret: 5}
	for s := 1; s <= 3; s++ {
		fmt.Printf("string %d at fret %.1f\n", s, g.Contact(p, s))
	}
	// Output:
	// string 1 at fret 6.0
	// string 2 at fret 5.5
	// string 3 at fret 5.0
}
