package yin_test

import (
	"fmt"
	"math"

	"lapwright/listen/yin"
)

func ExampleLikeliest() {
	const rate = 8000
	a := make([]float64, rate/2) // half a second of the A that orchestras tune to
	for i := range a {
		a[i] = 0.5 * math.Sin(2*math.Pi*440*float64(i)/rate)
	}
	y := yin.New(rate)
	var seen [][]yin.Candidate
	for at := 1000; at < 3000; at += 100 {
		seen = append(seen, y.Candidates(a, at))
	}
	line := yin.Likeliest(seen)
	fmt.Printf("%d moments, voiced %v, near %.0f Hz\n", len(line), line[9].Voiced, line[9].Hz())
	// Output: 20 moments, voiced true, near 443 Hz
}
