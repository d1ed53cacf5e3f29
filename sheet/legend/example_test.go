package legend_test

import (
	"context"
	"fmt"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/legend"
	"lapwright/sheet/score"
)

// The legend of a tab, 180 mm wide, has an entry for each mark that is used.
func ExampleDraw() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Step\nM:2/4\nL:1/4\nK:D\nDF|A2|]\n"), "step.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := rig.Builtin("lap6-c6")
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	g, _ := legend.Draw(score.New(tunes[0], res.Tab, score.Options{}), 180)
	n := 0
	for _, it := range g.Items {
		if g, ok := it.(*draw.Group); ok && g.Class == "legend-item" {
			n++
		}
	}
	fmt.Println(n, "entry")
	// Output: 1 entry
}
