package main

import "math"

// figure rounds a number to so many decimals, for JSON.
func figure(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	out := math.Round(v*p) / p
	if out == 0 {
		return 0 // no minus zero
	}
	return out
}
