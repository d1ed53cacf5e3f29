package leads_test

import (
	"fmt"

	"lapwright/arrange/leads"
	"lapwright/grip"
)

// Three ways to hold a moment sound its note on strings 2, 1 and 2. Before a grip into
// which the note slides on string 2 come the first and the last, the cheaper first.
func Example() {
	strings := []int8{2, 1, 2}
	var o leads.Order
	o.Sort([]int64{90, 20, 40}, nil, 0)
	m := &grip.Due{Wants: []grip.Note{{From: 0, Kind: grip.Glided}}}
	slid := &grip.Grip{Strings: [grip.MaxNotes]int8{2}, Acts: [grip.MaxNotes]grip.Act{grip.Glide}}
	for _, place := range o.Before(slid, m, func(stance int, note int8) int8 { return strings[stance] }) {
		fmt.Println(leads.Stance(place))
	}
	// Output:
	// 2
	// 0
}
