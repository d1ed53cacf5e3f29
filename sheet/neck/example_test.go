package neck_test

import (
	"fmt"
	"strings"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sheet/neck"
)

// Where a chord's tones lie on a rig, in words.
func ExampleChord() {
	r, _ := rig.Builtin("reso-open-g")
	c, err := pitch.ParseChord("G")
	if err != nil {
		fmt.Println(err)
		return
	}
	words := neck.Chord(r, c).Describe()
	fmt.Println(strings.Split(words, ";")[1])
	// Output: string 1: 5 open, R 5, 3 9, 5 12, R 17, 3 21, 5 24
}
