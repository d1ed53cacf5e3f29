package tab_test

import (
	"context"
	"fmt"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tab"
	"lapwright/tune"
)

// Sounding reads the notes back from strings, steel and benders alone.
func ExampleSounding() {
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
	for _, n := range tune.Sound(tab.Sounding(res.Tab)) {
		fmt.Print(" ", n.Name)
	}
	fmt.Println(",", say.Moved(res.Tab.Transposed))
	// Output: G3 B3 D4, an octave below
}
