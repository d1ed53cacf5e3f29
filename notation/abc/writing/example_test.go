package writing_test

import (
	"fmt"

	"lapwright/notation/abc"
	"lapwright/notation/abc/writing"
)

func ExampleTune() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Lamp\nM:3/4\nL:1/4\nK:G\nGA/B/d|]\n"), "lamp.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	text, lost := writing.Tune(tunes[0])
	fmt.Print(string(text), len(lost), "\n")
	// Output:
	// X:1
	// T:Lamp
	// M:3/4
	// L:1/8
	// K:G
	// G2ABd2|]
	// 0
}
