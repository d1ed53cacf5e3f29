package listen_test

import (
	"fmt"
	"math"

	"lapwright/listen"
)

// A take comes in block by block; its pitch is followed every 5 ms.
func ExampleTake_Pitches() {
	ear, err := listen.NewEar(48000)
	if err != nil {
		fmt.Println(err)
		return
	}
	block := make([]float32, 480)
	for b := range 50 {
		for i := range block {
			block[i] = float32(0.5 * math.Sin(2*math.Pi*196*float64(b*480+i)/48000))
		}
		ear.Hear(block)
	}
	frames := ear.Take().Pitches()
	fmt.Printf("%.2f Hz\n", float64(frames[50].Hz))
	// Output: 196.00 Hz
}
