package tabstaff_test

import (
	"context"
	"fmt"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
	"lapwright/sheet/tabstaff"
)

// The tablature of a line is drawn on a canvas; strings and barlines come after.
func ExampleNew() {
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
	systems, _ := spacing.Set(score.New(tunes[0], res.Tab, score.Options{}), 100)
	c := ink.New()
	tabstaff.New(systems[0], c).Draw()
	strokes := 0
	for _, it := range c.Root.Items {
		if g, ok := it.(*draw.Group); ok && g.Class == "stroke" {
			strokes++
		}
	}
	fmt.Println(strokes, "strokes")
	// Output: 3 strokes
}
