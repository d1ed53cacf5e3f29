package writing_test

import (
	"fmt"
	"strings"

	"lapwright/notation/abc"
	"lapwright/notation/musicxml/writing"
)

func ExampleTune() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Lamp\nM:4/4\nL:1/4\nK:G\nG A B2 |]\n"), "lamp.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	score, err := writing.Tune(tunes[0])
	fmt.Println(strings.Count(string(score), "<note>"), err)
	// Output: 3 <nil>
}
