package chart_test

import (
	"fmt"

	read "lapwright/notation/chart"
	"lapwright/sheet/chart"
)

func Example() {
	t, err := read.Read([]byte("title: Slow blues\nkey: A\n| 1 | 4 57 | 1 |"), "blues.chart")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(chart.Lay(t, chart.Options{}).Description)
	// Output: Slow blues; key A major, 4/4; bar 1 A; bar 2 D E7; bar 3 A.
}
