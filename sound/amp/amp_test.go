package amp

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/sound/filter"
)

// spectrum returns the levels in dB of a steady sound's lines, of which its period is a whole number of samples of size.
func spectrum(x []float64) []float64 {
	out := make([]float64, len(x)/2+1)
	for i, c := range fourier.NewFFT(len(x)).Coefficients(nil, x) {
		out[i] = 10 * math.Log10(real(c)*real(c)+imag(c)*imag(c)+1e-30)
	}
	return out
}

const size = 1 << 14

// tone puts a sine of so many periods in size through something that has settled.
func tone(periods int, height float64, next func(float64) float64) []float64 {
	out := make([]float64, size)
	for i := range 2 * size {
		out[i%size] = next(height * math.Sin(2*math.Pi*float64(periods*i%size)/size))
	}
	return out
}

// foldedBack returns how high the highest line up to 20 kHz that is no harmonic lies against the first, in dB.
func foldedBack(x []float64, periods int) float64 {
	p := spectrum(x)
	worst := math.Inf(-1)
	for i := 3; i < 20000*size/filter.Rate; i++ {
		if i%periods != 0 {
			worst = max(worst, p[i])
		}
	}
	return worst - p[periods]
}

// Of a sine driven hard, at the drives of our instruments and at the most, over the range in which strings have anything, nothing that is
// no harmonic comes over −80 dB. The same curve at the plain rate folds much back: the measure sees it.
func TestDriveFoldsNothingBack(t *testing.T) {
	seen := false
	for _, drive := range []float64{0.1, 0.3, 0.6, 1} {
		for _, hz := range []float64{82, 440, 1000, 2500, 4000, 6000} {
			periods := int(hz*size/filter.Rate) | 1
			d := NewDrive(drive, 1)
			got := foldedBack(tone(periods, 1.5, d.Next), periods)
			plain := foldedBack(tone(periods, 1.5, d.bend), periods)
			t.Logf("drive %g, %.0f Hz: %.0f dB, at the plain rate %.0f", drive, hz, got, plain)
			if got > -80 {
				t.Errorf("drive %g: of %.0f Hz %.1f dB is folded back", drive, hz, got)
			}
			seen = seen || plain > -50
		}
	}
	if !seen {
		t.Error("the plain rate folds nothing back: the measure does not see it")
	}
}

// Softly played nothing changes, and the harder the more harmonics there are, even ones among them.
func TestDriveBendsWithHeight(t *testing.T) {
	const periods = 341 // 999 Hz
	harmonic := func(height float64, n int) float64 {
		p := spectrum(tone(periods, height, NewDrive(0.5, 1).Next))
		return p[n*periods] - p[periods]
	}
	for _, n := range []int{2, 3} {
		last := math.Inf(-1)
		for _, height := range []float64{0.001, 0.1, 0.3, 0.6, 1} {
			now := harmonic(height, n)
			if now <= last {
				t.Errorf("harmonic %d lies at %.1f dB for a height of %g, at %.1f for less", n, now, height, last)
			}
			last = now
		}
		if soft, loud := harmonic(0.001, n), harmonic(1, n); soft > -50 || loud < -35 {
			t.Errorf("harmonic %d lies at %.1f dB softly, %.1f in an ordinary stroke", n, soft, loud)
		}
	}
	p, q := spectrum(tone(periods, 0.001, NewDrive(1, 1).Next)), spectrum(tone(periods, 0.001, func(x float64) float64 { return x }))
	if d := p[periods] - q[periods]; math.Abs(d) > 0.05 {
		t.Errorf("softly played, full drive changes the level by %.2f dB", d)
	}
}

// answer is what the springs give for one click, so many seconds of it.
func answer(seconds int) []float64 {
	s := NewSpring()
	out := make([]float64, seconds*filter.Rate)
	for i := range out {
		in := 0.0
		if i == 0 {
			in = 1
		}
		out[i] = s.Next(in)
	}
	return out
}

// octave leaves what lies in an octave about a frequency.
func octave(x []float64, hz float64) []float64 {
	f := []filter.Biquad{filter.HighPass(hz/1.4, 0.7), filter.HighPass(hz/1.4, 0.7), filter.LowPass(hz*1.4, 0.7), filter.LowPass(hz*1.4, 0.7)}
	out := make([]float64, len(x))
	for i, v := range x {
		for k := range f {
			v = f[k].Next(v)
		}
		out[i] = v
	}
	return out
}

// The springs die by 60 dB as the loop's loss and length say, −1.9 dB every 52 and 61 ms at low frequencies: a line through
// their backward integral from −5 to −35 dB (M. R. Schroeder, Journal of the Acoustical Society of America 37, 1965, 409).
func TestSpringDecay(t *testing.T) {
	x := octave(answer(4), 500)
	left := make([]float64, len(x)+1)
	for i := len(x) - 1; i >= 0; i-- {
		left[i] = left[i+1] + x[i]*x[i]
	}
	var at [2]float64
	for i, v := range left {
		level := 10 * math.Log10(v/left[0]+1e-30)
		for k, bound := range []float64{-5, -35} {
			if at[k] == 0 && level < bound {
				at[k] = float64(i) / filter.Rate
			}
		}
	}
	perReturn := -20 * math.Log10(Return)
	short, long := 60/perReturn*2*float64(Transits[0])/8000, 60/perReturn*2*float64(Transits[1])/8000
	got := 2 * (at[1] - at[0])
	t.Logf("T60 %.2f s; the springs' own are %.2f and %.2f s", got, short, long)
	if got < 0.9*short || got > 1.15*long {
		t.Errorf("the springs die in %.2f s, want %.2f to %.2f", got, short, long)
	}
}

// The first echoes of each spring come after a transit and then every two: in the first 0.3 s and under 600 Hz
// each shows as a peak within 2 ms of where it is to be; and they are as many as is said, 36 a second.
func TestSpringEchoes(t *testing.T) {
	x := octave(answer(1), 400)
	level := make([]float64, 300) // by the millisecond
	for i := range level {
		for _, v := range x[48*i : 48*i+48] {
			level[i] += v * v
		}
	}
	count := 0
	const filters = 10 // ms that decimator, interpolator and this test's filters delay by, about
	for _, transit := range Transits {
		for n := 1; ; n += 2 {
			at := float64(n*transit)/8 + 4
			if at > 280 {
				break
			}
			count++
			lo, hi := int(at)-2, int(at)+4
			near, aside := 0.0, math.Inf(1)
			for i := lo; i <= hi; i++ {
				near = max(near, level[i])
			}
			for i := max(0, lo-filters); i <= min(len(level)-1, hi+filters); i++ {
				aside = min(aside, level[i])
			}
			if near < 4*aside {
				t.Errorf("no echo at %.0f ms: %.2g there, %.2g beside it", at, near, aside)
			}
		}
	}
	want := 0.276 * 8000 * (1/(2*float64(Transits[0])) + 1/(2*float64(Transits[1])))
	if math.Abs(float64(count)-want) > 2 {
		t.Errorf("%d echoes in 0.28 s, want about %.0f", count, want)
	}
}

// Each echo is a chirp: what is high comes later, as the group delay of fifty sections says, and what
// lies over the transition does not come at all.
func TestSpringChirps(t *testing.T) {
	delay := func(hz float64) float64 { // s, of one transit
		w := 2 * math.Pi * hz / 8000
		a := chirpCoefficient
		g := (1 - a*a) / (1 + a*a + 2*a*math.Cos(w))
		return (float64(Transits[0]) + chirpSections*(g-(1-a)/(1+a))) / 8000
	}
	first := func(hz float64) float64 { // when half of what comes before the second echo of the first spring has come
		s := NewSpring()
		s.wires[1].there.line = make([]float64, 1<<15) // the other is too long to be heard
		var x []float64
		for i := range filter.Rate * 7 / 100 {
			in := 0.0
			if i == 0 {
				in = 1
			}
			x = append(x, s.Next(in))
		}
		narrow := filter.NewResonance(hz, hz/300)
		for i, v := range x {
			x[i] = narrow.Next(v)
		}
		all, sum := 0.0, 0.0
		for _, v := range x {
			all += v * v
		}
		for i, v := range x {
			if sum += v * v; sum > all/2 {
				return float64(i) / filter.Rate
			}
		}
		return 0
	}
	low, mid, high := first(500), first(2500), first(3200)
	t.Logf("500 Hz %.1f ms, 2500 Hz %.1f ms, 3200 Hz %.1f ms", 1000*low, 1000*mid, 1000*high)
	for _, c := range []struct{ got, want float64 }{{mid - low, delay(2500) - delay(500)}, {high - low, delay(3200) - delay(500)}} {
		if math.Abs(c.got-c.want) > 0.002 {
			t.Errorf("it comes %.1f ms later, want %.1f", 1000*c.got, 1000*c.want)
		}
	}
	p := spectrum(answer(1)[:size])
	over := func(lo, hi int) float64 {
		sum := 0.0
		for i := lo * size / filter.Rate; i < hi*size/filter.Rate; i++ {
			sum += math.Pow(10, p[i]/10)
		}
		return 10 * math.Log10(sum/float64(hi-lo))
	}
	if d := over(1000, 3000) - over(5000, 20000); d < 50 {
		t.Errorf("over the transition it lies only %.0f dB lower", d)
	}
}

// Blocks of any size give the same samples, silence that lasts included; then nothing is left.
func TestBlocksOfAnySize(t *testing.T) {
	in := make([]float64, 8*filter.Rate)
	for i := range 4800 {
		in[i] = math.Sin(float64(i) / 20)
		in[7*filter.Rate+i] = math.Sin(float64(i) / 30)
	}
	v := Voicing{Drive: 0.5, Spring: 0.5, Peak: 1, Tone: []filter.Biquad{filter.HighPass(70, 0.7)}, Speaker: []filter.Biquad{filter.LowPass(4000, 0.7)}}
	run := func(block int) []float64 {
		x := append([]float64(nil), in...)
		a := New(v)
		for at := 0; at < len(x); at += block {
			a.Process(x[at:min(len(x), at+block)])
		}
		return x
	}
	want := run(1024)
	if want[13*filter.Rate/2] != 0 || want[2*filter.Rate] == 0 {
		t.Errorf("after 2 s %g, after 6.5 s %g", want[2*filter.Rate], want[13*filter.Rate/2])
	}
	for _, block := range []int{1, 64, 479, 4096} {
		for i, v := range run(block) {
			if v != want[i] {
				t.Fatalf("blocks of %d: sample %d is %g, want %g", block, i, v, want[i])
			}
		}
	}
}

// Springs at 1 answer a long noise about as loudly as it is.
func TestSpringLevel(t *testing.T) {
	s := NewSpring()
	in, out := 0.0, 0.0
	x := uint64(7)
	f := []filter.Biquad{filter.HighPass(300, 0.7), filter.LowPass(2500, 0.7)}
	for range 10 * filter.Rate {
		x ^= x << 13
		x ^= x >> 7
		x ^= x << 17
		v := float64(int64(x)) / (1 << 63)
		for k := range f {
			v = f[k].Next(v)
		}
		in += v * v
		y := springLevel * s.Next(v)
		out += y * y
	}
	if d := 10 * math.Log10(out/in); math.Abs(d) > 1 {
		t.Errorf("the springs are %.1f dB louder than what goes in", d)
	}
}
