package delay

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Measured is a device's delay.
type Measured struct {
	Refused string  // why nothing can be told, in one sentence; all else is then 0
	Seconds float64 // how much later what was sounded is heard
	Spread  float64 // of single clicks, standard deviation in seconds
	Heard   int     // clicks that it was told by
	Sounded int     // clicks
}

// MostSeconds is the longest delay that is looked for: wireless headphones take up to some 0.3 s.
const MostSeconds = 0.5

// How the delay is found.
const (
	earlySeconds = 0.005 // before nothing at all that is looked at
	clickSeconds = 0.06  // of what was sounded, from where a click begins; clicks lie farther apart
	startShare   = 0.1   // of the loudest of what was sounded, from where on it is a click's beginning
	lowHz        = 600.0 // what is compared: below it rooms hum, above it small loudspeakers differ
	highHz       = 6000.0
	alike        = 0.5   // the correlation from where on a click counts as heard; 1 is the same
	within       = 0.004 // seconds that a click may lie from the others
	mostSpread   = 0.002 // seconds
	leastShare   = 0.6   // of the clicks that must be heard
	leastClicks  = 4
	silent       = 1e-5 // of full scale
)

// Measure finds by how much heard is later than sounded: samples of as many a second, from the same moment on.
// What was sounded are short clicks with silence between. Samples that are no numbers count as silence.
func Measure(heard, sounded []float32, rate float64) Measured {
	n := min(len(heard), len(sounded))
	heard, sounded = numbers(heard[:n]), numbers(sounded[:n])
	starts := clicksOf(sounded, rate)
	out := Measured{Sounded: len(starts)}
	if len(starts) < leastClicks {
		out.Refused = "No clicks were sounded: measure again."
		return out
	}
	c := newCorrelator(rate)
	curves := make([]curve, len(starts))
	sum := make([]float64, c.lags)
	loud := false
	for i, at := range starts {
		curves[i] = c.curve(heard, sounded, at)
		loud = loud || curves[i].any
		for l, v := range curves[i].strength {
			v *= curves[i].alike[l]
			sum[l] += v * v
		}
	}
	if !loud {
		out.Refused = "The microphone hears nothing at all: look whether it is the right one and turned up, and measure again."
		return out
	}
	best := slices.Index(sum, slices.Max(sum))
	reach := int(within * rate)
	var at []float64
	for _, v := range curves {
		lo, hi := max(0, best-reach), min(c.lags, best+reach+1)
		s := v.strength
		if i := lo + slices.Index(s[lo:hi], slices.Max(s[lo:hi])); v.alike[i] >= alike && i > lo && i < hi-1 {
			at = append(at, (float64(i)+peak(s[i-1], s[i], s[i+1]))/rate-float64(c.early)/rate)
		}
	}
	out.Heard = len(at)
	if float64(len(at)) < leastShare*float64(len(starts)) || len(at) < leastClicks {
		out.Refused = "The clicks were not heard clearly: turn the loudspeaker up or hold the microphone nearer to it, let it be quiet, and measure again."
		return out
	}
	mean, square := 0.0, 0.0
	for _, v := range at {
		mean += v / float64(len(at))
	}
	for _, v := range at {
		off := v - mean
		square += off * off
	}
	out.Spread = math.Sqrt(square / float64(len(at)-1))
	if out.Spread > mostSpread {
		out.Refused = "The delay was another from click to click: close what else the device is busy with, and measure again."
		return out
	}
	slices.Sort(at)
	out.Seconds = (at[(len(at)-1)/2] + at[len(at)/2]) / 2
	return out
}

// numbers returns samples with silence where one is no number.
func numbers(x []float32) []float32 {
	out := slices.Clone(x)
	for i, v := range out {
		if f := float64(v); math.IsNaN(f) || math.IsInf(f, 0) {
			out[i] = 0
		}
	}
	return out
}

// peak tells where a parabola through three points has its top, −0.5 to 0.5 from the middle one: higher than the
// one before it, and no lower than the one after.
func peak(a, b, c float64) float64 {
	up, down := b-a, b-c // (a − c)/(2·(a − 2·b + c)), never divided by 0
	return (up - down) / (2 * (up + down))
}

// clicksOf finds where clicks begin in what was sounded.
func clicksOf(x []float32, rate float64) []int {
	loudest := 0.0
	for _, v := range x {
		loudest = max(loudest, math.Abs(float64(v)))
	}
	if loudest == 0 {
		return nil
	}
	var out []int
	for i := 0; i < len(x); i++ {
		if math.Abs(float64(x[i])) >= startShare*loudest {
			out = append(out, i)
			i += int(clickSeconds * rate)
		}
	}
	return out
}

// correlator compares one click with what is heard after it.
type correlator struct {
	rate   float64
	lags   int
	early  int // lags below 0, so that no delay at all has a top
	click  int // samples of a click
	fft    *fourier.CmplxFFT
	a, b   []complex128
	energy []float64
}

func newCorrelator(rate float64) *correlator {
	c := &correlator{rate: rate, early: int(earlySeconds * rate), click: int(clickSeconds * rate)}
	c.lags = c.early + int(MostSeconds*rate)
	size := 1
	for size < c.lags+2*c.click {
		size *= 2
	}
	c.fft = fourier.NewCmplxFFT(size)
	c.a, c.b = make([]complex128, size), make([]complex128, size)
	c.energy = make([]float64, size+1)
	return c
}

// curve is how one click compares with what is heard, lag by lag.
type curve struct {
	strength []float64 // of the correlation, 1 at its highest
	alike    []float64 // both, however loud, 0 to 1: the tail of a click is as like it, and weaker
	any      bool      // whether anything was heard
}

// curve compares a click that was sounded from sample at on.
func (c *correlator) curve(heard, sounded []float32, at int) curve {
	out := curve{strength: make([]float64, c.lags), alike: make([]float64, c.lags)}
	from := at - int(0.002*c.rate) // its first rise belongs to it
	clear(c.a)
	clear(c.b)
	for i := range c.click {
		if k := from + i; k >= 0 && k < len(sounded) {
			c.a[i] = complex(float64(sounded[k]), 0)
		}
	}
	for i := range c.lags + c.click {
		if k := from - c.early + i; k >= 0 && k < len(heard) {
			c.b[i] = complex(float64(heard[k]), 0)
			out.any = out.any || math.Abs(float64(heard[k])) > silent
		}
	}
	size := len(c.a)
	c.fft.Coefficients(c.a, c.a)
	c.fft.Coefficients(c.b, c.b)
	lo, hi := int(lowHz/c.rate*float64(size)), int(min(highHz/c.rate, 0.49)*float64(size))
	energy := 0.0
	for k := range size {
		if k < lo || k > hi { // what lies below 0 Hz, too: the rest is the analytic signal
			c.a[k], c.b[k] = 0, 0
			continue
		}
		p := c.a[k]
		energy += (real(p)*real(p) + imag(p)*imag(p)) / float64(size)
		c.a[k] = c.b[k] * cmplx.Conj(p)
	}
	c.fft.Sequence(c.a, c.a)
	c.fft.Sequence(c.b, c.b)
	for i, v := range c.b {
		v /= complex(float64(size), 0)
		c.energy[i+1] = c.energy[i] + real(v)*real(v) + imag(v)*imag(v)
	}
	total := c.energy[size]
	if total == 0 {
		return out
	}
	top := 0.0
	for l := range c.lags {
		v := cmplx.Abs(c.a[l]) / float64(size)
		top = max(top, v)
		out.strength[l] = v
		// Silence is like nothing.
		out.alike[l] = v / math.Sqrt(energy*max(c.energy[l+c.click]-c.energy[l], 1e-6*total))
	}
	for l := range out.strength {
		out.strength[l] /= max(top, 1e-30)
	}
	return out
}
