package listen

import (
	"math"
	"testing"
)

// Partials count below 2500 Hz, not at it; the first always does.
func TestWhichPartialsCount(t *testing.T) {
	for _, c := range []struct {
		hz   float64
		most int
		want int
	}{{500, 8, 4}, {499, 8, 5}, {312.5, 8, 7}, {100, 8, 8}, {100, 1, 1}, {2500, 8, 1}, {4000, 8, 1}} {
		if got := partialsOf(c.hz, c.most); got != c.want {
			t.Errorf("%d partials of %g Hz count, %d at most; want %d", got, c.hz, c.most, c.want)
		}
	}
}

// A partial of a hundred-thousandth of full scale, −100 dB, still says something, a softer one nothing; a stretch with
// hardly any power has no tone at all.
func TestWhatIsTooSoftToSpeak(t *testing.T) {
	if !(tone{440, 1e-5}).speaks() || (tone{440, 0.9e-5}).speaks() {
		t.Error("tones speak from −100 dB on")
	}
	one := func(x float64) tone {
		return (&look{rate: 8000, windowed: []float64{x}, slope: []float64{0}, sum: 1}).tone(440)
	}
	if got := one(1e-12); got != (tone{440, 2e-12}) {
		t.Errorf("at the limit: %+v", got)
	}
	if got := one(0.9e-12); got != (tone{440, 0}) {
		t.Errorf("below it: %+v", got)
	}
}

// An octave is 1200 cents, to the bit; what is no frequency is near none.
func TestWithin(t *testing.T) {
	for _, c := range []struct {
		a, b, cents float64
		want        bool
	}{
		{880, 440, 1200, true}, {440, 880, 1200, true}, {880, 440, 1199, false}, {440, 440, 0, true},
		{0, 440, 1e9, false}, {-440, 440, 1e9, false}, {math.NaN(), 440, 1e9, false}, {0, 0, 1e9, false}, {440, 0, 1e9, false},
	} {
		if got := within(c.a, c.b, c.cents); got != c.want {
			t.Errorf("%g within %g cents of %g: %v", c.a, c.cents, c.b, got)
		}
	}
}

// A pitch is elected by more than half of the weight, within less than 15 cents of the middle, and up to 75 cents from
// the tab's.
func TestPitchIsElected(t *testing.T) {
	for _, c := range []struct {
		what     string
		votes    []vote
		cents    float64
		ok       bool
		partials int
		loud     float64
	}{
		{"nobody", nil, 0, false, 0, 0},
		{"half against half, 15 cents apart", []vote{{0, 1, 4}, {15, 1, 9}}, 0, false, 1, 4},
		{"the same, less than 15 apart", []vote{{0, 1, 4}, {14.5, 1, 9}}, 0, true, 2, 9},
		{"three against one", []vote{{15, 1, 9}, {0, 3, 4}}, 0, true, 1, 4},
		{"below as above", []vote{{0, 3, 4}, {-15, 1, 9}, {-14, 1, 2}}, 0, true, 2, 4},
		{"all on a pitch 75 cents off", []vote{{75, 1, 1}, {75, 1, 1}}, 75, true, 2, 1},
		{"and flat", []vote{{-75, 1, 1}}, -75, true, 1, 1},
		{"on another note", []vote{{75.5, 1, 1}}, 75.5, false, 1, 1},
	} {
		n := &note{}
		cents, ok := n.elect(c.votes)
		if cents != c.cents || ok != c.ok || n.partials != c.partials || n.loud != c.loud {
			t.Errorf("%s: %g cents, %v, by %d partials, %g loud; want %g, %v, %d, %g", c.what, cents, ok, n.partials, n.loud, c.cents, c.ok, c.partials, c.loud)
		}
	}
}

// A window just as long as there is time for is looked through; without time for any, a string can't be told from
// others. All partials of 440 Hz want the shortest window, 30 ms.
func TestTimeForAWindow(t *testing.T) {
	take := &Take{rate: 8000, inRate: 8000, x: make([]float64, 16000), n: 16000}
	for to, shared := range map[float64]bool{1: false, 0.99: true} {
		n := &note{want: &want{hz: 440}}
		m := &measurer{take: take, look: newLook(take.rate)}
		if _, ok := m.rough(n, 1, to, others{}); ok || n.shared != shared {
			t.Errorf("from 1 s to %g s: found in silence %v, shared %v; want %v", to, ok, n.shared, shared)
		}
	}
}

// A note is looked at from 40 ms after its pluck to 30 ms before the next, a short one from 15 to 10; at least 35 ms
// must be left.
func TestMiddleOfANote(t *testing.T) {
	for _, c := range []struct {
		at, until, from, end float64
		ok                   bool
	}{
		{1, 2, 1.04, 1.97, true},
		{0.01, 0.13, 0.05, 0.1, true}, // 50 ms are left, to the bit
		{0.01, 0.1299, 0.025, 0.1199, true},
		{0.0625, 0.1225, 0.0775, 0.1125, true}, // 35 ms, to the bit
		{0.0625, 0.1224, 0.0775, 0.1124, false},
	} {
		from, end, ok := (&note{at: c.at, until: c.until}).middle()
		if math.Abs(from-c.from) > 1e-9 || math.Abs(end-c.end) > 1e-9 || ok != c.ok {
			t.Errorf("from %g to %g s: %g to %g, %v; want %g to %g, %v", c.at, c.until, from, end, ok, c.from, c.end, c.ok)
		}
	}
}

// A steady sine has its frequency and its height, wherever its phase; silence has nothing near. A window's slope is what
// it changes by from sample to sample.
func TestToneOfASine(t *testing.T) {
	const rate = 8000.0
	for phase := 0.0; phase < 6; phase++ {
		x := make([]float64, 8000)
		for i := range x {
			x[i] = 0.5 * math.Sin(2*math.Pi*440*float64(i)/rate+phase)
		}
		l := newLook(rate)
		l.pointAt(&Take{rate: rate, inRate: rate, x: x, n: len(x)}, 0.5, 0.1)
		got, ok := l.near(443, 60)
		if !ok || math.Abs(got.hz-440) > 1e-4 || math.Abs(got.amplitude-0.5) > 1e-4 {
			t.Errorf("phase %g: %+v, %v", phase, got, ok)
		}
		if got := l.strength(440); math.Abs(got-0.5) > 1e-4 {
			t.Errorf("phase %g: strength %g", phase, got)
		}
		if got, ok := l.near(460, 60); ok {
			t.Errorf("phase %g: %+v is near 460 Hz", phase, got)
		}
	}
	l := newLook(rate)
	l.pointAt(&Take{rate: rate, inRate: rate, x: make([]float64, 8000), n: 8000}, 0.5, 0.1)
	if got, ok := l.near(440, 60); ok || got.amplitude != 0 {
		t.Errorf("in silence: %+v, %v", got, ok)
	}
	w := newWindow(100)
	for i := 1; i < 200; i++ {
		if d := (w.w[i+1] - w.w[i-1]) / 2; math.Abs(w.slope[i]-d) > 1e-5 {
			t.Errorf("slope at %d: %g, and the window changes by %g", i, w.slope[i], d)
			break
		}
	}
	if w.w[100] != 1 || math.Abs(w.w[0]) > 1e-12 || math.Abs(w.w[200]) > 1e-12 {
		t.Errorf("the window is %g in its middle, %g and %g at its ends", w.w[100], w.w[0], w.w[200])
	}
}
