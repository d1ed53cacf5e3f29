package listen

import (
	"math"
	"slices"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// quarters is a tab of so many quarters of a second each.
func quarters(t *testing.T, n int) *tab.Tab {
	t.Helper()
	spots := make([]listentest.Spot, n)
	for i := range spots {
		spots[i] = listentest.Spot{Strings: []int{1}, Frets: []float64{float64(i % 5)}, Len: quarter}
	}
	return lay(rigtest.Builtin(t, "lap6-c6"), 60, spots)
}

// A round sounds its first place, to a millionth of a second, and not its last; between two as near the first counts.
func TestBoundsOfARound(t *testing.T) {
	from := 2.0
	c := &Click{Rounds: []Round{{At: 10, From: from, To: 6, Speed: 1}, {At: 14, From: from, To: 6, Speed: 1}}}
	if got, ok := c.sounded(from-1e-6, 10); !ok || math.Abs(got-10) > 1e-5 {
		t.Errorf("a millionth before it: %g, %v", got, ok)
	}
	if got, ok := c.sounded(from-2e-6, 10); ok {
		t.Errorf("before it: %g", got)
	}
	if got, ok := c.sounded(6, 10); ok {
		t.Errorf("its end: %g", got)
	}
	for near, want := range map[float64]float64{12.875: 11, 13: 11, 13.125: 15} {
		if got, _ := c.sounded(3, near); got != want {
			t.Errorf("second 3 near %g: %g, want %g", near, got, want)
		}
	}
}

// following is how a take of quarters, each so many seconds behind the click, follows it.
func following(t *testing.T, delay float64, behind ...float64) *follower {
	t.Helper()
	s := newScore(quarters(t, len(behind)), make([]float64, 6))
	tm := &timing{}
	for i, b := range behind {
		due := s.groups[i].due
		tm.anchors = append(tm.anchors, anchor{group: i, due: due, at: 100 + due + b, pace: 1, smooth: 99 + due, smoothOK: true})
	}
	return newFollower(&Click{Delay: delay, Rounds: []Round{{At: 100, To: math.Inf(1), Speed: 1}}}, s, tm)
}

// A pluck less than a quarter from the click was played along with it. Whoever played four or more so, and half of all,
// is told against it, by the device's delay or the middle of all; else against the hand's own tempo.
func TestWhoPlayedAlong(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		what    string
		delay   float64
		behind  []float64
		off     float64
		against Against
		late    []float64
	}{
		{"four", 0.25, []float64{0.25, 0.25, 0.5, 0}, 0.25, AgainstClick, []float64{0, 0, 0.25, -0.25}},
		{"three", 0.25, []float64{0.25, 0.25, 0.25}, 0.25, AgainstTempo, []float64{1.25, 1.25, 1.25}},
		{"a quarter late", 0.25, []float64{0.25, 0.25, 0.25, 0.25, 1.25}, 0.25, AgainstClick, []float64{0, 0, 0, 0, nan}},
		{"less than a quarter", 0.25, []float64{0.25, 0.25, 0.25, 0.25, 1.125}, 0.25, AgainstClick, []float64{0, 0, 0, 0, 0.875}},
		{"a quarter early", 0, []float64{0, 0, 0, 0, -1}, 0, AgainstClick, []float64{0, 0, 0, 0, nan}},
		{"half of them", 0, []float64{0, 0, 0, 0, 2, 2, 2, 2}, 0, AgainstClick, []float64{0, 0, 0, 0, nan, nan, nan, nan}},
		{"fewer", 0, []float64{0, 0, 0, 0, 2, 2, 2, 2, 2}, 0, AgainstTempo, []float64{1, 1, 1, 1, 3, 3, 3, 3, 3}},
		{"by the middle", nan, []float64{0.5, 0.5, 0.75, 0.25, 0.5}, 0.5, AgainstDifferences, []float64{0, 0, 0.25, -0.25, 0}},
	} {
		f := following(t, c.delay, c.behind...)
		off, _ := f.offset()
		var v Reviewed
		f.late(&v)
		if off != c.off || v.Against != c.against {
			t.Errorf("%s: %g taken off, against %s; want %g, %s", c.what, off, v.Against, c.off, c.against)
		}
		if known := c.against == AgainstClick; known && v.Delay != c.off || !known && !math.IsNaN(v.Delay) {
			t.Errorf("%s: delay %g", c.what, v.Delay)
		}
		if middle := c.against == AgainstDifferences; middle && v.TakenOff != c.off || !middle && !math.IsNaN(v.TakenOff) {
			t.Errorf("%s: taken off %g", c.what, v.TakenOff)
		}
		for i, want := range c.late {
			if got := f.time.anchors[i].late; got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
				t.Errorf("%s: pluck %d is %g late, want %g", c.what, i, got, want)
			}
		}
	}
}

// Clicks of a bar of four seconds, two bars counted in before it: those that may stand in the take, to 60 ms beyond its
// ends.
func TestWhenClicksMayStand(t *testing.T) {
	perf := quarters(t, 4).Performance()
	upTo := func(from, to float64) []float64 {
		var out []float64
		for at := from; at <= to; at++ {
			out = append(out, at)
		}
		return out
	}
	for _, c := range []struct {
		what                  string
		round                 Round
		off, seconds          float64
		first, last, fraction float64
	}{
		{"all, the last of the round not", Round{At: 10, To: 4, Speed: 1}, 0, 20, 2, 13, 0},
		{"the round a little longer", Round{At: 10, To: 3.5, Speed: 1}, 0, 20, 2, 13, 0},
		{"a round of three beats", Round{At: 10, To: 3, Speed: 1}, 0, 20, 2, 12, 0},
		{"from the second beat, counted in as long", Round{At: 10, From: 1, To: 4, Speed: 1}, 0, 20, 2, 12, 0},
		{"the first just before the take", Round{At: 8, To: 4, Speed: 1}, -clickAround, 20, 0, 11, -clickAround},
		{"a little earlier", Round{At: 8, To: 4, Speed: 1}, -0.0625, 20, 1, 11, -0.0625},
		{"the last just after the take", Round{At: 10, To: 4, Speed: 1}, clickAround, 13, 2, 13, clickAround},
		{"a little later", Round{At: 10, To: 4, Speed: 1}, 0.0625, 13, 2, 12, 0.0625},
	} {
		got := (&Click{Rounds: []Round{c.round}}).times(perf, c.off, c.seconds)
		var whole []float64 // those on a beat
		for _, at := range got {
			if b := at - c.fraction; math.Abs(b-math.Round(b)) < 1e-9 {
				whole = append(whole, math.Round(b))
			}
		}
		if want := upTo(c.first, c.last); !slices.Equal(whole, want) {
			t.Errorf("%s: clicks at %v, want %v", c.what, whole, want)
		}
	}
}

// An onset less than so far from a click may be one. Where the next comes before the click has rung on, it is kept and
// told by what sounds until then, if that is long enough; the others are told by what rings on, and where nothing rises
// in the whole take nothing is taken out.
func TestPassingClicks(t *testing.T) {
	const long, short = clickOver + riseLook, riseGap + riseLook/2
	take := &Take{rate: 8000, inRate: 8000, x: make([]float64, 32000), n: 32000}
	for _, c := range []struct {
		what     string
		onset    float64
		next     float64
		click    float64
		is, told bool // whether it may be a click that is kept; whether it is told anew, as silence
	}{
		{"on a click, the next soon", 1, 1.0625, 1, true, true},
		{"the click so far before", 1, 1.0625, 0.984375, true, true},
		{"farther before", 1, 1.0625, 0.98046875, false, false},
		{"so far after", 1, 1.0625, 1.015625, false, false},
		{"nearer", 1, 1.0625, 1.01171875, true, true},
		{"no time until the next", 1, 1.03125, 1, true, false},
		{"just not enough", 0, short, 0, true, false},
		{"just enough for it to ring on", 0, long, 0, false, true},
		{"ringing on", 1, 2, 1, false, true},
	} {
		heard := []pluckHeard{{Onset: Onset{At: c.onset}, rose: 7}, {Onset: Onset{At: c.next}, rose: 7}}
		got := take.passClicks(heard, []float64{c.click, 9}, 0.015625, 440)
		rose := 7.0
		if c.told {
			rose = 0
		}
		if c.told && !c.is {
			// It is on a click, and rises less than the others: it is one.
			if len(got) != 1 || got[0].At != c.next {
				t.Errorf("%s: kept %d, want the next alone", c.what, len(got))
			}
			continue
		}
		if len(got) != 2 || got[0].click != c.is || got[0].rose != rose {
			t.Errorf("%s: kept %d, a click %v, rose %g; want %v, %g", c.what, len(got), got[0].click, got[0].rose, c.is, rose)
		}
	}
	heard := []pluckHeard{{Onset: Onset{At: 1}, rose: 7}, {Onset: Onset{At: 2}, rose: 7}}
	if got := take.passClicks(heard, []float64{1, 2}, 0.015625, 440); len(got) != 2 {
		t.Errorf("in silence %d of 2 are kept", len(got))
	}
	heard = []pluckHeard{{Onset: Onset{At: 1}, rose: 7}, {Onset: Onset{At: 2}, rose: 7}}
	if got := take.passClicks(heard, []float64{1}, 0.015625, 440); len(got) != 1 || got[0].At != 2 || got[0].click {
		t.Errorf("a pluck after the last click: %d of 2 are kept, want it alone", len(got))
	}
}

// The rates that are heard, both ends included.
func TestRatesThatAreHeard(t *testing.T) {
	for rate, ok := range map[float64]bool{8000: true, 384000: true, 384001: false, 7999: false} {
		if _, err := NewEar(rate); (err == nil) != ok {
			t.Errorf("%g a second: %v", rate, err)
		}
	}
}

// Runs of three or more samples of one value at 99.5 % of the peak or above are clipped: at a peak of 200/256, from
// 199/256 on.
func TestFlatRunsAreClipped(t *testing.T) {
	for _, c := range []struct {
		what    string
		samples []float32
		want    int
	}{
		{"two", []float32{0.5, 0.5, 0}, 0},
		{"three", []float32{0, 0.5, 0.5, 0.5, 0}, 3},
		{"to the end", []float32{0, -0.5, -0.5, -0.5}, 3},
		{"silence", make([]float32, 9), 0},
		{"a little below the peak", []float32{200.0 / 256, 0, 199.0 / 256, 199.0 / 256, 199.0 / 256, 0}, 3},
		{"farther below", []float32{200.0 / 256, 0, 198.0 / 256, 198.0 / 256, 198.0 / 256, 0}, 0},
	} {
		if got := hear(t, c.samples, 8000).clipped; got != c.want {
			t.Errorf("%s: %d, want %d", c.what, got, c.want)
		}
	}
}

// At the slowest rate every sample is kept as it came.
func TestSlowestRateKeepsAll(t *testing.T) {
	if got := hear(t, []float32{0.5, -0.25, 0.125}, 8000).x; !slices.Equal(got, []float64{0.5, -0.25, 0.125}) {
		t.Errorf("%v", got)
	}
}

// Half an hour is heard and no sample more.
func TestTheLongestTake(t *testing.T) {
	e, err := NewEar(8000)
	if err != nil {
		t.Fatal(err)
	}
	full := MostSeconds * 8000
	e.take.n = full - 2
	for _, c := range []struct{ come, heard int }{{1, full - 1}, {1, full}, {3, full}} {
		e.Hear(make([]float32, c.come))
		if e.take.n != c.heard {
			t.Errorf("%d more: %d samples, want %d", c.come, e.take.n, c.heard)
		}
	}
	if got := e.Take().Seconds(); got != MostSeconds {
		t.Errorf("%g seconds", got)
	}
}

// What a tab asks for: strokes of bars that are there, plucks of strings that are there, no chops; a tie lengthens the
// note of its string, be it the very first.
func TestWhatATabAsksFor(t *testing.T) {
	tb := quarters(t, 6)
	tb.Strokes[1].Plucks[0].Attack = tab.Tied
	tb.Strokes[2].Plucks[0].Attack = tab.Chopped
	tb.Strokes[3].Plucks[0].String = 6
	tb.Strokes[4].Plucks[0].String = 7
	stray := tb.Strokes[5]
	stray.BarIndex = len(tb.Tune.Bars)
	tb.Strokes = append(tb.Strokes, stray)
	stray.BarIndex = -1
	tb.Strokes = append(tb.Strokes, stray)
	s := newScore(tb, make([]float64, 6))
	var strings []int
	for _, w := range s.wants {
		strings = append(strings, w.pluck.String)
	}
	if !slices.Equal(strings, []int{1, 6, 1}) || len(s.groups) != 3 {
		t.Fatalf("strings %v in %d groups, want 1, 6 and 1", strings, len(s.groups))
	}
	if s.wants[0].len != 2*quarter || s.wants[1].len != quarter || s.end != 6 {
		t.Errorf("lengths %d and %d, the end at %g; want a half, a quarter, 6", s.wants[0].len, s.wants[1].len, s.end)
	}
}

// How long notes stay: what is stopped until the steel moves, an open string until it is played again, a damped one for
// its length, all for three seconds at most or what is written, if that is longer.
func TestHowLongNotesStay(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	spot := func(str int, fret float64, length tune.Ticks) listentest.Spot {
		return listentest.Spot{Strings: []int{str}, Frets: []float64{fret}, Len: length}
	}
	tb := lay(r, 60, []listentest.Spot{
		spot(1, 5, quarter), spot(2, 5, quarter), spot(3, 7, quarter), spot(1, 7, quarter), // the steel moves at 2 s
		spot(1, 0, quarter), spot(2, 0, quarter), spot(1, 0, 2*quarter), // open strings
		spot(4, 0, 4*quarter), spot(3, 0, quarter), spot(2, 3, quarter), // and the steel is laid on while one rings
	})
	tb.Strokes[5].Plucks[0].Damp = true
	s := newScore(tb, make([]float64, 6))
	for i, want := range []float64{2, 1, 2, 1, 2, 1, 3, 4, 3, 3} {
		if got := s.wants[i].stays; got != want {
			t.Errorf("note %d, string %d fret %g, stays %g s, want %g", i, s.wants[i].pluck.String, s.wants[i].pluck.Fret, got, want)
		}
	}
}
