package yin

import (
	"math"
	"slices"
	"testing"
)

// tone is so many seconds of a harmonic tone, its partials falling by 1/n.
func tone(rate, seconds, hz float64) []float64 {
	out := make([]float64, int(rate*seconds))
	for i := range out {
		for n := 1.0; n <= 4; n++ {
			out[i] += 0.2 / n * math.Sin(2*math.Pi*n*hz*float64(i)/rate+n)
		}
	}
	return out
}

// A tone's likeliest candidate is its pitch, within 20 cents, wherever it is looked at; beyond a recording's ends there is
// silence, which has none.
func TestCandidatesOfATone(t *testing.T) {
	const rate = 8000.0
	for _, hz := range []float64{65, 98, 220, 440, 987} {
		x := tone(rate, 0.5, hz)
		for at := 0; at <= len(x); at += 100 {
			got := New(rate).Candidates(x, at)
			inside := at > 250 && at < len(x)-250
			best := 0
			for i, c := range got {
				if c.Chance > got[best].Chance {
					best = i
				}
			}
			if inside && (len(got) == 0 || got[best].Chance < 0.9 || math.Abs(got[best].Hz/hz-1) > 0.012) {
				t.Errorf("%g Hz at sample %d: %v", hz, at, got)
			}
		}
	}
	for at, x := range map[int][]float64{2000: make([]float64, 4000), -500: tone(rate, 0.5, 220), 4500: tone(rate, 0.5, 220), 0: nil} {
		if got := New(rate).Candidates(x, at); got != nil {
			t.Errorf("silence at %d: %v", at, got)
		}
	}
	if y := New(rate); y.Rate() != rate || y.Span() != 360+135 {
		t.Errorf("rate %g, span %d; want 8000 and 45 ms and the period of 60 Hz, 360 and 135 samples", y.Rate(), y.Span())
	}
}

// The difference function is what it says, Σ(x_j − x_{j+τ})² over its running mean, summed here one by one: in the middle
// of a tone that swells and at both of its ends.
func TestDifferenceFunction(t *testing.T) {
	x := tone(8000, 0.3, 150)
	for i := range x {
		x[i] *= 0.1 + float64(i)/float64(len(x))
	}
	y := New(8000)
	for _, at := range []int{y.Span() / 2, 10, 1200, len(x) - 10} {
		if y.Candidates(x, at) == nil {
			t.Errorf("at %d: no candidates", at)
		}
		sample := func(i int) float64 {
			if i += at - y.Span()/2; i < 0 || i >= len(x) {
				return 0
			}
			return x[i]
		}
		running := 0.0
		for lag := 1; lag < y.lags; lag++ {
			d := 0.0
			for j := range y.width {
				d += (sample(j) - sample(j+lag)) * (sample(j) - sample(j+lag))
			}
			running += d
			if want := d * float64(lag) / running; math.Abs(y.diff[lag]-want) > 1e-9 {
				t.Errorf("at %d, lag %d: %g, want %g", at, lag, y.diff[lag], want)
				break
			}
		}
	}
}

// The thresholds are spread as Beta(2, 18): all of them are 1, the mean is 0.1 and the variance 2·18/(20²·21), 0.0043.
func TestThresholds(t *testing.T) {
	y := New(8000)
	all, mean, square := 0.0, 0.0, 0.0
	for i, p := range y.threshold {
		at := (float64(i) + 0.5) / 100
		all += p
		mean += p * at
		square += p * at * at
	}
	if math.Abs(all-1) > 1e-12 || math.Abs(mean-0.1) > 1e-3 || math.Abs(square-mean*mean-36.0/8400) > 1e-4 {
		t.Errorf("sum %g, mean %g, variance %g", all, mean, square-mean*mean)
	}
}

// The chances of all moves are 1; to stay where it is has a sixth, and each step farther a thirty-sixth less. Of two ways
// as likely the one from below is taken.
func TestMovesOfALine(t *testing.T) {
	all := 0.0
	for i, m := range moves() {
		all += math.Exp(m)
		if want := float64(6-max(i-5, 5-i)) / 36; math.Abs(math.Exp(m)-want) > 1e-12 {
			t.Errorf("move %d: %g, want %g", i-5, math.Exp(m), want)
		}
	}
	if math.Abs(all-1) > 1e-12 {
		t.Errorf("all moves: %g", all)
	}
	for _, c := range []struct {
		before []float64
		s      int
		best   float64
		from   int
	}{
		{[]float64{0, 0, 0}, 1, 6.0 / 36, 0}, {[]float64{5, 0, 5}, 1, math.Exp(5) * 5 / 36, -1}, {[]float64{0, 0, 5}, 0, math.Exp(5) * 4 / 36, 2},
		{[]float64{0, 0, 1}, 1, math.E * 5 / 36, 1}, {[]float64{9, 0, 0, 0, 0, 0, 0}, 6, 6.0 / 36, 0}, {[]float64{0, 0, 0, 0, 0, 0, 9}, 0, 6.0 / 36, 0},
	} {
		if best, from := comeTo(c.s, c.before, moves()); math.Abs(math.Exp(best)/c.best-1) > 1e-12 || from != c.from {
			t.Errorf("to %d of %v: %g from %d, want %g from %d", c.s, c.before, math.Exp(best), from, c.best, c.from)
		}
	}
}

// A line is voiced while it has candidates and unvoiced where it has none; a leap of an octave for one moment is none of
// its notes.
func TestLikeliestWay(t *testing.T) {
	at := func(step int) []Candidate { return []Candidate{{State{Step: step}.Hz(), 0.9}} }
	long := func(c []Candidate) [][]Candidate { return slices.Repeat([][]Candidate{c}, 12) }
	for _, c := range []struct {
		what   string
		seen   [][]Candidate
		step   int
		voiced int // moments
	}{
		{"a steady note", long(at(100)), 100, 12},
		{"nothing", long(nil), -1, 0},
		{"a note and nothing", slices.Concat(long(at(100)), long(nil)), 100, 12},
		{"nothing and a note", slices.Concat(long(nil), long(at(100))), 100, 12},
		{"a moment missing", slices.Concat(long(at(100)), [][]Candidate{nil}, long(at(100))), 100, 24},
		{"an octave for a moment", slices.Concat(long(at(100)), [][]Candidate{at(160)}, long(at(100))), 100, 24},
		{"the lowest", long(at(0)), 0, 12},
		{"the highest", long(at(284)), 284, 12},
		{"two, one likelier", long([]Candidate{{State{Step: 100}.Hz(), 0.5}, {State{Step: 160}.Hz(), 0.3}}), 100, 12},
		{"an octave for a moment, for sure", slices.Concat(long(at(100)), [][]Candidate{{{State{Step: 160}.Hz(), 1}}}, long(at(100))), 100, 25},
		{"a faint one for a moment", slices.Concat(long(nil), [][]Candidate{{{State{Step: 100}.Hz(), 0.02}}}, long(nil)), -1, 0},
		{"one that leads on", slices.Concat(long(at(100)), long([]Candidate{{State{Step: 100}.Hz(), 0.4}, {State{Step: 160}.Hz(), 0.5}})), 100, 24},
	} {
		voiced := 0
		for i, s := range Likeliest(c.seen) {
			if s.Voiced {
				voiced++
				if s.Step != c.step {
					t.Errorf("%s: moment %d has step %d, want %d", c.what, i, s.Step, c.step)
				}
			}
		}
		if voiced != c.voiced {
			t.Errorf("%s: %d of %d moments voiced, want %d", c.what, voiced, len(c.seen), c.voiced)
		}
	}
	if got := Likeliest(nil); len(got) != 0 {
		t.Errorf("no moments: %v", got)
	}
}

// yinOf is a difference function of 1 everywhere but at some lags, at 8000 samples a second.
func yinOf(dips map[int]float64) *Yin {
	y := New(8000)
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
		y := New(rate)
		if got := y.fft.Len(); got != want {
			t.Errorf("%g a second, %d samples and %d lags: %d, want %d", rate, y.width, y.lags, got, want)
		}
	}
	got := New(16578).Candidates(tone(16578, 0.3, 220), 16578*15/100)
	if len(got) == 0 || math.Abs(got[0].Hz-220) > 1 {
		t.Errorf("220 Hz in a transform just as long as what is compared: %v", got)
	}
}

// A mean square of −80 dB still sounds; the difference function is put over its running mean (A. de Cheveigné and H.
// Kawahara, YIN, JASA 111(4), 2002, eq. 8), by hand: 2, 4, 3 over the means 2, 3, 3.
func TestDifferenceOverItsMean(t *testing.T) {
	y := New(8000)
	limit := silentPower * float64(y.width)
	if y.silent(limit) || !y.silent(limit*0.99) {
		t.Error("a stretch sounds from −80 dB on")
	}
	for _, c := range []struct{ diff, want []float64 }{
		{[]float64{9, 2, 4, 3}, []float64{1, 1, 4.0 / 3, 1}},
		{[]float64{9, 0, 0, 6}, []float64{1, 1, 1, 3}}, // nothing differs at first
	} {
		got := slices.Clone(c.diff)
		(&Yin{lags: len(got), diff: got}).overMean()
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
		{"rising from above the range", map[int]float64{4: 0.125, 5: 0.25, 6: 0.5}, nil},
		{"above every threshold", map[int]float64{20: 0.999}, []float64{400}},
	} {
		got := yinOf(c.dips).dips()
		var hz []float64
		for _, d := range got {
			hz = append(hz, d.Hz)
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
	if got := y.dips(); len(got) != 1 || math.Abs(got[0].Chance-above-0.01*below) > 1e-12 {
		t.Errorf("%v, want the chance %g", got, above+0.01*below)
	}
	// Deeper, but not by a whole threshold.
	if got := yinOf(map[int]float64{20: 0.5, 40: 0.496}).dips(); len(got) != 2 || math.Abs(got[0].Chance-above) > 1e-12 || math.Abs(got[1].Chance-0.01*below) > 1e-12 {
		t.Errorf("%v, want the chances %g and %g", got, above, 0.01*below)
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
		var seen [][]Candidate
		var want []State
		for i := range 12 {
			s := State{100 + way*i, true}
			seen, want = append(seen, []Candidate{{s.Hz(), 1}}), append(want, s)
		}
		if got := Likeliest(seen); !slices.Equal(got, want) {
			t.Errorf("%d states a frame: %v, want %v", way, got, want)
		}
	}
	for hz, voiced := range map[float64]bool{60: true, 58: false, 1600: true, State{285, true}.Hz(): false} {
		got := Likeliest([][]Candidate{{{hz, 1}}, {{hz, 1}}})
		if got[1].Voiced != voiced {
			t.Errorf("%g Hz is followed: %v, want %v", hz, got[1].Voiced, voiced)
		}
	}
}
