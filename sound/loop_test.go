package sound

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The loss filter gives the wanted round-trip gain at both of its frequencies.
func TestLossFilterMeetsBothRates(t *testing.T) {
	d := decay{open: 4, slope: 0.45, high: 0.5, bar: 0.7}
	for _, f := range []float64{41, 82, 196, 440, 1319, 2637} {
		for _, barred := range []bool{false, true} {
			gain, pole := d.lossFilter(f, barred, 1)
			fh := min(max(4000, 2.5*f), 12000)
			for _, at := range []float64{f, fh} {
				w := 2 * math.Pi * at / Rate
				h := cmplx.Abs(complex(gain*(1+pole), 0) / (1 + complex(pole, 0)*cmplx.Exp(complex(0, -w))))
				want := math.Exp(-d.rate(f, at, barred) / f)
				// A tenth of a per mille of gain is a per cent of decay time at most here.
				if math.Abs(h-want) > 1e-4*want {
					t.Errorf("string at %g Hz (barred %v): gain %.6f at %g Hz, want %.6f", f, barred, h, at, want)
				}
			}
			if pole <= -1 || pole > 0 {
				t.Errorf("string at %g Hz: pole %g is not that of a loss", f, pole)
			}
		}
	}
}

// The phase delays that tuning reckons with are those that the filters have:
// measured on what a loop gives back of an impulse.
func TestPhaseDelaysAreThoseOfTheFilters(t *testing.T) {
	const n = 16384
	for _, c := range []struct{ pole, allpass, delay float64 }{
		{-0.1, 0, 50}, {-0.35, -0.6, 120.37}, {-0.2, -0.8, 333.5}, {0, -0.3, 31.99}, {-0.5, -0.1, 18.01},
	} {
		l := newLoop(2000)
		l.gain, l.pole, l.allpass = 1, c.pole, c.allpass
		l.setDelay(c.delay)
		out := make([]float64, n)
		for i := range out {
			in := 0.0
			if i == 0 {
				in = 1
			}
			y := l.next(in, 1)
			out[i] = y - in // one trip, before it goes round again
			at := (l.w - 1) & l.mask
			l.buf[at] = in
			if at < reach {
				l.buf[at+l.mask+1] = in
			}
		}
		spectrum := fourier.NewFFT(n).Coefficients(nil, out)
		for _, hz := range []float64{60, 250, 1000} {
			k := int(math.Round(hz * n / Rate))
			w := 2 * math.Pi * float64(k) / n
			want := c.delay + polePhaseDelay(c.pole, w) + allpassPhaseDelay(c.allpass, w)
			// The phase is known up to whole turns: compare within one.
			turn := 2 * math.Pi / w
			got := -cmplx.Phase(spectrum[k]) / w
			off := math.Remainder(got-want, turn)
			// A hundredth of a sample is 0.2 cents at 600 Hz.
			if math.Abs(off) > 0.01 {
				t.Errorf("pole %g, allpass %g, delay %g: %.4f samples off at %g Hz", c.pole, c.allpass, c.delay, off, hz)
			}
		}
	}
}

// The stiffness filter puts the partials where the stiff string has them.
func TestStiffnessStretchesPartials(t *testing.T) {
	cases := 0
	for _, f := range []float64{65, 98, 147, 220, 330, 440} {
		for _, b := range []float64{1e-5, 3e-5, 1e-4} {
			a := stiffness(f, b)
			w1 := 2 * math.Pi * f / Rate
			at1 := allpassPhaseDelay(a, w1)
			for n := 2; float64(n)*f < 3000 && n <= 10; n++ {
				stretch := math.Sqrt((1 + b*float64(n*n)) / (1 + b))
				want := 1200 * math.Log2(stretch)
				// Round trip at partial n, in samples: the period less what the filter is
				// quicker by; the partial settles where n turns fit.
				w := w1 * float64(n) * stretch
				quicker := at1 - allpassPhaseDelay(a, w)
				got := -1200 * math.Log2(1-quicker*f/Rate)
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
	if stiffness(200, 0) != 0 {
		t.Error("a string without stiffness has a stiffness filter")
	}
}

// Interpolation between samples is right to the last digits at whole delays and
// symmetrical between them.
func TestInterpolation(t *testing.T) {
	l := newLoop(100)
	l.setDelay(40)
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
		l.setDelay(d)
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
