package workbench

import (
	"encoding/json"
	"testing"

	"lapwright/arrange"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
)

// TestWhatIsOfferedHereCanBePinned keeps each of the choices of several strokes
// as the page would, with harmony added and the octave left free: the sheet stays,
// in its octave.
func TestWhatIsOfferedHereCanBePinned(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	body := "X:1\nT:Evening Waltz\nM:4/4\nL:1/4\nK:G\nDGBA|GEGA|FDGB|dcAG|\n"
	item := func(pins ...report.Pin) *studio.Item {
		extra, err := json.Marshal(report.TuneSettings{Wishes: map[string]report.Wishes{g.Name: {Harmony: "sixths", Pins: pins}}})
		if err != nil {
			t.Fatal(err)
		}
		return &studio.Item{Content: studio.Content{Body: body, Extra: extra}}
	}
	shown, err := Place(t.Context(), item(), g)
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, n := range []int{0, 3, 8, 15} {
		st := shown.Result.Tab.Strokes[n]
		bar, at := shown.Result.Tab.Tune.Place(st.BarIndex, st.At)
		choices, err := arrange.Choices(t.Context(), shown.tune, g, shown.wishes, bar, at)
		if err != nil {
			t.Fatal(err)
		}
		for i := range choices[:min(len(choices), maxChoices)] {
			got, err := Place(t.Context(), item(pinOf(g, &choices[i], 0)), g)
			if err != nil {
				t.Errorf("bar %d, %s into it: %q is offered, and keeping it fails: %v", bar, at, choices[i].Words, err)
				continue
			}
			if got.Placed.About.Transposed != shown.Placed.About.Transposed {
				t.Errorf("bar %d, %s into it: keeping %q moves the tune from %d to %d", bar, at, choices[i].Words, shown.Placed.About.Transposed, got.Placed.About.Transposed)
			}
			tried++
		}
	}
	if tried < 20 {
		t.Errorf("only %d choices were tried", tried)
	}
}
