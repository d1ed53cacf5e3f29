package click

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/tune"
)

// Where it clicks in two bars of a meter, in eighths from the start and with its weight after a colon: reckoned by hand
// from what the words mean (common practice, no source).
func TestWhereItClicks(t *testing.T) {
	for _, c := range []struct {
		meter tune.Meter
		o     Options
		want  string
	}{
		{tune.Meter{Beats: 4, Unit: 4}, Options{Through: true}, "0:0 2:1 4:1 6:1 8:0 10:1 12:1 14:1"},
		{tune.Meter{Beats: 4, Unit: 4}, Options{Through: true, On: TwoAndFour}, "2:1 6:1 10:1 14:1"},
		{tune.Meter{Beats: 2, Unit: 4}, Options{Through: true, On: TwoAndFour}, "2:1 6:1"},
		{tune.Meter{Beats: 3, Unit: 4}, Options{Through: true, On: TwoAndFour}, "2:1 4:1 8:1 10:1"},
		{tune.Meter{Beats: 6, Unit: 8}, Options{Through: true, On: TwoAndFour}, "3:1 9:1"},
		{tune.Meter{Beats: 2, Unit: 4}, Options{Through: true, On: Subdivided}, "0:0 1:2 2:1 3:2 4:0 5:2 6:1 7:2"},
		{tune.Meter{Beats: 6, Unit: 8}, Options{Through: true, On: Subdivided}, "0:0 1:2 2:2 3:1 4:2 5:2 6:0 7:2 8:2 9:1 10:2 11:2"},
		{tune.Meter{Beats: 2, Unit: 4}, Options{Through: true, Out: 1}, "0:0 2:1"},
		{tune.Meter{Beats: 2, Unit: 4}, Options{On: TwoAndFour}, ""},
	} {
		tn := &tune.Tune{}
		for i := range 2 {
			tn.Bars = append(tn.Bars, tune.Bar{Number: i + 1, Meter: c.meter, Len: c.meter.Len()})
		}
		var got []string
		for _, b := range Write(tune.Perform(tn), c.o, func(at tune.Ticks) int { return int(at / (tune.Whole / 8)) }) {
			got = append(got, fmt.Sprintf("%d:%d", b.At, b.Weight))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%d/%d %+v: %s, want %s", c.meter.Beats, c.meter.Unit, c.o, s, c.want)
		}
	}
}

func TestParseOn(t *testing.T) {
	for s, want := range map[string]On{"": Beats, "beats": Beats, "two-and-four": TwoAndFour, "subdivided": Subdivided} {
		if got, err := ParseOn(s); err != nil || got != want {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
	if _, err := ParseOn("always"); err == nil {
		t.Error("an unknown click is taken")
	}
}
