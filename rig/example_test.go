package rig_test

import (
	"fmt"

	"lapwright/rig"
)

// A rig is read from plain text; the built-in ones are such texts.
func Example() {
	r, ok := rig.Builtin("hollow-neck-open-d")
	if !ok {
		fmt.Println("no such rig")
		return
	}
	fmt.Print("low to high:")
	for i := len(r.Strings) - 1; i >= 0; i-- {
		fmt.Print(" ", r.Strings[i].Open)
	}
	fmt.Println()
	fmt.Printf("fret 12 lies at half the scale: %v\n", rig.FretPlace(r.Scale, 12)*2 == r.Scale)
	// Output:
	// low to high: D2 A2 D3 F#3 A3 D4
	// fret 12 lies at half the scale: true
}
