package staff_test

import (
	"fmt"

	"lapwright/sheet/ink"
	"lapwright/sheet/staff"
)

// The number of a triplet under a beam stands alone, over the ink between its ends.
func ExampleTupletMark() {
	c := ink.New()
	staff.TupletMark(c, "3", 0, 8, true, true, 0)
	b := c.Bounds()
	fmt.Printf("its middle is at %.1f, over the staff: %v\n", (b.X0+b.X1)/2, b.Y1 < 0)
	// Output: its middle is at 4.0, over the staff: true
}
