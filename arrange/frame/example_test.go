package frame_test

import (
	"fmt"

	"lapwright/arrange/frame"
	"lapwright/notation/abc"
)

// A tune of two bars is played to its end and closed with two bars more.
func ExamplePut() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Two Bars\nM:4/4\nL:1/4\nK:G\nGBdB|G4|]\n"), "two.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	ending, err := frame.Find(frame.Ending, "walk-down")
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := frame.Put(tunes[0], frame.Set{frame.Ending: ending})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range f.Tune.Bars {
		var notes []string
		for _, e := range b.Lines[0] {
			notes = append(notes, e.Notes[0].Name.String())
		}
		fmt.Println(b.Number, notes)
	}
	// Output:
	// 1 [G4 B4 D5 B4]
	// 2 [G4]
	// 3 [D5 C5 B4 A4 F#4]
	// 4 [G4]
}
