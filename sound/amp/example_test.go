package amp_test

import (
	"fmt"
	"math"

	"lapwright/sound/amp"
	"lapwright/sound/filter"
)

// A clean amplifier passes a soft tone as it is; driven hard, a strong one comes out lower than it went in.
func ExampleNew() {
	for _, height := range []float64{0.01, 2} {
		a := amp.New(amp.Voicing{Drive: 0.5, Peak: 1})
		x := make([]float64, filter.Rate)
		most := 0.0
		for i := range x {
			x[i] = height * math.Sin(2*math.Pi*440*float64(i)/filter.Rate)
		}
		a.Process(x)
		for _, v := range x[filter.Rate/2:] {
			most = math.Max(most, math.Abs(v))
		}
		fmt.Printf("%.2f → %.2f\n", height, most)
	}
	// Output:
	// 0.01 → 0.01
	// 2.00 → 1.17
}
