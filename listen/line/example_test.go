package line_test

import (
	"fmt"

	"lapwright/listen"
	"lapwright/listen/line"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sound"
)

func ExampleStrings() {
	r, _ := rig.Builtin("reso-open-g")
	open := pitch.Equal(float64(r.OpenKey(1, 0)), r.Reference)
	tone := sound.Tones([]pitch.Hz{pitch.Hz(float64(open) * 0.995)})
	take, err := listen.NewTake(tone.Channels[0], sound.Rate)
	if err != nil {
		panic(err)
	}
	tuning, err := line.Strings(take, r, nil)
	if err != nil {
		panic(err)
	}
	s := tuning.Strings[0]
	fmt.Printf("string %d: %.1f cents\n", s.String, float64(pitch.Between(s.Wanted, s.Hz)))
	// Output: string 1: -8.7 cents
}
