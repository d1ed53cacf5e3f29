package sound_test

import (
	"fmt"

	"lapwright/pitch"
	"lapwright/sound"
)

// Tones sounds each pitch in turn, as one does to tune to them.
func ExampleTones() {
	a := sound.Tones([]pitch.Hz{196, 246.94})
	fmt.Println(a.Check() == nil, a.Len() == len(a.Channels[0]))
	// Output: true true
}
