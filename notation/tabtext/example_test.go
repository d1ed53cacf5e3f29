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
	src := []byte(`tab text 1
rig: reso-open-g
tuning: G2 B2 D3 G3 B3 D4
key: G major
meter: 2/4

rhythm   q   q
1 D4   |-0---2---|
2 B3   |---------|
3 G3   |---------|
4 D3   |---------|
5 B2   |---------|
6 G2   |---------|
`)
	t, warnings, err := tabtext.Parse(src, "quay.txt", r)
	if err != nil {
		fmt.Println(err)
		return
	}
	text := tabtext.Format(t)
	again, _, err := tabtext.Parse(text, "again.txt", r)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(warnings), tabtext.Is(src), bytes.Equal(tabtext.Format(again), text))
	// Output: 0 true true
}
