package filter

import (
	"math"
	"math/cmplx"
	"testing"
)

// response is what a filter makes of a sine of f hertz, from its answer to an impulse.
func response(answer []float64, f float64) complex128 {
	var sum complex128
	for i, x := range answer {
		sum += complex(x, 0) * cmplx.Exp(complex(0, -2*math.Pi*f*float64(i)/Rate))
	}
	return sum
}

func impulse(next func(float64) float64) []float64 {
	answer := make([]float64, 4000)
	for i := range answer {
		x := 0.0
		if i == 0 {
			x = 1
		}
		answer[i] = next(x)
	}
	return answer
}

// TestFiltersAnswerAsTheirPrototypes: each design is the analogue one that the Cookbook
// names beside it, H(s) with s in units of the corner, whose frequencies the bilinear
// transform bends: s = i·tan(πf/Rate)/tan(πf₀/Rate) (R. Bristow-Johnson, Cookbook
// formulae for audio EQ biquad filter coefficients, W3C note, 2021). Height and phase
// are compared, within a millionth.
func TestFiltersAnswerAsTheirPrototypes(t *testing.T) {
	const f0, q, db = 1200, 1.3, 7
	a := complex(math.Pow(10, db/40.0), 0)
	low, high, peak, dip, mode := LowPass(f0, q), HighPass(f0, q), Peak(f0, q, db), Peak(f0, q, -db), NewResonance(f0, q)
	for name, c := range map[string]struct {
		next  func(float64) float64
		clear func()
		h     func(s complex128) complex128
	}{
		"low pass":  {low.Next, low.Clear, func(s complex128) complex128 { return 1 / (s*s + s/q + 1) }},
		"high pass": {high.Next, high.Clear, func(s complex128) complex128 { return s * s / (s*s + s/q + 1) }},
		"peak":      {peak.Next, peak.Clear, func(s complex128) complex128 { return (s*s + s*a/q + 1) / (s*s + s/(a*q) + 1) }},
		"dip":       {dip.Next, dip.Clear, func(s complex128) complex128 { return (s*s + s/(a*q) + 1) / (s*s + s*a/q + 1) }},
		"mode":      {mode.Next, mode.Clear, func(s complex128) complex128 { return s / q / (s*s + s/q + 1) }},
	} {
		answer := impulse(c.next)
		c.clear()
		again := impulse(c.next)
		for _, f := range []float64{0, 100, 700, 1200, 1900, 6000, 15000} {
			s := complex(0, math.Tan(math.Pi*f/Rate)/math.Tan(math.Pi*f0/Rate))
			if got, want := response(answer, f), c.h(s); !(cmplx.Abs(got-want) < 1e-6) {
				t.Errorf("%s: %g Hz comes out as %.6f, want %.6f", name, f, got, want)
			}
		}
		for i := range answer {
			if answer[i] != again[i] {
				t.Errorf("%s: after Clear sample %d is %g, first %g", name, i, again[i], answer[i])
				break
			}
		}
	}
}

// TestSincIsALowPass: a sinc in a Kaiser window is symmetric, has the height asked for
// down in its stop band (within 4 dB: the width is an estimate), and passes from one to the other within
// Kaiser's width, (A − 7.95)/(14.36·(N − 1)) of the sample rate (J. F. Kaiser, 1974).
func TestSincIsALowPass(t *testing.T) {
	for _, c := range []struct {
		half       int
		cutoff, db float64
	}{{40, 0.5, 60}, {64, 0.25, 80}, {100, 0.7, 100}} {
		taps := Sinc(c.half, c.cutoff, c.db)
		if len(taps) != 2*c.half+1 {
			t.Fatalf("half %d: %d taps", c.half, len(taps))
		}
		sum := 0.0
		for i, x := range taps {
			sum += x
			if back := taps[len(taps)-1-i]; !(math.Abs(x-back) < 1e-15) {
				t.Errorf("half %d: tap %d is %g, the one opposite %g", c.half, i, x, back)
			}
		}
		if !(math.Abs(sum-1) < 1e-12) {
			t.Errorf("half %d: the taps add up to %g", c.half, sum)
		}
		width := (c.db - 7.95) / (14.36 * float64(len(taps)-1)) * Rate
		middle := c.cutoff * Rate / 2
		ripple := math.Pow(10, -c.db/20)
		for f := 0.0; f <= Rate/2; f += 50 {
			h := cmplx.Abs(response(taps, f))
			switch {
			case f < middle-width/2 && !(math.Abs(h-1) < 1.6*ripple):
				t.Fatalf("half %d: %g Hz passes at %.6f", c.half, f, h)
			case f > middle+width/2 && !(h < 1.6*ripple):
				t.Fatalf("half %d: %g Hz passes at %.1f dB, want %.0f", c.half, f, 20*math.Log10(h), -c.db)
			}
		}
		if h := cmplx.Abs(response(taps, middle)); !(math.Abs(h-0.5) < 0.01) { // half as high at the cutoff
			t.Errorf("half %d: at its cutoff %.3f passes", c.half, h)
		}
	}
}

// TestSincDies: the window is 1 in its middle and the kernel nothing outside it.
func TestSincDies(t *testing.T) {
	i0 := Bessel0(0.1102 * (80 - 8.7))
	for d, want := range map[float64]float64{0: i0, 32: 0, -32: 0, 40: 0, 2: 0} {
		if got := sincAt(d, 32, 0.5, 80); !(math.Abs(got-want) < 1e-9) { // a sinc of half the rate crosses 0 at every second sample
			t.Errorf("at %g the kernel is %g, want %g", d, got, want)
		}
	}
	if got := sincAt(31.9, 32, 0.5, 80); got == 0 {
		t.Error("nothing is left just inside the window")
	}
}
