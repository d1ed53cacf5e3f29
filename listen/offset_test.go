package listen

import (
	"math"
	"testing"

	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// A player is with the click when four plucks or more, and half of all at least, lie within a beat of it; the device's
// delay, or where nobody measured that the median, is taken off before. A beat is a quarter as it is sounded: half a second at 120, a whole
// one for who plays at half the speed.
func TestWhoIsWithTheClick(t *testing.T) {
	tn := tunetest.Score(t, "C", "C4 D4 E4 F4 G4 A4 B4 C5")
	tn.Bars[0].Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 120000}}
	perf, faults := tune.Checked(tn)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	none := math.NaN()
	for _, c := range []struct {
		why    string
		behind []float64
		delay  float64
		pace   float64
		off    float64
		with   bool
	}{
		{"four together", []float64{0.1, 0.1, 0.1, 0.1}, none, 1, 0.1, true},
		{"three are too few", []float64{0.1, 0.1, 0.1}, none, 1, 0.1, false},
		{"half of eight", []float64{0.1, 0.1, 0.1, 0.1, 9, 9, 9, none}, 0.1, 1, 0.1, true},
		{"less than half", []float64{0.1, 0.1, 0.1, 0.1, 9, 9, 9, 9, 9}, 0.1, 1, 0.1, false},
		{"all in the device", []float64{2, 2.1, 2.2, 2.1}, none, 1, 2.1, true},
		{"whose delay is known to be none", []float64{2, 2.1, 2.2, 2.1}, 0, 1, 0, false},
		{"ahead by less than a beat", []float64{-0.4, -0.4, -0.4, -0.4}, 0, 1, 0, true},
		{"by more", []float64{-0.6, -0.6, -0.6, -0.6}, 0, 1, 0, false},
		{"by as much, at half the speed", []float64{-0.6, -0.6, -0.6, -0.6}, 0, 2, 0, true},
		{"nobody clicked", []float64{none, none, none, none}, 0, 1, 0, false},
	} {
		f := &follower{Click: Click{Delay: c.delay}, s: &score{perf: perf}, time: &timing{}, behind: c.behind}
		for i := range c.behind {
			f.s.wants = append(f.s.wants, want{at: tune.Ticks(i%4) * tune.Whole / 8})
			f.s.groups = append(f.s.groups, group{wants: []int{i}})
			f.time.anchors = append(f.time.anchors, anchor{group: i, pace: c.pace})
		}
		off, with := f.offset()
		if math.Abs(off-c.off) > 1e-9 || with != c.with {
			t.Errorf("%s: %g taken off, with the click %v; want %g, %v", c.why, off, with, c.off, c.with)
		}
	}
}
