package band_test

import (
	"fmt"

	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/sound/band"
)

func Example() {
	c, _ := pitch.ParseClass("D")
	d := band.NewDrone(c, band.TonicFifth, pitch.StandardA, 2*sound.Rate)
	out := make([]float32, 2*sound.Rate)
	d.Add(out)
	fmt.Println(out[sound.Rate] != 0)
	// Output: true
}
