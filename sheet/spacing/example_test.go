package spacing_test

import (
	"fmt"
	"math"

	"lapwright/sheet/spacing"
)

// Words of 3, 4, 2, 6 and 2 letters on lines of 8: the cost of a line is the square of
// what it leaves empty.
func ExampleBreakLines() {
	words := []int{3, 4, 2, 6, 2}
	starts, total := spacing.BreakLines(len(words), func(a, b int) float64 {
		left := 9
		for _, w := range words[a:b] {
			left -= w + 1
		}
		if left < 0 {
			return math.Inf(1)
		}
		return float64(left * left)
	})
	fmt.Println(starts, total)
	// Output: [0 1 3 4] 66
}
