package chart_test

import (
	"fmt"

	"lapwright/notation/chart"
)

func Example() {
	t, err := chart.Read([]byte("key: A\n| 1 | 4 57 | 1 |"), "blues.chart")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(string(chart.Write(t, false)))
	// Output:
	// key: A major
	// meter: 4/4
	//
	// | A | D E7 | A |
}
