package form_test

import (
	"fmt"

	"lapwright/retune/form"
)

// An instrument from the words that its player has for it.
func ExampleInstrument_Rig() {
	f := form.Instrument{Body: "lap steel", Scale: "22 1/2", Strings: "6", Tuning: "C E G A C E", Gauges: "16 18 22 26w 30w 36w", Benders: "5+1"}
	r, err := f.Rig()
	if err != nil {
		fmt.Println(err)
	}
	fmt.Println(r.Title, r.Scale, r.TuningText(), r.Benders[0].Moves)
	f.Scale = "long"
	_, err = f.Rig()
	fmt.Println(err)
	// Output:
	// Lap steel in C6 571.5 C3 E3 G3 A3 C4 E4 [{5 1}]
	// "long" is not a length: write a number with its unit, such as "25 in" or "635 mm"
}
