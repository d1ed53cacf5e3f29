package typed_test

import (
	"fmt"

	"lapwright/notation/typed"
	"lapwright/rig"
)

// Tab that somebody typed becomes a tab; what had to be guessed is said.
func Example() {
	r, _ := rig.Builtin("tricone-open-d")
	t, guesses, err := typed.Parse([]byte("Capo 2\n\n D|-0---2---|\n A|---------|\n F|---------|\n D|---------|\n A|---------|\n D|---------|\n"), "quay.txt", r)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range t.Tune.Bars[0].Lines[0] {
		fmt.Println(n.Notes[0].Name)
	}
	for _, g := range guesses {
		fmt.Println(g)
	}
	// Output:
	// D4
	// E4
	// quay.txt:1:1: rig "tricone-open-d" has no capo, and fret "2" was asked for: the capo is passed over
	// quay.txt:3:1: no meter is named: taken as 4/4
	// quay.txt:3:1: no key is named: taken as D major
	// quay.txt:3:4: no rhythm is given here: lengths are taken from the spacing
	// quay.txt:5:1: "F" is taken as the string F#3, by its place among the others
}
