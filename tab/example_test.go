package tab_test

import (
	"fmt"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// A tab of one note: what it sounds is read from string and steel, not from the
// tune, and Check says where the two part.
func Example() {
	r, _ := rig.Builtin("reso-open-g")
	note := tune.Event{Len: tune.Whole, Notes: []tune.Note{{Name: pitch.Note(pitch.A, 0, 4)}}}
	written := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{
		Number: 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{{note}},
	}}}
	t := &tab.Tab{Tune: written, Rig: r, Strokes: []tab.Stroke{{
		Len:       tune.Whole,
		Placement: steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 5, LastFret: 5},
		Plucks:    []tab.Pluck{{Ref: tune.Ref{Grace: -1}, String: 1, Fret: 5, Len: tune.Whole}},
	}}}
	fmt.Println(tab.Sounding(t).Bars[0].Lines[0][0].Notes[0].Name)
	for _, f := range t.Check() {
		fmt.Println(f.Msg)
	}
	// Output:
	// G4
	// sounds -200 cents from A4
}
