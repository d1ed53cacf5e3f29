package arrange_test

import (
	"context"
	"fmt"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
)

// A tune is placed on a rig; what it does not sound would be in Compromises.
func ExampleArrange() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Triad\nM:3/4\nL:1/4\nQ:1/4=80\nK:G\nGBd|]\n"), "triad.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := rig.Builtin("reso-open-g")
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(res.Tab.Strokes), "strokes,", len(res.Tab.Compromises), "compromises")
	// Output: 3 strokes, 0 compromises
}
