package tabtext

import (
	"strings"
	"testing"

	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// A tab that is none (tab.Check refuses it) is written with a line that says
// so, and never brings the program down.
func TestFormatOfBrokenTabs(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	bar := func(events ...tune.Event) tune.Bar {
		return tune.Bar{Number: 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{events}}
	}
	for name, tb := range map[string]*tab.Tab{
		"no bars":   {Tune: &tune.Tune{Voices: []tune.Voice{{}}}, Rig: r},
		"no voices": {Tune: &tune.Tune{Bars: []tune.Bar{{Len: tune.Whole}}}, Rig: r},
		"no events": {Tune: &tune.Tune{Voices: []tune.Voice{{}}, Bars: []tune.Bar{bar()}}, Rig: r},
		"a length that is none": {Tune: &tune.Tune{Voices: []tune.Voice{{}}, Bars: []tune.Bar{
			bar(tune.Event{Len: 7, Kind: tune.Rest, Value: tune.Value{Log2: 2}})}}, Rig: r},
		"a stroke outside": {Tune: &tune.Tune{Voices: []tune.Voice{{}}, Bars: []tune.Bar{
			bar(tune.Event{Len: tune.Whole, Kind: tune.Rest, Value: tune.Value{BarRest: true}})}}, Rig: r,
			Strokes: []tab.Stroke{{BarIndex: 9, Plucks: []tab.Pluck{{String: 40, Fret: -1}}}}},
	} {
		if len(tb.Tune.Check())+len(tb.Strokes) == 0 {
			t.Errorf("%s: a sound tab", name)
		}
		if text := string(Format(tb)); !strings.HasPrefix(text, Magic) {
			t.Errorf("%s: %s", name, text)
		}
	}
}
