package loudness

import (
	"math"
	"math/rand"
	"testing"
)

// tone is a sine of so many decibels under full scale.
func tone(seconds, hz, dbfs, phase float64) []float32 {
	x := make([]float32, int(seconds*Rate))
	for i := range x {
		x[i] = float32(math.Pow(10, dbfs/20) * math.Sin(2*math.Pi*hz*float64(i)/Rate+phase))
	}
	return x
}

// TestLoudnessOfTheStandardsTones: what EBU Tech 3341 (2016, table 1, its cases 1 to 5;
// from memory) has a meter show for stereo sines of 1000 Hz, ± 0.1 LU. The tones are
// made once and their energies strung together.
func TestLoudnessOfTheStandardsTones(t *testing.T) {
	x := tone(1.2, 1000, -23, 0)
	var m Meter
	m.Add(x, x)
	second := m.Cells()[len(m.Cells())-Rate/CellSize:]
	type part struct{ seconds, dbfs float64 }
	for name, c := range map[string]struct {
		parts []part
		want  float64
	}{
		"case 1":         {[]part{{20, -23}}, -23},
		"case 2":         {[]part{{20, -33}}, -33},
		"case 3":         {[]part{{10, -36}, {60, -23}, {10, -36}}, -23},
		"case 4":         {[]part{{10, -72}, {10, -36}, {60, -23}, {10, -36}, {10, -72}}, -23},
		"case 5":         {[]part{{20, -26}, {20.1, -20}, {20, -26}}, -23},
		"silence":        {[]part{{1, math.Inf(-1)}}, math.Inf(-1)},
		"under the gate": {[]part{{1, -70.5}}, math.Inf(-1)},
		"too short":      {[]part{{0.398, -20}}, math.Inf(-1)},
		"one block":      {[]part{{0.4, -20}}, -20},
	} {
		var cells []float32
		for _, p := range c.parts {
			for i := range int(math.Round(p.seconds * Rate / CellSize)) {
				cells = append(cells, second[i%len(second)]*float32(math.Pow(10, (p.dbfs+23)/10)))
			}
		}
		if got := Integrated(cells, nil); !(got == c.want || math.Abs(got-c.want) < 0.1) {
			t.Errorf("%s: %.2f LUFS, want %.1f", name, got, c.want)
		}
	}
	for _, size := range []int{1000, CellSize, 7} { // in pieces, as whole
		var pieces Meter
		for at := 0; at < len(x); at += size {
			pieces.Add(x[at:min(at+size, len(x))], x[at:min(at+size, len(x))])
		}
		if got := pieces.Loudness(); got != m.Loudness() {
			t.Errorf("%d samples at a time: %.3f LUFS, whole %.3f", size, got, m.Loudness())
		}
	}
}

// TestTruePeakBetweenSamples: EBU Tech 3341 (2016, cases 15 to 18; from memory): a sine of a quarter
// of the rate or less, 6 dB down, has its peak at −6.0 dBTP wherever the samples fall,
// + 0.2, − 0.4.
func TestTruePeakBetweenSamples(t *testing.T) {
	for _, c := range []struct{ of, degrees float64 }{{4, 0}, {4, 45}, {6, 60}, {8, 67.5}, {4, 90}, {6, 240}} {
		x := tone(0.05, Rate/c.of, -6, c.degrees*math.Pi/180)
		for i := range 480 { // it comes and goes without a click
			k := float32(i) / 480
			x[i] *= k
			x[len(x)-1-i] *= k
		}
		var m Meter
		m.Add(x[:777])
		m.Add(x[777:])
		if got := m.TruePeak(); !(got < -5.8 && got > -6.4) {
			t.Errorf("a sine of 1/%g of the rate at %g°: %.2f dBTP", c.of, c.degrees, got)
		}
	}
	for at, want := range map[int]float64{0: -6.02, 1: -6.02, 62: -6.02, 63: -6.02} { // at either end
		x := make([]float32, 64)
		x[at] = -0.5
		var m Meter
		m.Add(x)
		if got := m.TruePeak(); !(math.Abs(got-want) < 0.01) {
			t.Errorf("an impulse at sample %d: %.3f dBTP, want %.2f", at, got, want)
		}
	}
	var silent Meter
	silent.Add(make([]float32, 100))
	if got := silent.TruePeak(); !math.IsInf(got, -1) {
		t.Errorf("silence has %g dBTP", got)
	}
}

// TestInterpolatorIsBandLimited: between the samples of a sine the interpolator finds
// the sine, up to four fifths of half the rate, within 0.1 %.
func TestInterpolatorIsBandLimited(t *testing.T) {
	for _, hz := range []float64{0, 500, 5000, 12000, 19000} {
		for p, h := range overPhases {
			got, want := 0.0, math.Cos(2*math.Pi*hz*float64(p+1)/4/Rate+0.7)
			for k, v := range h {
				got += float64(v) * math.Cos(2*math.Pi*hz*float64(k-(overTaps/2-1))/Rate+0.7)
			}
			if !(math.Abs(got-want) < 1e-3) {
				t.Errorf("%g Hz, %d quarters on: %.5f, want %.5f", hz, p+1, got, want)
			}
		}
	}
}

// TestLimiterMeetsItsPeak: a single peak over the ceiling is met by the gain that it needs,
// which comes within 3 ms before it and has gone back by 63 % 120 ms after; far from it
// nothing is changed.
func TestLimiterMeetsItsPeak(t *testing.T) {
	const at, size = 9000, 30000
	x := make([]float32, size)
	x[at] = -2
	need := math.Pow(10, (-1-margin)/20) / 2
	for _, piece := range []int{size, 64, 1} {
		l := NewLimiter(2, -1)
		var gain []float32
		for i := 0; i < size; i += piece {
			gain = append(gain, l.Add(make([]float32, min(piece, size-i)), x[i:min(i+piece, size)])...)
		}
		g := func(i int) float64 { return float64(gain[i+Delay]) } // of sample i
		if got := g(at); !(math.Abs(got-need) < 1e-4) {
			t.Errorf("in pieces of %d the peak has a gain of %.5f, want %.5f", piece, got, need)
		}
		early, guard := at-limitAhead-limitGuard, limitGuard
		if g(early-2) != 1 || !(g(at-limitAhead/2) < 0.9*1+0.1*need) || !(g(at-guard) < need+1e-3) {
			t.Errorf("in pieces of %d it comes by %.4f, %.4f and %.4f", piece, g(early-2), g(at-limitAhead/2), g(at-guard))
		}
		for i := early; i < at; i++ {
			if !(g(i+1) <= g(i)) || !(g(i)-g(i+1) < 1.2*(1-need)/limitAhead) {
				t.Fatalf("in pieces of %d the gain goes from %.5f to %.5f, %d samples before the peak", piece, g(i), g(i+1), at-i)
			}
		}
		back := at + limitGuard + limitAhead/2 // the mean of 3 ms is 1.5 ms late
		if got := (1 - g(back+int(Release*Rate))) / (1 - need); !(math.Abs(got-1/math.E) < 0.01) {
			t.Errorf("in pieces of %d %.3f is left of it after %g s, want %.3f", piece, got, Release, 1/math.E)
		}
		if got := g(at - 4000); got != 1 {
			t.Errorf("in pieces of %d the gain is %g long before it", piece, got)
		}
	}
	l := NewLimiter(1, -1)
	x = append(x, make([]float32, 4*Rate)...)
	gain := l.Add(x)
	if got := gain[len(gain)-1]; got != 1 {
		t.Errorf("seconds after, the gain is %g", got)
	}
	if gain := l.Add(x[:at+Delay+1]); !(math.Abs(float64(gain[at+Delay])-need) < 1e-4) {
		t.Errorf("the next peak, seconds later, has a gain of %g", gain[at+Delay])
	}
}

// TestLimiterKeepsUnder: whatever comes, what leaves has no true peak over the ceiling, and
// a gain is never more than 1 nor under what the loudest near it needs.
func TestLimiterKeepsUnder(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for _, ceiling := range []float64{-1, -3} {
		x := make([]float32, Rate)
		for i := range x {
			x[i] = float32(0.3 * math.Sin(float64(i)*0.11))
		}
		for range 25 {
			at, height := r.Intn(len(x)-2000), 4*r.Float64()
			for i := range 600 {
				x[at+i] += float32(height * math.Sin(float64(i)*0.7) * math.Exp(-float64(i)/90))
			}
		}
		l := NewLimiter(1, ceiling)
		gain := append([]float32(nil), l.Add(append(append([]float32(nil), x...), make([]float32, Delay)...))...)
		out := make([]float32, len(x))
		least, most := float32(1), float32(0)
		for i := range out {
			out[i] = x[i] * gain[i+Delay]
			least, most = min(least, gain[i+Delay]), max(most, gain[i+Delay])
		}
		var in, m Meter
		in.Add(x)
		m.Add(out)
		need := math.Pow(10, (ceiling-margin-in.TruePeak())/20)
		if got := m.TruePeak(); !(got <= ceiling) || !(got > ceiling-0.3) {
			t.Errorf("under a ceiling of %g the peak is %.3f dBTP", ceiling, got)
		}
		if most > 1 || !(float64(least) >= need-1e-4) {
			t.Errorf("gains from %g to %g, the loudest peak needs %.4f", least, most, need)
		}
	}
}

// TestIntegratedUnderAGain: loudness under a gain is that of the sound after it: a half
// is 6 dB less.
func TestIntegratedUnderAGain(t *testing.T) {
	var m Meter
	m.Add(tone(1, 997, -10, 0))
	half := make([]float32, len(m.Cells()))
	for i := range half {
		half[i] = 0.5
	}
	if got, want := Integrated(m.Cells(), half), m.Loudness()-6.0206; !(math.Abs(got-want) < 1e-3) {
		t.Errorf("%.3f LUFS, want %.3f", got, want)
	}
}

// TestPeakOnEitherSide: the impulse of half the band whose top lies a quarter, a half or three
// quarters of a sample on has its height there, over nothing or under it (sinc(x) is 1 at 0).
func TestPeakOnEitherSide(t *testing.T) {
	for _, part := range []float64{0.25, 0.5, 0.75} {
		for _, height := range []float64{0.8, -0.8} {
			x := make([]float32, 400)
			for i := range x {
				d := math.Pi / 2 * (float64(i-200) - part)
				x[i] = float32(height * math.Sin(d) / d)
			}
			var m Meter
			m.Add(x)
			if got := math.Pow(10, m.TruePeak()/20); !(math.Abs(got-0.8) < 0.005) {
				t.Errorf("a top of %g, %g of a sample on, is found as %.4f", height, part, got)
			}
		}
	}
}

// TestOnlyWhatIsAbove: a peak as high as the level is none.
func TestOnlyWhatIsAbove(t *testing.T) {
	for _, c := range []struct {
		level float32
		want  int
	}{{0.5, 0}, {0.49, 1}} {
		x, n := make([]float32, 200), 0
		x[100] = -0.5
		new(peaks).add(x, c.level, func(_ int, peak float32) float32 { n++; return peak })
		if n != c.want {
			t.Errorf("%d peaks above %g, want %d", n, c.level, c.want)
		}
	}
}

// TestLimiterHoldsWhatFades: what fades slowly asks a little less at each sample, and gets
// the gain that it needs at every one; when it is over, and the gain is given back, the
// limiter rests, as it does before anything was needed.
func TestLimiterHoldsWhatFades(t *testing.T) {
	resting := func(l *Limiter) bool {
		l.Add(make([]float32, 30))
		return l.queued == 0
	}
	l := NewLimiter(1, -1)
	if !resting(l) {
		t.Error("a new one does not rest")
	}
	l = NewLimiter(1, -1)
	x := make([]float32, 3*Rate)
	for i := range 8000 {
		x[i+1000] = float32(3 * math.Exp(-float64(i)/1500))
	}
	gain := l.Add(x)
	if l.queued != 0 {
		t.Error("one that has given back its gain does not rest")
	}
	ceiling := math.Pow(10, -1/20.0)
	for i := 1000; i < 8000; i++ {
		if got := float64(x[i] * gain[i+Delay]); !(got <= ceiling) {
			t.Fatalf("sample %d leaves at %.4f", i, got)
		}
	}
	l.Add([]float32{2})
	if resting(l) {
		t.Error("it rests with a peak before it")
	}
}
