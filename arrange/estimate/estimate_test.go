package estimate_test

import (
	"fmt"
	"testing"

	"lapwright/arrange/estimate"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
)

// never is a watch that nobody gives up.
func never() error { return nil }

// A melody in the tuning's own key lies better than one a semitone off, a narrower region
// never better than a wider one, and a note that no string has is lost.
func TestCost(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	lim := grip.LimitsOf(grip.FirstYear)
	scale := []int{67, 69, 71, 72, 74, 76, 78, 79}
	at := func(o grip.Region, semitones int) int64 {
		c, err := estimate.New(r, 0, lim, o, 4).Cost(never, scale, semitones)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if own, off := at(grip.Region{}, -12), at(grip.Region{}, -11); own >= off {
		t.Errorf("G costs %d and A flat %d", own, off)
	}
	if wide, narrow := at(grip.Region{}, -12), at(grip.Region{Low: 1, High: 5}, -12); narrow < wide {
		t.Errorf("the whole neck costs %d and five frets %d", wide, narrow)
	}
	if c := at(grip.Region{Low: 1, High: 1, Closed: true}, -12); c < int64(grip.Standard().TopLost) {
		t.Errorf("a scale at one fret costs %d, where notes are lost", c)
	}
	e := estimate.New(r, 0, lim, grip.Region{}, 4)
	for text, want := range map[string]bool{"G major": true, "D major": true, "F major": false, "A major": false} {
		k, err := pitch.ParseKey(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := e.Suits(k, 0); got != want {
			t.Errorf("the open strings suit %s: %v", text, got)
		}
	}
}

// Two octaves for a melody are compared.
func Example() {
	r, _ := rig.Builtin("reso-open-g")
	e := estimate.New(r, 0, grip.LimitsOf(grip.Steady), grip.Region{}, 4)
	low, _ := e.Cost(func() error { return nil }, []int{67, 71, 74}, -12)
	high, _ := e.Cost(func() error { return nil }, []int{67, 71, 74}, 0)
	fmt.Println(low < high)
	// Output: true
}
