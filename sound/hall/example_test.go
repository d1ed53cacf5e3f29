package hall_test

import (
	"fmt"

	"lapwright/sound/hall"
)

func Example() {
	left, right := make([]float64, 480), make([]float64, 480)
	left[0], right[0] = 1, 1 // a clap
	hall.New(1).Add(left, right)
	fmt.Println(left[100] == 0, left[197] > 0.3)
	// Output: true true
}
