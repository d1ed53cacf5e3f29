package loop

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"pgregory.net/rapid"

	"lapwright/internal/seeds"
	"lapwright/sound/filter"
	"lapwright/sound/loss"
)

// grid is how many samples a move takes.
const grid = 32

// lossless is a string that loses nothing and has no stiffness, at a fixed bridge.
func lossless(hz float64) *Loop {
	l := New(filter.Rate / 50)
	l.Loss = loss.Filter{Straight: 1}
	l.SetDelay(filter.Rate/hz - 4) // the loss filter delays by 4
	return l
}

// A steel moved 12 frets up makes the force on the bridge twice as high, 6 dB within half a
// decibel, and 12 down halves it; while it moves, energy over frequency never grows
// (the adiabatic principle; losses off).
func TestGlideKeepsEnergyOverFrequency(t *testing.T) {
	for _, c := range []struct{ from, to float64 }{{220, 440}, {440, 220}, {147, 196}, {330, 247}} {
		l := lossless(c.from)
		n := int(filter.Rate / c.from)
		for i := range n { // a smooth wave with some partials
			u := 2 * math.Pi * float64(i) / float64(n)
			l.Arrive(1)
			l.Leave(math.Sin(u) + 0.4*math.Sin(2*u+1) + 0.2*math.Sin(3*u+2))
		}
		run := func(samples int) float64 {
			most := 0.0
			for range samples {
				y := l.Arrive(1)
				l.Leave(y)
				most = max(most, math.Abs(y))
			}
			return most
		}
		before := run(4800)
		last := l.Energy(l.Delay+4) * (l.Delay + 4)
		from, to := filter.Rate/c.from, filter.Rate/c.to
		const steps = 600 // of grid samples: 0.4 s
		for i := 1; i <= steps; i++ {
			u := float64(i) / steps
			u = u * u * u * (10 + u*(6*u-15))
			l.Move(from+(to-from)*u-4, grid)
			run(grid)
			if i%30 == 0 { // some periods on
				now := l.Energy(l.Delay+4) * (l.Delay + 4)
				if now > last*1.005 { // the ends of the window cut a sample in two
					t.Errorf("%g to %g Hz: energy over frequency grew by %.1f %%", c.from, c.to, 100*(now/last-1))
				}
				last = now
			}
		}
		l.SetDelay(to - 4)
		got, want := 20*math.Log10(run(4800)/before), 20*math.Log10(c.to/c.from)
		t.Logf("%g to %g Hz: %+.2f dB", c.from, c.to, got)
		if math.Abs(got-want) > 0.5 {
			t.Errorf("%g to %g Hz: the force on the bridge changes by %+.2f dB, want %+.2f", c.from, c.to, got, want)
		}
	}
}

func TestMain(m *testing.M) { seeds.Run(m, 20261130, 15) }

// Whatever way the steel takes there and back, up to an octave each way and over four periods of the string at the least (60 ms on the lowest
// of ours, where a glide takes 90 ms and more), energy over frequency never grows, and no way ends with more energy than it began with (losses off).
func TestNoWayThereAndBackGains(t *testing.T) {
	tried := 0
	rapid.Check(t, func(rt *rapid.T) {
		tried++
		hz := rapid.Float64Range(110, 500).Draw(rt, "hz")
		l := lossless(hz)
		n := int(filter.Rate / hz)
		for i := range n {
			u := 2 * math.Pi * float64(i) / float64(n)
			v := 0.0
			for k := 1.0; k < 7; k++ {
				v += math.Sin(k*u+k*k) / k
			}
			l.Arrive(1)
			l.Leave(v)
		}
		run := func(samples int) {
			for range samples {
				l.Leave(l.Arrive(1))
			}
		}
		held := func() float64 { // the mean over a period of where it is cut
			sum := 0.0
			for range 32 {
				run(max(1, int((l.Delay+4)/32)))
				sum += l.Energy(l.Delay + 4)
			}
			return sum / 32
		}
		run(2 * n)
		start := held()
		last, now := start*(l.Delay+4), filter.Rate/hz
		var stops []float64
		for range rapid.IntRange(1, 3).Draw(rt, "stops") {
			stops = append(stops, filter.Rate/hz*math.Exp2(-rapid.Float64Range(-1, 1).Draw(rt, "octaves")))
		}
		for _, to := range append(stops, filter.Rate/hz) {
			from := now
			steps := int(math.Ceil(rapid.Float64Range(4, 60).Draw(rt, "periods") * max(from, to) / grid))
			for i := 1; i <= steps; i++ {
				u := float64(i) / float64(steps)
				u = u * u * u * (10 + u*(6*u-15))
				l.Move(from+(to-from)*u-4, grid)
				run(grid)
			}
			l.SetDelay(to - 4)
			run(int(to) + 1)
			now = to
			over := held() * (l.Delay + 4)
			if over > last*1.005 {
				rt.Fatalf("from %.1f to %.1f samples in %d: energy over frequency grew by %.2f %%", from, to, steps*grid, 100*(over/last-1))
			}
			last = over
		}
		if end := held(); end > start*1.005 {
			rt.Fatalf("it ends with %.2f %% more energy than it began with", 100*(end/start-1))
		}
	})
	if tried == 0 {
		t.Fatal("nothing was tried")
	}
}

// The phase delays that tuning reckons with are those that the filters have:
// measured on what a loop gives back of an impulse.
func TestPhaseDelaysAreThoseOfTheFilters(t *testing.T) {
	const n = 16384
	for _, c := range []struct {
		loss           loss.Filter
		allpass, delay float64
	}{
		{loss.Filter{Straight: 0.6, Low: [3]float64{0.1, 0.1, 0.2}, Sharp: 0}, 0, 50},
		{loss.Filter{Straight: 0.2, Low: [3]float64{0.1, 0.3, 0.4}, Sharp: 0.5}, -0.6, 120.37},
		{loss.Filter{Straight: 0.9, Low: [3]float64{0, 0.05, 0.05}, Sharp: 1}, -0.8, 333.5},
		{loss.Filter{Straight: 1, Low: [3]float64{}, Sharp: 0.2}, -0.3, 31.99},
		{loss.Filter{Straight: 0, Low: [3]float64{0, 0, 1}, Sharp: 0}, -0.1, 18.01},
	} {
		l := New(2000)
		l.Loss, l.Allpass = c.loss, c.allpass
		l.SetDelay(c.delay)
		out := make([]float64, n)
		for i := range out {
			in := 0.0
			if i == 0 {
				in = 1
			}
			out[i] = l.Arrive(1) // one trip, and it does not go round again
			l.Leave(in)
		}
		spectrum := fourier.NewFFT(n).Coefficients(nil, out)
		for _, hz := range []float64{60, 250, 1000} {
			k := int(math.Round(hz * n / filter.Rate))
			w := 2 * math.Pi * float64(k) / n
			want := c.delay - cmplx.Phase(c.loss.Response(w))/w + PhaseDelay(c.allpass, w)
			// The phase is known up to whole turns: compare within one.
			turn := 2 * math.Pi / w
			got := -cmplx.Phase(spectrum[k]) / w
			off := math.Remainder(got-want, turn)
			// A hundredth of a sample is 0.2 cents at 600 Hz.
			if math.Abs(off) > 0.01 {
				t.Errorf("loss %v, allpass %g, delay %g: %.4f samples off at %g Hz", c.loss, c.allpass, c.delay, off, hz)
			}
		}
	}
}

// The stiffness filter puts the partials where the stiff string has them.
func TestStiffnessStretchesPartials(t *testing.T) {
	cases := 0
	for _, f := range []float64{65, 98, 147, 220, 330, 440} {
		for _, b := range []float64{1e-5, 3e-5, 1e-4} {
			a := Stiffness(f, b)
			w1 := 2 * math.Pi * f / filter.Rate
			at1 := PhaseDelay(a, w1)
			for n := 2; float64(n)*f < 3000 && n <= 10; n++ {
				stretch := math.Sqrt((1 + b*float64(n*n)) / (1 + b))
				want := 1200 * math.Log2(stretch)
				// Round trip at partial n, in samples: the period less what the filter is
				// quicker by; the partial settles where n turns fit.
				w := w1 * float64(n) * stretch
				quicker := at1 - PhaseDelay(a, w)
				got := -1200 * math.Log2(1-quicker*f/filter.Rate)
				cases++
				if math.Abs(got-want) > 3 {
					t.Errorf("f %g, B %g, partial %d: stretched by %.2f cents, want %.2f", f, b, n, got, want)
				}
			}
		}
	}
	if cases == 0 {
		t.Fatal("nothing was compared")
	}
	if Stiffness(200, 0) != 0 {
		t.Error("a string without stiffness has a stiffness filter")
	}
}

// Interpolation between samples is right to the last digits at whole delays and
// symmetrical between them.
func TestInterpolation(t *testing.T) {
	l := New(100)
	l.SetDelay(40)
	for k, h := range l.taps {
		want := 0.0
		if k == 2 {
			want = 1
		}
		if math.Abs(h-want) > 1e-12 {
			t.Errorf("tap %d at a whole delay: %g, want %g", k, h, want)
		}
	}
	for _, d := range []float64{40.1, 40.5, 40.77} {
		l.SetDelay(d)
		sum, moment := 0.0, 0.0
		for k, h := range l.taps {
			sum += h
			moment += h * float64(l.whole+k)
		}
		if math.Abs(sum-1) > 1e-12 || math.Abs(moment-d) > 1e-9 {
			t.Errorf("delay %g: taps sum to %g and stand for %g samples", d, sum, moment)
		}
	}
}

// TestOneWayRound: what comes back from one way round the string is the wave, later by the
// line, less what its loss filter takes and bent by four allpasses (a + z⁻¹)/(1 + a·z⁻¹):
// the product of their answers, in height and phase.
func TestOneWayRound(t *testing.T) {
	for _, c := range []struct {
		loss    loss.Filter
		allpass float64
	}{
		{loss.Filter{Straight: 1}, 0}, {loss.Filter{Straight: 0.4, Low: [loss.Shelves]float64{0.1, 0.2, 0.25}}, 0},
		{loss.Filter{Straight: 0.9, Sharp: 0.7}, 0}, {loss.Filter{Straight: 1}, -0.6}, {loss.Filter{Straight: 0.5, Low: [loss.Shelves]float64{0.2, 0.1, 0.1}, Sharp: 0.4}, -0.3},
	} {
		l := New(3000)
		l.Loss, l.Allpass = c.loss, c.allpass
		l.SetDelay(2000)
		var back []float64
		for i := range 3900 {
			y := l.Arrive(1)
			back = append(back, y)
			if i == 0 {
				l.Leave(1)
			} else {
				l.Leave(0)
			}
		}
		for _, w := range []float64{0.01, 0.1, 0.4, 1, 2, 3} {
			var got complex128
			for i, y := range back {
				got += complex(y, 0) * cmplx.Exp(complex(0, -w*float64(i)))
			}
			z := cmplx.Exp(complex(0, -w))
			a := complex(c.allpass, 0)
			section := (a + z) / (1 + a*z)
			if c.allpass == 0 {
				section = 1
			}
			want := c.loss.Response(w) * cmplx.Exp(complex(0, -w*2000)) * section * section * section * section
			if !(cmplx.Abs(got-want) < 1e-6) { // also what is no number
				t.Errorf("%+v at %g: %.6f, want %.6f", c, w, got, want)
			}
			if c.allpass != 0 {
				if got, want := PhaseDelay(c.allpass, w), -4*cmplx.Phase(section)/w; math.Abs(got-want) > 1e-9 {
					t.Errorf("coefficient %g at %g: a delay of %.6f, want %.6f", c.allpass, w, got, want)
				}
			}
		}
	}
}

// TestLineHoldsWhatWasSent: the loudest of a wave is found on either side of nothing, and a
// steady wave of height 2 has an energy of 4 for every sample of its period, and for its part of one.
func TestLineHoldsWhatWasSent(t *testing.T) {
	for _, v := range []float64{0.7, -0.7} {
		l := New(100)
		l.Leave(0.5)
		l.Leave(-0.3)
		l.Leave(v)
		if got := l.Loudest(); got != 0.7 {
			t.Errorf("the loudest of %g is %g", v, got)
		}
	}
	l := New(100)
	for range 200 {
		l.Leave(2)
	}
	for _, period := range []float64{1, 7, 7.25, 80.5, 100} {
		if got := l.Energy(period); math.Abs(got-4*period) > 1e-9 {
			t.Errorf("a period of %g has %g", period, got)
		}
	}
}

// TestStiffPartialsByEar: with its coefficient a loop's partials lie where those
// of a stiff string do, fₙ ∝ n·√(1 + b·n²) (N. H. Fletcher and T. D. Rossing, The Physics of
// Musical Instruments, 1998, eq. 2.67): the third to the eighth within 4 cents, where that
// lies below 4 kHz (our own bound), and never by more than
// half of the round trip. What bends next to nothing, or has next to no partials, has none.
func TestStiffPartialsByEar(t *testing.T) {
	for _, c := range []struct{ f1, b float64 }{{65, 4e-5}, {98, 1e-4}, {98, 3e-4}, {147, 6e-5}, {196, 1e-4}, {294, 5e-5}, {294, 2e-4}, {440, 1e-4}, {600, 5e-5}} {
		a := Stiffness(c.f1, c.b)
		if a >= 0 || a < -0.85 {
			t.Errorf("%+v: a coefficient of %g", c, a)
		}
		if most := 4 * (1 - a) / (1 + a); most > 0.5*(filter.Rate/c.f1-MinDelay)+1e-6 {
			t.Errorf("%+v: its sections take %.1f samples of %.1f", c, most, filter.Rate/c.f1)
		}
		w1 := 2 * math.Pi * c.f1 / filter.Rate
		line := 2*math.Pi/w1 - PhaseDelay(a, w1) // so that the fundamental is right
		for n := 3.0; n <= 8 && n*c.f1 < 4000; n++ {
			lo, hi := 0.8*n*w1, min(1.5*n*w1, math.Pi)
			for range 60 {
				if mid := (lo + hi) / 2; mid*(line+PhaseDelay(a, mid)) < 2*math.Pi*n {
					lo = mid
				} else {
					hi = mid
				}
			}
			if off := 1200 * math.Log2(lo/(n*w1*math.Sqrt((1+c.b*n*n)/(1+c.b)))); math.Abs(off) > 4 {
				t.Errorf("%+v: partial %g is %+.2f cents off", c, n, off)
			}
		}
	}
	for _, f1 := range []float64{196, 294, 600, 1000, 2000} { // as stiff as a bar: half of the round trip is what it gets
		a, half := Stiffness(f1, 0.02), 0.5*(filter.Rate/f1-MinDelay)
		if most := 4 * (1 - a) / (1 + a); !(most < half+1e-6) || !(most > 0.93*half || a < -0.849) {
			t.Errorf("a bar of %g Hz: its sections take %.2f samples, half of the way is %.2f", f1, most, half)
		}
	}
	for _, c := range []struct{ f1, b float64 }{{196, 0}, {196, 9e-7}, {3001, 1e-3}, {9000, 1e-3}} {
		if a := Stiffness(c.f1, c.b); a != 0 {
			t.Errorf("%+v: a coefficient of %g", c, a)
		}
	}
	if Stiffness(196, 1.1e-6) == 0 || Stiffness(2900, 1e-3) == 0 {
		t.Error("a stiffness that is little, or three partials, have none")
	}
}
