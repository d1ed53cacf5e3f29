package filter_test

import (
	"fmt"

	"lapwright/sound/filter"
)

func ExampleNewResonance() {
	r := filter.NewResonance(1000, 5)
	most := 0.0
	for i := range 4800 { // a square wave of its own frequency
		x := 1.0
		if i/24%2 == 1 {
			x = -1
		}
		most = max(most, r.Next(x))
	}
	fmt.Printf("%.2f\n", most) // the fundamental of a square wave is 4/π times as high, 1.27,
	// Output:
	// 1.27
}
