package rank_test

import (
	"context"
	"fmt"

	"lapwright/arrange"
	"lapwright/arrange/rank"
	"lapwright/notation"
	"lapwright/rig"
)

func ExampleRigs() {
	pieces, _, err := notation.Read([]byte("X:1\nT:Scale\nM:4/4\nL:1/4\nK:G\nDGBd|dBGD|\n"), "scale.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	g, _ := rig.Builtin("reso-open-g")
	c6, _ := rig.Builtin("lap6-c6")
	ranked, err := rank.Rigs(context.Background(), pieces[0].Tune, []*rig.Rig{c6, g}, arrange.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, k := range ranked {
		fmt.Println(k.Rig.Name+":", k.Reasons[0]+",", k.Reasons[2])
	}
	// Output:
	// reso-open-g: every note as written, frets 12 to 12
	// lap6-c6: every note as written, frets 7 to 10
}
