package grip_test

import (
	"fmt"

	"lapwright/grip"
	"lapwright/rig"
)

// The first three ways to play D on a square-neck resonator in open G.
func ExampleFind() {
	r, _ := rig.Builtin("reso-open-g")
	want, err := grip.ParseWant("D")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, w := range grip.Find(r, want, grip.Options{Max: 3}) {
		for _, n := range w.Notes {
			fmt.Printf("string %d at %g sounds %v, ", n.String, n.Fret, n.Name)
		}
		fmt.Printf("%.2f points\n", float64(w.Price.Sum())/100)
	}
	// Output:
	// string 1 at 7 sounds A4, string 2 at 7 sounds F#4, string 3 at 7 sounds D4, 0.08 points
	// string 2 at 7 sounds F#4, string 3 at 7 sounds D4, string 4 at 7 sounds A3, 0.38 points
	// string 3 at 7 sounds D4, string 4 at 7 sounds A3, string 5 at 7 sounds F#3, 0.56 points
}

// What the open strings of a C6 tuning sound.
func ExampleName() {
	r, _ := rig.Builtin("lap6-c6")
	stops, benders, err := grip.ParseStops(r, "1:0,2:0,3:0,4:0")
	if err != nil {
		fmt.Println(err)
		return
	}
	n, err := grip.Name(r, stops, benders)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(n.Chords[0], "holds", n.Within)
	// Output: Am7/G holds [C Am]
}

// The search asks a neck for every way to sound what is due at a moment, here a
// third, and what each costs by itself.
func ExampleNeck_Grips() {
	r, _ := rig.Builtin("hollow-neck-open-d")
	n := grip.NewNeck(r, grip.LimitsOf(grip.FirstYear), grip.Region{})
	due := &grip.Due{
		Wants: []grip.Note{{Key: 59, Kind: grip.Begun, From: -1}, {Key: 55, Kind: grip.Begun, From: -1}}, // B3 over G3
		Pace:  grip.NewPace(0.5, n.Limits),
	}
	for _, g := range n.Grips(due) {
		fmt.Printf("strings %d and %d, %v at %g: %.2f points\n", g.Strings[0], g.Strings[1], g.Kind, g.FirstFret, float64(g.Cost)/100)
	}
	// Output:
	// strings 3 and 4, straight at 5: 0.00 points
}
