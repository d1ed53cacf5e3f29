package drill_test

import (
	"context"
	"fmt"

	"lapwright/arrange/drill"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
)

func Example() {
	k, err := drill.Find("unison")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := rig.Builtin("reso-open-g")
	key, _ := pitch.ParseKey("G")
	d, err := drill.Make(context.Background(), k, r, key, grip.Steady)
	if err != nil {
		fmt.Println(err)
		return
	}
	p := d.Tab.Strokes[1].Plucks[0]
	fmt.Printf("string %d at fret %.0f\n", p.String, p.Fret)
	// Output: string 2 at fret 3
}
