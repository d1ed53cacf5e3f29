package notation_test

import (
	"fmt"

	"lapwright/notation"
)

// Open tells a file's form by its ending or its first bytes.
func ExampleOpen() {
	m, err := notation.Open([]byte("X:1\nT:Low Tide\nK:G\nDGB|d2B|]\n"), "low-tide", notation.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.Format, len(m.Items))
	// Output: abc 1
}
