package opus_test

import (
	"fmt"

	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/sound/opus"
)

// A recording becomes a file's bytes.
func ExampleWrite() {
	b, err := opus.Write(sound.Tones([]pitch.Hz{196}))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s\n", b[:4])
	// Output: OggS
}
