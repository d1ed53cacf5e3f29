package columns_test

import (
	"fmt"

	"lapwright/fault"
	"lapwright/notation/columns"
)

// The place of a fault is shown under its line.
func ExampleCaret() {
	src := []byte("1 D4 |-0-x-|\n")
	fmt.Println(columns.Caret(src, &fault.Fault{Line: 1, Col: 10, Msg: "no number"}))
	// Output:
	// 1 D4 |-0-x-|
	//          ^
}
