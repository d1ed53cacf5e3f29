package accompany_test

import (
	"context"
	"fmt"

	"lapwright/arrange/accompany"
	"lapwright/feel"
	"lapwright/notation/chart"
	"lapwright/rig"
)

func Example() {
	t, err := chart.Read([]byte("key: G\nmeter: 3/4\n| 1 | 4 | 57 | 1 |"), "waltz.chart")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := rig.Builtin("reso-open-g")
	f, _ := feel.Find("waltz")
	res, err := accompany.Accompany(context.Background(), t, r, accompany.Options{Feel: f})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range res.Chords[:2] {
		fmt.Println(c.Played, accompany.GripWords(c.Grip))
	}
	// Output:
	// G 3@0 2@0 1@0
	// C 4@5 3@5 2@5
}
