package report_test

import (
	"context"
	"encoding/json"
	"fmt"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/notation/abc"
	"lapwright/report"
	"lapwright/rig"
)

// What came of placing a tune on a rig, as a page or a program reads it.
func ExampleSummarise() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Triad\nM:3/4\nL:1/4\nQ:1/4=80\nK:G\nGBd|]\n"), "triad.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := rig.Builtin("reso-open-g")
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	s := report.Summarise(res)
	fmt.Println(s.Key, s.Notes, "notes,", len(s.Compromises), "compromises")
	// Output: G major 3 notes, 0 compromises
}

// A fault with its place; what does not apply is left out.
func ExampleFaultOf() {
	b, err := json.Marshal(report.FaultOf(&fault.Fault{File: "waltz.abc", Line: 7, Col: 12, Msg: `"H" is no note`}))
	fmt.Println(string(b), err)
	// Output: {"line":7,"column":12,"text":"\"H\" is no note"} <nil>
}
