package abc_test

import (
	"fmt"

	"lapwright/notation/abc"
)

// What can't be read is said by line and column; what can is kept.
func ExampleRead() {
	tunes, warnings, err := abc.Read([]byte("X:1\nT:Low Tide\nM:3/4\nL:1/4\nK:G\nDGB|d2%B\n|G3|]\n"), "low-tide.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(tunes[0].Title, len(tunes[0].Bars), "bars")
	for _, w := range warnings {
		fmt.Println(w)
	}
	// Output:
	// Low Tide 3 bars
	// low-tide.abc:7:1: bar 2 lasts 1/2 and its meter asks for 3/4
}
