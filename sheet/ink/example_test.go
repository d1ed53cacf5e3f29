package ink_test

import (
	"fmt"

	"lapwright/sheet/ink"
)

// What is added later asks where there is ink already.
func ExampleCanvas_TopOver() {
	c := ink.New()
	c.Line(0, -2, 4, -2, 0.5) // at two staff spaces over the staff
	fmt.Println(c.TopOver(1, 3, 0), c.TopOver(5, 6, 0))
	// Output: -2.25 0
}
