package pitch_test

import (
	"fmt"

	"lapwright/pitch"
)

// The third of a chord tuned by ear lies 14 cents under the one of a piano.
func Example() {
	chord, err := pitch.ParseChord("D7")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(chord.Root, ":")
	for _, c := range chord.Tones {
		fmt.Print(" ", c.Label)
	}
	fmt.Println()
	fmt.Printf("A4 is %.0f Hz, a just major third %.2f cents\n", pitch.Equal(69, 440), pitch.Ratio(5, 4))
	// Output:
	// D: R 3 5 b7
	// A4 is 440 Hz, a just major third 386.31 cents
}
