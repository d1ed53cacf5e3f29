package yin

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The range of pitches, in hertz, and how finely the states of Likeliest lie, in cents.
const (
	LowestHz   = 60
	highestHz  = 1600
	StateCents = 20.0
)

// Parameters of pYIN as published: thresholds spread as Beta(2, 18) with mean 0.1 in steps of 0.01, 1 % for the deepest
// dip when none is under its threshold (Mauch and Dixon 2014, section 2.1).
const (
	thresholds = 100
	betaA      = 2
	betaB      = 18
	deepest    = 0.01
)

// Seconds is how much of the sound is compared with what comes a lag later.
const Seconds = 0.045

// Candidate is a pitch that a moment may have.
type Candidate struct {
	Hz     float64
	Chance float64
}

// Yin works out the difference function of a recording.
type Yin struct {
	rate      float64
	width     int // samples compared
	lags      int // the longest lag
	fft       *fourier.FFT
	a, b      []float64
	fa, fb    []complex128
	diff      []float64
	threshold [thresholds]float64 // the chance of each
}

// New makes one for a recording of so many samples a second.
func New(rate float64) *Yin {
	y := &Yin{rate: rate, width: int(Seconds * rate), lags: int(rate/LowestHz) + 2}
	size := 1
	for size < y.Span() {
		size *= 2
	}
	y.fft = fourier.NewFFT(size)
	y.a, y.b = make([]float64, size), make([]float64, size)
	y.fa, y.fb = make([]complex128, size/2+1), make([]complex128, size/2+1)
	y.diff = make([]float64, y.lags)
	sum := 0.0
	for i := range y.threshold {
		x := (float64(i) + 0.5) / thresholds
		y.threshold[i] = math.Pow(x, betaA-1) * math.Pow(1-x, betaB-1)
		sum += y.threshold[i]
	}
	for i := range y.threshold {
		y.threshold[i] /= sum
	}
	return y
}

// Rate returns of how many samples a second it is.
func (y *Yin) Rate() float64 { return y.rate }

// Span returns how many samples are looked at for one moment.
func (y *Yin) Span() int { return y.width + y.lags }

// Candidates returns the pitches that a recording x may have at a sample, each with its chance: the stretch compared is
// centred on it. Beyond the recording's ends there is silence.
func (y *Yin) Candidates(x []float64, at int) []Candidate {
	from := at - y.Span()/2
	clear(y.a)
	clear(y.b)
	energy := 0.0
	for i := range y.Span() {
		k := from + i
		if k < 0 || k >= len(x) {
			continue
		}
		y.b[i] = x[k]
		if i < y.width {
			y.a[i] = x[k]
			energy += x[k] * x[k]
		}
	}
	if y.silent(energy) {
		return nil
	}
	y.fa = y.fft.Coefficients(y.fa, y.a)
	y.fb = y.fft.Coefficients(y.fb, y.b)
	for i := range y.fa {
		a := y.fa[i]
		y.fa[i] = complex(real(a), -imag(a)) * y.fb[i]
	}
	cross := y.fft.Sequence(y.a, y.fa)
	scale := 1 / float64(y.fft.Len())
	// d(τ) = Σ(x_j − x_{j+τ})² (YIN eq. 6).
	later := energy
	for lag := 1; lag < y.lags; lag++ {
		drop, gain := y.b[lag-1], y.b[lag+y.width-1]
		later += gain*gain - drop*drop
		y.diff[lag] = max(0, energy+later-2*cross[lag]*scale)
	}
	y.overMean()
	return y.dips()
}

// silent reports whether a stretch of so much energy sounds like nothing.
func (y *Yin) silent(energy float64) bool { return energy < silentPower*float64(y.width) }

// overMean puts the difference function over its running mean, 1 as long as that is 0 (YIN eq. 8).
func (y *Yin) overMean() {
	running := 0.0
	y.diff[0] = 1
	for lag := 1; lag < y.lags; lag++ {
		running += y.diff[lag]
		if running > 0 {
			y.diff[lag] = y.diff[lag] * float64(lag) / running
		} else {
			y.diff[lag] = 1
		}
	}
}

// silentPower is the mean square below which nothing is taken to sound: −80 dB.
const silentPower = 1e-8

// dips returns each dip of the difference function the chance of all thresholds for which it is the first below.
func (y *Yin) dips() []Candidate {
	var out []Candidate
	least := max(2, int(y.rate/highestHz))
	covered := thresholds
	lowest, lowestLag := math.Inf(1), 0
	for lag := least; lag+1 < y.lags && covered > 0; lag++ {
		v := y.diff[lag]
		if v > y.diff[lag-1] || v >= y.diff[lag+1] {
			continue
		}
		if v < lowest {
			lowest, lowestLag = v, lag
		}
		first := min(thresholds, max(0, int(math.Ceil(v*thresholds-0.5))))
		if first >= covered {
			continue
		}
		p := 0.0
		for i := first; i < covered; i++ {
			p += y.threshold[i]
		}
		covered = first
		out = append(out, Candidate{y.between(lag), p})
	}
	if lowestLag > 0 && covered > 0 {
		left := 0.0
		for i := range covered {
			left += y.threshold[i]
		}
		hz := y.between(lowestLag)
		for i := range out {
			if out[i].Hz == hz {
				out[i].Chance += deepest * left
				return out
			}
		}
		out = append(out, Candidate{hz, deepest * left})
	}
	return out
}

// between returns the frequency of a dip, its lag by the parabola through three points.
func (y *Yin) between(lag int) float64 {
	a, b, c := y.diff[lag-1], y.diff[lag], y.diff[lag+1]
	shift := 0.0
	if d := a - 2*b + c; d > 0 {
		shift = max(-0.5, min(0.5, (a-c)/(2*d)))
	}
	return y.rate / (float64(lag) + shift)
}
