package tune_test

import (
	"fmt"

	"lapwright/notation/abc"
	"lapwright/tune"
)

// Unfold plays the repeats: each bar once in the tune, as often as it sounds here.
func ExampleUnfold() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Two Endings\nM:2/4\nL:1/4\nK:D\n|:DE|1 FE:|2 FD|]\n"), "two-endings.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	passes, _ := tune.Unfold(tunes[0])
	for _, p := range passes {
		fmt.Print(tunes[0].Bars[p.BarIndex].Number, " ")
	}
	fmt.Println()
	// Output: 1 2 1 3
}
