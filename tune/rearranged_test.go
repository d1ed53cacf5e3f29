package tune

import (
	"math"
	"testing"
)

// Bars of four and three quarters at 60 and 120 a minute, which last 4, 1.5 and 1.5 s: the
// last two twice, then the first, take 3 + 3 + 4 s, each at its own tempo.
func TestRearranged(t *testing.T) {
	const quarter = Whole / 4
	tn := &Tune{Voices: []Voice{{ID: "1"}}}
	for i, quarters := range []Ticks{4, 3, 3} {
		b := Bar{Number: i + 1, Meter: Meter{Beats: 4, Unit: 4}, Len: quarters * quarter, Lines: [][]Event{nil}}
		switch i {
		case 0:
			b.Tempos = []Tempo{{Beat: quarter, PerMinute: 60_000}}
		case 1:
			b.Tempos = []Tempo{{Beat: quarter, PerMinute: 120_000}}
		}
		tn.Bars = append(tn.Bars, b)
	}
	p := Perform(tn)
	got := p.Rearranged(Span{1, 3, 0}, Span{1, 3, 0}, Span{2, 2, 0}, Span{0, 1, 0})
	want := []struct {
		bar     int
		seconds float64
	}{{1, 0}, {2, 1.5}, {1, 3}, {2, 4.5}, {0, 6}}
	if len(got.Passes) != len(want) {
		t.Fatalf("%d passes, want %d", len(got.Passes), len(want))
	}
	for i, w := range want {
		if s := got.Clock.Seconds(got.Passes[i].Start); got.Passes[i].BarIndex != w.bar || math.Abs(s-w.seconds) > 1e-9 {
			t.Errorf("pass %d is bar index %d at %g s, want %d at %g", i, got.Passes[i].BarIndex, s, w.bar, w.seconds)
		}
	}
	if s := got.Clock.Seconds(got.Clock.Len()); math.Abs(s-10) > 1e-9 {
		t.Errorf("it lasts %g s, want 10", s)
	}
	if at := got.Clock.At(3.5); at != 6*quarter+quarter {
		t.Errorf("at 3.5 s it is at %v", at)
	}
}
