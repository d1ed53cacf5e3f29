package why_test

import (
	"fmt"

	"lapwright/arrange/why"
	"lapwright/grip"
	"lapwright/rig"
)

func Example() {
	bender, _ := rig.Builtin("bender-open-d")
	neck := grip.NewNeck(bender, grip.LimitsOf(grip.Steady), grip.Region{})
	due := &grip.Due{Pace: grip.NewPace(0.25, neck.Limits)}
	m := why.Move{
		From: &grip.Grip{Benders: 0b01}, FromHand: grip.Hand{Thumb: 5, ThumbEnd: 5},
		To: &grip.Grip{Benders: 0b10}, Hand: grip.Hand{Thumb: 1, ThumbEnd: 1}, Due: due,
	}
	for _, part := range []why.Part{why.BenderMove, why.Picking} {
		fmt.Printf("%s: %s\n", part, m.Words(neck, part, &grip.Between{}))
	}
	// Three easy moments, and one that takes the steel across the neck.
	fmt.Println(why.Difficulty([]float64{0, 0.5, 0.5, 7}))
	// Output:
	// bender move: let go of palm 1, engaged palm 2
	// picking: thumb again after 0.25 s, skipped from string 5 to 1
	// 5.4
}
