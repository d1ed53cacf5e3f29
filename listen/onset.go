package listen

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Onset is a moment at which something is plucked or struck.
type Onset struct {
	At       float64
	Strength float64 // against the take's ordinary onsets: 1 is the median of the clear ones
}

// How onsets are found: frames of fluxSize samples at about 11 kHz every fluxHop, the rise of each bin's logarithm
// against the largest of itself and its neighbours fluxLag frames before (Böck and Widmer 2013: the maximum keeps
// glides and vibrato from counting), summed.
const (
	fluxSize = 512
	fluxHop  = 64
	fluxLag  = 3
	fluxGain = 100 // in ln(1 + gain·|X|), |X| against the take's loudest bin
)

// Peaks are onsets when they are the highest within peakReach and stand above
// the mean around them by peakShare of the take's clear peaks.
const (
	peakReach = 0.035 // seconds
	peakMean  = 0.12
	peakShare = 0.16
)

// fluxLead is how many frames come before the take's first sample, so that what begins with it rises from silence.
const fluxLead = 8

// flux returns the take's spectral flux, one value a hop, from fluxLead hops before
// its start. It holds fluxLag+1 frames at a time: the first pass finds the loudest bin.
func (t *Take) flux() []float64 {
	n := len(t.x)/fluxHop + 1 + fluxLead
	f := fluxer{take: t, fft: fourier.NewFFT(fluxSize), window: newWindow(fluxSize / 2), buf: make([]float64, fluxSize)}
	var ring [fluxLag + 1][]float64
	for i := range ring {
		ring[i] = make([]float64, fluxSize/2)
	}
	loudest := 0.0
	for i := range n {
		f.frame(i, ring[0])
		loudest = max(loudest, slices.Max(ring[0]))
	}
	flux := make([]float64, n)
	if loudest == 0 {
		return flux
	}
	loudest = math.Sqrt(loudest)
	for i := range n {
		now, was := ring[i%len(ring)], ring[(i+1)%len(ring)] // i − fluxLag
		f.frame(i, now)
		for k := range now {
			now[k] = math.Log1p(fluxGain * math.Sqrt(now[k]) / loudest)
		}
		if i < fluxLag {
			continue
		}
		for k := range now {
			most := was[k]
			if k > 0 {
				most = max(most, was[k-1])
			}
			if k+1 < len(now) {
				most = max(most, was[k+1])
			}
			flux[i] += max(0, now[k]-most)
		}
	}
	return flux
}

// fluxer makes the frames of the flux.
type fluxer struct {
	take   *Take
	fft    *fourier.FFT
	window *window
	buf    []float64
	out    []complex128
}

// frame writes the power of each bin of frame i but the one at 0 Hz.
func (f *fluxer) frame(i int, power []float64) {
	from := (i-fluxLead)*fluxHop - fluxSize/2
	for k := range f.buf {
		f.buf[k] = 0
		if at := from + k; at >= 0 && at < len(f.take.x) {
			f.buf[k] = f.take.x[at] * f.window.w[k]
		}
	}
	f.out = f.fft.Coefficients(f.out, f.buf)
	for k := range power {
		c := f.out[k+1]
		power[k] = real(c)*real(c) + imag(c)*imag(c)
	}
}

// Onsets finds where something is plucked, weak ones included.
func (t *Take) Onsets() []Onset {
	var out []Onset
	for _, p := range clearPeaks(fluxPeaks(t.flux(), t.rate/fluxHop)) {
		// The flux peaks when the rise is about half in the window, fluxLag/2 later.
		out = append(out, Onset{t.rise(float64((p.i-fluxLead)*fluxHop-fluxLag*fluxHop/2) / t.rate), p.height})
	}
	return out
}

// peak is where the flux is highest around.
type peak struct {
	i      int
	height float64
}

// fluxPeaks returns the peaks of a flux of so many values a second, with their heights above the mean around them.
func fluxPeaks(flux []float64, per float64) []peak {
	reach, around := int(peakReach*per)+1, int(peakMean*per)
	running := 0.0
	sums := make([]float64, len(flux)+1)
	for i, f := range flux {
		running += f
		sums[i+1] = running
	}
	var peaks []peak
	for i, f := range flux {
		lo, hi := max(0, i-reach), min(len(flux), i+reach+1)
		// Of several as high the first counts.
		if f == 0 || i != lo+slices.Index(flux[lo:hi], slices.Max(flux[lo:hi])) {
			continue
		}
		a, b := max(0, i-around), min(len(flux), i+around/2+1)
		if h := f - (sums[b]-sums[a])/float64(b-a); h > 0 {
			peaks = append(peaks, peak{i, h})
		}
	}
	return peaks
}

// clearPeaks returns those that stand out, with their heights against the median of the clear ones.
func clearPeaks(peaks []peak) []peak {
	if len(peaks) == 0 {
		return nil
	}
	heights := make([]float64, len(peaks))
	for i, p := range peaks {
		heights[i] = p.height
	}
	slices.Sort(heights)
	// The clear ones: those over half of what only a twentieth surpass.
	top := heights[len(heights)*19/20]
	first, _ := slices.BinarySearch(heights, top/2)
	clear := heights[(first+len(heights))/2]
	var out []peak
	for _, p := range peaks {
		if p.height >= peakShare*clear {
			out = append(out, peak{p.i, p.height / clear})
		}
	}
	return out
}

// rise looks for the moment near a time at which the signal's slope grows most:
// the power of its difference over the 4 ms after against the 8 ms before.
func (t *Take) rise(near float64) float64 {
	const before, after, reach = 0.008, 0.004, 0.03
	lo, hi := t.sample(near-reach-before), t.sample(near+reach+after)
	sample := func(i int) float64 {
		if i < 0 || i >= len(t.x) {
			return 0
		}
		return t.x[i]
	}
	sums := make([]float64, hi-lo+1)
	for i := lo; i < hi; i++ {
		d := sample(i) - sample(i-1)
		sums[i-lo+1] = sums[i-lo] + d*d
	}
	b, a := t.sample(before), t.sample(after)
	best, at := 0.0, near
	mean := sums[len(sums)-1] / float64(len(sums))
	for i := b; i+a < len(sums); i++ {
		was := (sums[i] - sums[i-b]) / float64(b)
		is := (sums[i+a] - sums[i]) / float64(a)
		if r := is / (was + 0.05*mean + 1e-15); r > best {
			best, at = r, float64(lo+i)/t.rate
		}
	}
	return max(0, at)
}
