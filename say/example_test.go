package say_test

import (
	"fmt"

	"lapwright/say"
)

// Numbers of things and lists are said one way everywhere.
func Example() {
	fmt.Println(say.Count(1, "bar"), "and", say.Count(2, "bar"))
	fmt.Println(say.List([]string{"thumb", "index", "middle"}))
	// Output:
	// 1 bar and 2 bars
	// thumb, index and middle
}
