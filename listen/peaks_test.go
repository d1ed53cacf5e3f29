package listen

import (
	"math"
	"slices"
	"testing"
)

// Of a hundred values a second, a peak is the highest of four on either side and stands above the mean of 12 before and
// 6 after; of several as high the first counts.
func TestPeaksOfTheFlux(t *testing.T) {
	flux := func(at ...int) []float64 {
		out := make([]float64, 60)
		for _, i := range at {
			out[i] = 19
		}
		return out
	}
	uneven := flux(20, 24)
	uneven[24] = 20
	first := flux(0)
	for _, c := range []struct {
		what string
		flux []float64
		want []peak
	}{
		{"nothing", make([]float64, 60), nil},
		{"one", flux(20), []peak{{20, 18}}},                 // the mean of 19 values
		{"two 40 ms apart", flux(20, 24), []peak{{20, 17}}}, // both in the mean
		{"two 50 ms apart", flux(20, 25), []peak{{20, 17}, {25, 17}}},
		{"two 70 ms apart", flux(20, 27), []peak{{20, 18}, {27, 17}}}, // 6 after are in the mean, 12 before
		{"two 120 ms apart", flux(20, 32), []peak{{20, 18}, {32, 17}}},
		{"two 130 ms apart", flux(20, 33), []peak{{20, 18}, {33, 18}}},
		{"the second higher", uneven, []peak{{24, 20 - 39.0/19}}},
		{"at the start", first, []peak{{0, 19 - 19.0/7}}},
		{"at the end", flux(59), []peak{{59, 19 - 19.0/13}}},
		{"all even", slices.Repeat([]float64{4}, 60), nil},
	} {
		got := fluxPeaks(c.flux, 100)
		if !slices.EqualFunc(got, c.want, func(a, b peak) bool { return a.i == b.i && math.Abs(a.height-b.height) < 1e-9 }) {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}

// Peaks stand out from 16 % of the clear ones on; those are at least half as high as what a twentieth surpasses, and
// their median has the height 1.
func TestPeaksThatStandOut(t *testing.T) {
	if got := clearPeaks(nil); got != nil {
		t.Errorf("of no peaks stand out %v", got)
	}
	got := clearPeaks([]peak{{3, 3.5}, {5, 25}, {9, 4}})
	if want := []peak{{5, 1}, {9, 0.16}}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	// 50 is half of 100 and so a clear one: the median of 50, 80 and 100 is 80.
	got = clearPeaks([]peak{{1, 100}, {2, 50}, {3, 80}, {4, 40}})
	if want := []peak{{1, 1.25}, {2, 0.625}, {3, 1}, {4, 0.5}}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// Where nothing rises, an onset stays where it was taken to be.
func TestNoRiseInSilence(t *testing.T) {
	take := &Take{rate: 8000, inRate: 8000, x: make([]float64, 8000), n: 8000}
	if got := take.rise(0.5); got != 0.5 {
		t.Errorf("moved to %g", got)
	}
}

// yinOf is a difference function of 1 everywhere but at some lags, at 8000 samples a second.
func yinOf(dips map[int]float64) *yin {
	y := newYin(8000)
	for i := range y.diff {
		y.diff[i] = 1
	}
	for lag, v := range dips {
		y.diff[lag] = v
	}
	return y
}

// The transform holds what is compared and no more than twice that: 746 samples and 278 lags are 1024 at 16,578 samples
// a second.
func TestSizeOfTheTransform(t *testing.T) {
	for rate, want := range map[float64]int{16578: 1024, 16600: 2048} {
		y := newYin(rate)
		if got := y.fft.Len(); got != want {
			t.Errorf("%g a second, %d samples and %d lags: %d, want %d", rate, y.width, y.lags, got, want)
		}
	}
	take := hear(t, series(16578, 0.3, 4, func(float64) float64 { return 220 }), 16578)
	if got := newYin(16578).candidates(take, 0.15); len(got) == 0 || math.Abs(got[0].hz-220) > 1 {
		t.Errorf("220 Hz in a transform just as long as what is compared: %v", got)
	}
}

// A mean square of −80 dB still sounds; the difference function is put over its running mean (A. de Cheveigné and H.
// Kawahara, YIN, JASA 111(4), 2002, eq. 8), by hand: 2, 4, 3 over the means 2, 3, 3.
func TestDifferenceOverItsMean(t *testing.T) {
	y := newYin(8000)
	limit := silentPower * float64(y.width)
	if y.silent(limit) || !y.silent(limit*0.99) {
		t.Error("a stretch sounds from −80 dB on")
	}
	for _, c := range []struct{ diff, want []float64 }{
		{[]float64{9, 2, 4, 3}, []float64{1, 1, 4.0 / 3, 1}},
		{[]float64{9, 0, 0, 6}, []float64{1, 1, 1, 3}}, // nothing differs at first
	} {
		got := slices.Clone(c.diff)
		(&yin{lags: len(got), diff: got}).overMean()
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.diff, got, c.want)
		}
	}
}

// Each dip has the chance of all thresholds for which it is the first below; the deepest has what little there is for
// those below all, the first of two as deep. Of a flat floor the last lag counts.
func TestDips(t *testing.T) {
	for _, c := range []struct {
		what string
		dips map[int]float64
		hz   []float64
	}{
		{"none", nil, nil},
		{"one", map[int]float64{20: 0.05}, []float64{400}},
		{"two, the later deeper", map[int]float64{20: 0.5, 40: 0.05}, []float64{400, 200}},
		{"two as deep", map[int]float64{20: 0.5, 40: 0.5}, []float64{400}},
		{"the later higher", map[int]float64{20: 0.25, 40: 0.5}, []float64{400}},
		{"a flat floor", map[int]float64{20: 0.25, 21: 0.25}, []float64{8000 / 20.5}},
		{"1600 Hz", map[int]float64{5: 0.25}, []float64{1600}},
		{"higher", map[int]float64{4: 0.25}, nil},
		{"the longest lag", map[int]float64{133: 0.25}, []float64{8000.0 / 133}},
		{"above every threshold", map[int]float64{20: 0.999}, []float64{400}},
	} {
		got := yinOf(c.dips).dips()
		var hz []float64
		for _, d := range got {
			hz = append(hz, d.hz)
		}
		if !slices.EqualFunc(hz, c.hz, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("%s: %v, want %v Hz", c.what, got, c.hz)
		}
	}
	// Thresholds from a half up, whose chance is next to none, and a hundredth of the rest.
	y := yinOf(map[int]float64{20: 0.5, 40: 0.5})
	above, below := 0.0, 0.0
	for i, p := range y.threshold {
		if i >= 50 {
			above += p
		} else {
			below += p
		}
	}
	if got := y.dips(); len(got) != 1 || math.Abs(got[0].p-above-0.01*below) > 1e-12 {
		t.Errorf("%v, want the chance %g", got, above+0.01*below)
	}
}

// The parabola through three points: its dip lies between by half the difference of the sides over the bend, at most
// half a lag; a straight line has none.
func TestDipBetweenLags(t *testing.T) {
	for _, c := range []struct{ a, b, c, lag float64 }{
		{1, 0, 1, 20}, {3, 0, 1, 20.25}, {1, 0, 3, 19.75}, {9, 1, 1, 20.5}, {3, 2, 1, 20}, {1, 1, 1, 20}, {0, 1, 0, 20},
	} {
		if got := yinOf(map[int]float64{19: c.a, 20: c.b, 21: c.c}).between(20); got != 8000/c.lag {
			t.Errorf("%g, %g, %g: lag %g, want %g", c.a, c.b, c.c, 8000/got, c.lag)
		}
	}
}

// A pitch may move by a semitone in 5 ms, up or down, and is followed; the range is from 60 Hz to a little over 1600.
func TestPitchMovesByASemitoneAFrame(t *testing.T) {
	for _, way := range []int{5, -5} {
		var seen [][]candidate
		var want []state
		for i := range 12 {
			s := state{100 + way*i, true}
			seen, want = append(seen, []candidate{{s.hz(), 1}}), append(want, s)
		}
		if got := decode(seen); !slices.Equal(got, want) {
			t.Errorf("%d states a frame: %v, want %v", way, got, want)
		}
	}
	for hz, voiced := range map[float64]bool{60: true, 58: false, 1600: true, state{285, true}.hz(): false} {
		got := decode([][]candidate{{{hz, 1}}, {{hz, 1}}})
		if got[1].voiced != voiced {
			t.Errorf("%g Hz is followed: %v, want %v", hz, got[1].voiced, voiced)
		}
	}
}
