package listen

import (
	"math"
	"slices"
	"testing"

	"lapwright/tab"
)

// pluckedAt is a score of plucks, each due at so many seconds, that were all heard at others.
func pluckedAt(due, at []float64) (*score, *aligned, []pluckHeard) {
	s, a := &score{}, &aligned{}
	var heard []pluckHeard
	for i, d := range due {
		s.groups = append(s.groups, group{due: d})
		a.onset = append(a.onset, i)
		heard = append(heard, pluckHeard{Onset: Onset{At: at[i]}})
	}
	return s, a, heard
}

// A stretch of even tempo ends where the take goes on at more than five times the written speed or at less than three
// twentieths of it, twice what counts as played in time, or goes back.
func TestTempoStretches(t *testing.T) {
	for _, c := range []struct {
		what    string
		due, at []float64
		split   int
	}{
		{"five times as fast", []float64{0, 5}, []float64{0, 1}, 0},
		{"faster", []float64{0, 5}, []float64{0, 0.9375}, 1},
		{"three twentieths of the speed", []float64{0, 3}, []float64{0, 20}, 0},
		{"slower: a pause", []float64{0, 3}, []float64{0, 20.125}, 1},
		{"as written", []float64{0, 3}, []float64{1, 4}, 0},
		{"back", []float64{0, 3}, []float64{4, 1}, 1},
	} {
		got := newTiming(pluckedAt(c.due, c.at)).anchors
		if got[0].stretch != 0 || got[1].stretch != c.split {
			t.Errorf("%s: stretches %d and %d, want 0 and %d", c.what, got[0].stretch, got[1].stretch, c.split)
		}
	}
}

// Two or three plucks say how fast they are from the first to the last, but nothing of a steady hand to be late against,
// which takes four; one says nothing.
func TestTempoOfFewPlucks(t *testing.T) {
	for _, c := range []struct {
		due, at []float64
		pace    float64
		smooth  bool
	}{
		{[]float64{3}, []float64{5}, 1, false},
		{[]float64{2, 4}, []float64{1, 4}, 1.5, false},
		{[]float64{1, 2, 5}, []float64{3, 5, 6}, 0.75, false},
		{[]float64{1, 2, 3, 5}, []float64{3, 5, 7, 11}, 2, true},
	} {
		for i, a := range newTiming(pluckedAt(c.due, c.at)).anchors {
			if math.Abs(a.pace-c.pace) > 1e-12 || math.Abs(a.smooth-c.at[i]) > 1e-12 || a.smoothOK != c.smooth {
				t.Errorf("plucks at %v due at %v: pluck %d: pace %g, steady at %g, %v; want %g, %g, %v", c.at, c.due, i, a.pace, a.smooth, a.smoothOK, c.pace, c.at[i], c.smooth)
			}
		}
	}
	if got := (&timing{}).pace(); got != 1 {
		t.Errorf("no plucks at all: pace %g, want that as written", got)
	}
}

// One late pluck of nine doesn't bend the tempo: all others are in time by it, and it is late by what it was.
func TestOneLatePluckStandsOut(t *testing.T) {
	due, at := make([]float64, 9), make([]float64, 9)
	for i := range due {
		due[i], at[i] = float64(i), 1+float64(i)/2
	}
	at[4] += 0.125
	for i, a := range newTiming(pluckedAt(due, at)).anchors {
		late := 0.0
		if i == 4 {
			late = 0.125
		}
		if math.Abs(a.at-a.smooth-late) > 1e-12 || math.Abs(a.pace-0.5) > 1e-12 {
			t.Errorf("pluck %d: %g late at pace %g, want %g at 0.5", i, a.at-a.smooth, a.pace, late)
		}
	}
}

// Eight plucks on either side say what the tempo is: a ninth changes nothing, to the bit.
func TestTempoReachesEightPlucks(t *testing.T) {
	fitted := func(from, to, i int) anchor {
		var due, at []float64
		for k := from; k < to; k++ {
			due, at = append(due, float64(k)), append(at, float64(k)+float64(k*k)/64+float64(k%3)/128) // slower and slower, uneven
		}
		return newTiming(pluckedAt(due, at)).anchors[i-from]
	}
	const middle = 12
	near, far := fitted(middle-8, middle+9, middle), fitted(0, 30, middle)
	if near.smooth != far.smooth || near.pace != far.pace || !near.smoothOK {
		t.Errorf("by eight on either side %g and pace %g, by all %g and %g", near.smooth, near.pace, far.smooth, far.pace)
	}
	if fewer := fitted(middle-7, middle+8, middle); fewer.smooth == far.smooth {
		t.Error("seven on either side say the same as eight")
	}
}

// Which plucks tell when a place is: that at or before it, and the next; after a jump, and where two were heard at one
// moment, the one before alone, at its pace; before the first that one, at its own.
func TestWhenPlacesAre(t *testing.T) {
	anchors := func(at float64, stretch int) []anchor {
		return []anchor{{group: 1, due: 2, at: 10, pace: 2}, {group: 3, due: 4, at: at, pace: 0.5, stretch: stretch}}
	}
	before, after := []int{-1, 0, 0, 1}, []int{0, 1, 1, -1}
	for _, c := range []struct {
		what      string
		anchors   []anchor
		group     int
		due, want float64
	}{
		{"between", anchors(13, 0), 2, 3, 11.5},
		{"at the next", anchors(13, 0), 1, 4, 13},
		{"beyond the next", anchors(13, 0), 1, 4.5, 15},
		{"after a jump", anchors(13, 1), 2, 3, 12},
		{"both at one moment", anchors(10, 0), 2, 3, 12},
		{"before the first", anchors(13, 0), 0, 1, 8},
		{"after the last", anchors(13, 0), 3, 6, 14},
	} {
		tm := &timing{anchors: c.anchors, before: before, after: after}
		if got, ok := tm.seconds(c.group, c.due); !ok || got != c.want {
			t.Errorf("%s: %g, %v; want %g", c.what, got, ok, c.want)
		}
	}
	if got, ok := (&timing{before: []int{-1}, after: []int{-1}}).seconds(0, 3); ok {
		t.Errorf("no pluck was heard, and second 3 is at %g", got)
	}
	s, a, heard := pluckedAt([]float64{0, 1, 2, 3, 4}, make([]float64, 5))
	for i := range heard {
		heard[i].At = float64(i)
	}
	a.onset = []int{-1, 1, -1, 3, -1} // of five plucks the second and the fourth were heard
	tm := newTiming(s, a, heard)
	if want := []int{-1, 0, 0, 1, 1}; !slices.Equal(tm.before, want) {
		t.Errorf("at or before the plucks: %v, want %v", tm.before, want)
	}
	if want := []int{0, 1, 1, -1, -1}; !slices.Equal(tm.after, want) {
		t.Errorf("after them: %v, want %v", tm.after, want)
	}
}

// A string is touched next by the first pluck on it while the note lasts, to a millionth of a second; what is plucked on
// others is listed up to the moment when the note is over.
func TestNextTouchOfAString(t *testing.T) {
	on := func(str int, due float64) want {
		return want{pluck: &tab.Pluck{String: str}, due: due, stays: 1, hz: 100 * float64(str)}
	}
	limit := 1 + 1e-6
	for _, c := range []struct {
		what string
		due  float64
		at   float64 // of the next on its string
	}{{"while it lasts", 0.5, 10.5}, {"when it is over", 1, 11}, {"a millionth later", limit, 0}, {"later", 1.5, 0}} {
		s := &score{wants: []want{on(1, 0), on(2, 0.25), on(1, c.due)}, groups: []group{{0, 0, 0, []int{0}, true}, {0.25, 0, 0, []int{1}, true}, {c.due, 0, 0, []int{2}, true}}}
		tm := &timing{anchors: []anchor{{at: 10, pace: 1}}, before: []int{0, 0, 0}, after: []int{-1, -1, -1}}
		if got := tm.nextTouch(s, &s.wants[0], 0); got != c.at {
			t.Errorf("%s: string 1 is touched at %g, want %g", c.what, got, c.at)
		}
	}
	alone := &score{wants: []want{on(1, 0), on(2, 0.5)}, groups: []group{{0, 0, 0, []int{0}, true}, {0.5, 0, 0, []int{1}, true}}}
	if got := (&timing{anchors: []anchor{{at: 10, pace: 1}}, before: []int{0, 0}, after: []int{-1, -1}}).nextTouch(alone, &alone.wants[0], 0); got != 0 {
		t.Errorf("a string that isn't played again is touched at %g", got)
	}
	s := &score{}
	a := &aligned{}
	tm := &timing{anchors: []anchor{{at: 10, pace: 1}}}
	for i, str := range []int{1, 2, 1, 3, 4, 5} {
		s.wants = append(s.wants, on(str, float64(i)))
		s.groups = append(s.groups, group{due: float64(i), wants: []int{i}})
		tm.before, tm.after = append(tm.before, 0), append(tm.after, -1)
		a.reach = append(a.reach, i != 4) // the take doesn't go to string 4
	}
	for until, want := range map[float64][]laterPluck{
		15.5: {{11, 200}, {13, 300}, {15, 500}}, 15: {{11, 200}, {13, 300}}, 13: {{11, 200}}, 11: nil,
	} {
		if got := tm.pluckedAfter(s, a, &note{want: &s.wants[0], until: until}, 0); !slices.Equal(got, want) {
			t.Errorf("until %g: %v, want %v", until, got, want)
		}
	}
}
