package terms_test

import (
	"fmt"

	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
)

func ExampleHarmonyOf() {
	c, err := pitch.ParseChord("Dm7")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(terms.HarmonyOf(&c))
	// Output: minor-seventh []
}
