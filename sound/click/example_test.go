package click_test

import (
	"fmt"

	"lapwright/sound/click"
	"lapwright/tune"
)

func Example() {
	t := &tune.Tune{Bars: []tune.Bar{{Number: 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole}}}
	p := tune.Perform(t)
	for _, b := range click.Write(p, click.Options{Through: true, On: click.TwoAndFour}, func(at tune.Ticks) int { return int(p.Clock.Seconds(at) * 48000) }) {
		fmt.Println(b.At)
	}
	// Output:
	// 28800
	// 86400
}
