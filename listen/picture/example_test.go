package picture_test

import (
	"fmt"
	"math"

	"lapwright/listen"
	"lapwright/listen/picture"
)

// What a take did about one note, in words.
func ExampleTell() {
	n := listen.Note{BarNumber: 3, String: 2, Fret: 5, Status: listen.Played, Cents: -14, CentsJust: math.NaN(), SteelMM: -2.1, Late: 0.06, Sure: true}
	fmt.Println(picture.Tell(&n))
	// Output: Bar 3, string 2, fret 5: 14 cents flat, the steel 2.1 mm towards the nut, 60 ms late
}
