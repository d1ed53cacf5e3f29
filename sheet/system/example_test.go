package system_test

import (
	"fmt"

	"lapwright/notation/abc"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
	"lapwright/sheet/system"
)

// A tune on lines of a hundred staff spaces; each is drawn with the extent of its ink.
func ExampleDraw() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Step\nM:2/4\nL:1/4\nK:D\n\"D\"df|a2|]\n"), "step.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	systems, _ := spacing.Set(score.New(tunes[0], nil, score.Options{}), 100)
	d := system.Draw(systems[0])
	fmt.Println(len(systems), "system; ink over the staff:", d.Top < 0, "and to its lowest line:", d.Bottom >= 4)
	// Output: 1 system; ink over the staff: true and to its lowest line: true
}
