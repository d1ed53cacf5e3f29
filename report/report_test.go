package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

func TestErrors(t *testing.T) {
	two := fault.List{{Line: 1, Col: 2, Msg: "a"}, {Line: 3, Msg: "b", Hint: "c"}}
	for _, c := range []struct {
		err  error
		want string
	}{
		{two, `[{"line":1,"column":2,"text":"a","error":true},{"line":3,"text":"b","hint":"c","error":true}]`},
		{fmt.Errorf("reading: %w", two[0]), `[{"line":1,"column":2,"text":"a","error":true}]`},
		{errors.New("no"), `[{"text":"no","error":true}]`},
		{&fault.Fault{Binary: true, Part: "track 1", Offset: 0, Msg: "d"}, `[{"byte":0,"part":"track 1","text":"d","error":true}]`},
	} {
		got, err := json.Marshal(Errors(c.err))
		if err != nil || string(got) != c.want {
			t.Errorf("%v: %s, %v, want %s", c.err, got, err, c.want)
		}
	}
}

// TestNoListIsNull: a page goes through lists without asking whether they are
// there.
func TestNoListIsNull(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	none := &sound.Timing{Bars: []sound.BarTime{}, Strokes: []sound.StrokeTime{}, Clicks: []sound.ClickTime{}, Steel: []sound.SteelTime{}}
	for name, form := range map[string]any{"tab": TabOf(&tab.Tab{Tune: &tune.Tune{}, Rig: r}, none), "faults": Faults(nil)} {
		b, err := json.Marshal(form)
		if err != nil || strings.Contains(string(b), "null") {
			t.Errorf("%s: %s, %v", name, b, err)
		}
	}
}
