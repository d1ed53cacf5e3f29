package fault_test

import (
	"fmt"

	"lapwright/fault"
)

// Faults are collected, sorted by place, and told one a line.
func Example() {
	var list fault.List
	list.Add(&fault.Fault{File: "low-tide.abc", Line: 7, Col: 3, Msg: `"z9" is longer than the bar`})
	list.Add(&fault.Fault{File: "low-tide.abc", Line: 2, Col: 1, Msg: `the field "Q: slow-ish" has no tempo`})
	list.Sort()
	for _, f := range list {
		fmt.Println(f)
	}
	// Output:
	// low-tide.abc:2:1: the field "Q: slow-ish" has no tempo
	// low-tide.abc:7:3: "z9" is longer than the bar
}
