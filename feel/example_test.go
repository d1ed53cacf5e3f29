package feel_test

import (
	"fmt"

	"lapwright/feel"
	"lapwright/tune"
)

func Example() {
	f := feel.For(tune.Meter{Beats: 3, Unit: 4}, "")
	g, _ := f.Figure(tune.Meter{Beats: 3, Unit: 4})
	fmt.Println(f.Name, g.Accents)
	for _, s := range g.Strokes(g.Part, 0, g.Meter().Len(), false) {
		fmt.Printf("%s for %s: %c\n", s.At, s.Len, s.Sign)
	}
	// Output:
	// waltz >.....
	// 0 for 1/4: b
	// 1/4 for 1/8: c
	// 1/2 for 1/8: c
}
