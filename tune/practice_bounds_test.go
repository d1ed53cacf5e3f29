package tune

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// evenBars makes a tune of bars of 4/4 with so many quarters each, numbered, that a
// quarter note fills four to the whole at 60 a minute.
func evenBars(quarters ...Ticks) *Tune {
	tn := &Tune{Voices: []Voice{{ID: "1"}}}
	for i, n := range quarters {
		b := Bar{Meter: Meter{Beats: 4, Unit: 4}, Len: n * quarter, Lines: [][]Event{nil}}
		if i == 0 {
			b.Tempos = []Tempo{{Beat: quarter, PerMinute: 60_000}}
		}
		tn.Bars = append(tn.Bars, b)
	}
	Number(tn.Bars)
	return tn
}

// In turns, only a pickup goes with the bar after it; a pickup that the repeat comes back to
// is a bar like any other.
func TestTurnsAndPickups(t *testing.T) {
	told := func(tn *Tune, o Practice) string {
		p, err := Perform(tn).Practised(o)
		if err != nil {
			return err.Error()
		}
		var got []string
		for k, pass := range p.Passes {
			got = append(got, fmt.Sprint(pass.BarIndex)+map[bool]string{true: "*"}[p.Silent[k]])
		}
		return strings.Join(got, " ")
	}
	if got := told(evenBars(4, 4), Practice{Turn: 1}); got != "0 0* 1 1*" {
		t.Errorf("without a pickup: %s", got)
	}
	if got := told(evenBars(1, 4, 4), Practice{Turn: 1}); got != "0 1 0* 1* 2 2*" {
		t.Errorf("with one: %s", got)
	}
	again := evenBars(1, 4)
	again.Bars[1].Right.Repeat = 1
	if got := told(again, Practice{Turn: 1}); got != "0 1 0* 1* 0 0* 1 1*" {
		t.Errorf("with one that is repeated: %s", got)
	}
	split := evenBars(4, 3, 1, 4)
	split.Bars[1].Right.Repeat = 1
	Number(split.Bars)
	if got := told(split, Practice{FirstBar: 3, Turn: 1}); got != "3 3*" {
		t.Errorf("from the third bar: %s", got)
	}
	// A bar split by the repeat is one bar with its second half.
	if p, err := Perform(split).Practised(Practice{FirstBar: 2, LastBar: 2}); err != nil || len(p.Passes) != 1 {
		t.Errorf("bar 2: %v, %v", p, err)
	}
}

// As much may be practised as a piece may have bars, each round and its answer counted.
func TestLongPractice(t *testing.T) {
	tn := evenBars(4)
	tn.Bars[0].Right.Repeat = MaxRepeats
	p := Perform(tn)
	if len(p.Passes) != MaxRepeats+1 {
		t.Fatalf("%d passes", len(p.Passes))
	}
	long := *p
	long.Passes = nil
	for k := range MaxPasses / 2 / MaxTimes {
		long.Passes = append(long.Passes, Pass{0, Ticks(k) * Whole})
	}
	if _, err := long.Practised(Practice{Times: MaxTimes}); err != nil {
		t.Errorf("%d bars %d times: %v", len(long.Passes), MaxTimes, err)
	}
	long.Passes = append(long.Passes, Pass{0, Ticks(len(long.Passes)) * Whole})
	if _, err := long.Practised(Practice{Times: MaxTimes}); err == nil {
		t.Errorf("%d bars %d times are taken", len(long.Passes), MaxTimes)
	}
	if _, err := long.Practised(Practice{Times: MaxTimes - 1}); err != nil {
		t.Errorf("%d bars %d times: %v", len(long.Passes), MaxTimes-1, err)
	}
}

// How far into a bar by its meter one begins: a pickup at its end, a later one that is
// numbered as such too, a short last bar at its start, and the second half of a bar
// that a repeat parts after the first.
func TestWithin(t *testing.T) {
	tn := evenBars(1, 4, 3, 1, 4, 3, 2)
	tn.Bars[2].Right.Repeat = 1
	Number(tn.Bars)
	tn.Bars[6].Number = 0 // after an ending, as a second strain's pickup
	for bar, want := range []Ticks{3, 0, 0, 3, 0, 0, 2} {
		if got := tn.Within(bar); got != want*quarter {
			t.Errorf("bar at %d begins %s into one, want %d/4", bar, got, want)
		}
	}
	if got := evenBars(4, 4).Within(0); got != 0 {
		t.Errorf("a full first bar begins at %s", got)
	}
	if got := evenBars(5).Within(0); got != 0 {
		t.Errorf("a first bar that is too long begins at %s", got)
	}
}

// A pickup is bar 0 and shares its number with none, even where a repeat and a bar of the rest of
// its length follow.
func TestPickupIsNoHalf(t *testing.T) {
	tn := evenBars(1, 3, 4)
	tn.Bars[0].Right.Repeat = 1
	Number(tn.Bars)
	if got := [3]int{tn.Bars[0].Number, tn.Bars[1].Number, tn.Bars[2].Number}; got != [3]int{0, 1, 2} {
		t.Errorf("numbered %v", got)
	}
}

// Eighths swing where quarters or halves are counted: not in 6/8, nor in free meter.
func TestSwingMeters(t *testing.T) {
	for m, want := range map[[2]int]bool{{4, 4}: true, {3, 4}: true, {6, 4}: true, {2, 2}: true, {3, 2}: true, {6, 8}: false, {3, 8}: false, {8, 8}: false, {0, 0}: false} {
		tn := evenBars(4)
		tn.Bars[0].Meter, tn.Swing = Meter{Beats: m[0], Unit: m[1]}, TripletSwing
		if m[0] == 0 {
			tn.Bars[0].Tempos = nil
		}
		if got := Perform(tn).Clock.Swung(Whole/8) != Whole/8; got != want {
			t.Errorf("%d/%d swings: %v", m[0], m[1], got)
		}
	}
}

// A loop of a swung tune swings as it did, to its last quarter: eighths are two thirds of
// a second and one.
func TestRearrangedSwing(t *testing.T) {
	tn := evenBars(4, 4, 4)
	tn.Swing = TripletSwing
	loop := Perform(tn).Rearranged(Span{1, 2, 0}, Span{1, 2, 0})
	for k := range Ticks(8) {
		for at, want := range map[Ticks]float64{k * quarter: float64(k), k*quarter + quarter/2: float64(k) + 2.0/3} {
			if got := loop.Clock.Seconds(at); math.Abs(got-want) > 1e-6 {
				t.Errorf("%s comes at %g s, want %g", at, got, want)
			}
		}
	}
	if got := loop.Clock.Seconds(8*quarter + quarter/2); math.Abs(got-8.5) > 1e-9 {
		t.Errorf("past the end eighths come at %g s", got)
	}
}

// How long a stretch of a bar lasts the first time that it sounds: at 60 quarters a minute
// a second each, half of that from the third bar on, swung or not.
func TestPerformanceSeconds(t *testing.T) {
	tn := evenBars(4, 4, 4)
	tn.Bars[2].Tempos = []Tempo{{Beat: quarter, PerMinute: 120_000}, {At: quarter, PerMinute: 90_000}, {At: quarter, Beat: quarter}}
	tn.Bars[2].Right.Repeat = 1
	tn.Swing = TripletSwing
	p := Perform(tn)
	for _, c := range []struct {
		bar        int
		at, length Ticks
		want       float64
	}{{0, 0, quarter, 1}, {0, quarter / 2, quarter / 2, 0.5}, {1, 0, Whole, 4}, {1, 3 * quarter, 2 * quarter, 1.5}, {2, 0, Whole, 2}, {2, 2 * quarter, quarter, 0.5}} {
		if got := p.Seconds(c.bar, c.at, c.length); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s from %s of bar %d last %g s, want %g", c.length, c.at, c.bar, got, c.want)
		}
	}
}

// Graces take the longest of 1/16, 1/32 … with which the note keeps half its length; of a
// note so short that no value does, half of it in equal parts.
func TestGraceTimes(t *testing.T) {
	grain := Whole >> MaxLog2
	for _, c := range []struct {
		graces int
		length Ticks
		slash  bool
		want   Ticks
	}{
		{0, quarter, false, 0}, {1, quarter, false, Whole / 16}, {2, quarter, false, Whole / 16}, {3, quarter, false, Whole / 32},
		{1, quarter, true, Whole / 32}, {1, 8 * grain, false, 4 * grain}, {2, 4 * grain, false, grain}, {1, grain, false, grain / 2}, {3, 2 * grain, false, grain / 3}, {5, grain, true, grain / 10},
	} {
		e := &Event{Len: c.length, Graces: make([]Grace, c.graces)}
		for i := range e.Graces {
			e.Graces[i].Slash = c.slash
		}
		if got := GraceTime(e); got != c.want {
			t.Errorf("%d graces before %s take %s each, want %s", c.graces, c.length, got, c.want)
		}
		if e.Kind = Rest; GraceTime(e) != 0 {
			t.Errorf("graces before a rest take time")
		}
	}
}

// The next bar begins where a sign stands at the end of one: a jump to a segno at the end
// of bar 1 plays on from bar 2.
func TestSignAtTheEnd(t *testing.T) {
	for at, want := range map[Ticks]string{0: "012 012", Whole: "012 12"} {
		tn := evenBars(4, 4, 4)
		tn.Bars[0].Signs = []Sign{{Kind: Segno, At: at}}
		tn.Bars[2].Signs = []Sign{{Kind: DalSegno, At: Whole}}
		got := ""
		for _, p := range Perform(tn).Passes {
			got += fmt.Sprint(p.BarIndex)
		}
		if got != strings.ReplaceAll(want, " ", "") {
			t.Errorf("a segno at %s: %s, want %s", at, got, want)
		}
	}
}
