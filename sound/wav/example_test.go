package wav_test

import (
	"fmt"

	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/sound/wav"
)

// A recording becomes a file's bytes.
func ExampleWrite() {
	b := wav.Write(sound.Tones([]pitch.Hz{196}))
	fmt.Printf("%s\n", b[:4])
	// Output: RIFF
}
