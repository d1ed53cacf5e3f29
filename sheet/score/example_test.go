package score_test

import (
	"fmt"

	"lapwright/notation/abc"
	"lapwright/sheet/score"
)

// A score knows each instant of a bar and what stands there.
func ExampleNew() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Step\nM:2/4\nL:1/8\nK:D\nde f2|]\n"), "step.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	s := score.New(tunes[0], nil, score.Options{})
	for _, nd := range s.Bars[0].Nodes {
		n := nd.Notes[0]
		fmt.Println(n.Top().Note.Name, "stem up:", n.Up, "beamed:", n.Beam != nil)
	}
	// Output:
	// D5 stem up: false beamed: true
	// E5 stem up: false beamed: true
	// F#5 stem up: false beamed: false
}
