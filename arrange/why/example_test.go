package why_test

import (
	"fmt"

	"lapwright/arrange/why"
	"lapwright/grip"
	"lapwright/rig"
)

func Example() {
	bender, _ := rig.Builtin("bender-open-d")
	fmt.Println(why.Bending(bender, 0b01, 0b10))
	fmt.Println(why.Ringing(grip.RingsClash))
	fmt.Println(why.Picking(grip.Hand{Thumb: 5, ThumbEnd: 5}, grip.Hand{Thumb: 1, ThumbEnd: 1}, 0.25))
	// Output:
	// let go of palm 1, engaged palm 2
	// the note before must be damped, it would clash
	// thumb again after 0.25 s, skipped from string 5 to 1
}
