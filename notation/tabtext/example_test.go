package tabtext_test

import (
	"bytes"
	"fmt"

	"lapwright/notation/tabtext"
	"lapwright/rig"
)

// What was written is read back to the same tab: the text of both is the same.
func Example() {
	r, _ := rig.Builtin("reso-open-g")
	typed := []byte("1 D4 |-0-2-|\n2 B3 |-----|\n3 G3 |-----|\n4 D3 |-----|\n5 B2 |-----|\n6 G2 |-----|\n")
	t, _, err := tabtext.Parse(typed, "typed.txt", r)
	if err != nil {
		fmt.Println(err)
		return
	}
	text := tabtext.Format(t)
	again, warnings, err := tabtext.Parse(text, "exact.txt", r)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(warnings), bytes.Equal(tabtext.Format(again), text))
	// Output: 0 true
}
