package loudness_test

import (
	"fmt"
	"math"

	"lapwright/sound/loudness"
)

// A sine of 997 Hz at full scale on one channel is −3.01 LUFS (ITU-R BS.1770-4, annex 1).
func ExampleMeter() {
	x := make([]float32, 2*loudness.Rate)
	for i := range x {
		x[i] = float32(math.Sin(2 * math.Pi * 997 * float64(i) / loudness.Rate))
	}
	var m loudness.Meter
	m.Add(x)
	fmt.Printf("%.1f LUFS\n", m.Loudness())
	// Output:
	// -3.0 LUFS
}
