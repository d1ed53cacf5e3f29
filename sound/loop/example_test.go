package loop_test

import (
	"fmt"

	"lapwright/sound/loop"
	"lapwright/sound/loss"
)

// A click sent off comes back after the line and the four samples that the loss filter takes.
func ExampleNew() {
	l := loop.New(200)
	l.Loss = loss.Filter{Straight: 1}
	l.SetDelay(96)
	for i := range 150 {
		y := l.Arrive(1)
		if y > 0.5 {
			fmt.Println(i)
		}
		if i == 0 {
			y = 1
		}
		l.Leave(y)
	}
	// Output: 100
}
