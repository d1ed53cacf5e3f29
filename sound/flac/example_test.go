package flac_test

import (
	"fmt"

	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/sound/flac"
)

// A recording becomes a file's bytes.
func ExampleWrite() {
	b, err := flac.Write(sound.Tones([]pitch.Hz{196}))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s\n", b[:4])
	// Output: fLaC
}
