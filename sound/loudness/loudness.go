package loudness

import (
	"math"

	"lapwright/sound/filter"
)

// Rate is the sample rate, in samples a second.
const Rate = filter.Rate

// Meter measures a recording that comes in pieces, by ITU-R BS.1770-4: K-weighting with the
// filters tabled there for 48 kHz (annex 1, tables 1 and 2), blocks of 400 ms every
// 100 ms, gated at −70 LUFS and then 10 LU below what is left; left and right weigh
// the same and mono is one channel. True peak is taken at four times the rate (annex 2)
// through our own Kaiser-windowed interpolator. The zero value has heard nothing. It keeps 2 kB for
// each second.
type Meter struct {
	sides []meterSide
	cells []float32 // energy of each cell, all channels
	at    int       // samples in the cell in hand
	cell  float64
	peak  float32
}

type meterSide struct {
	shelf, cut filter.Biquad
	peaks      peaks
}

// CellSize is how many samples are summed to one figure: 2 ms, of which fifty make 100 ms.
const CellSize = 96

// Add takes the next samples of each channel, of one length; there are as many channels at each call.
func (m *Meter) Add(channels ...[]float32) {
	if m.sides == nil {
		for range channels {
			m.sides = append(m.sides, meterSide{
				shelf: filter.NewBiquad(1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585),
				cut:   filter.NewBiquad(1, -2, 1, -1.99004745483398, 0.99007225036621),
			})
		}
	}
	if len(channels) == 0 {
		return
	}
	n := len(channels[0])
	for at := 0; at < n; {
		size := min(CellSize-m.at, n-at)
		for c := range channels {
			s, sum := &m.sides[c], 0.0
			for _, v := range channels[c][at : at+size] {
				y := s.cut.Next(s.shelf.Next(float64(v)))
				sum += y * y
			}
			m.cell += sum
		}
		at += size
		if m.at += size; m.at == CellSize {
			m.cells = append(m.cells, float32(m.cell))
			m.at, m.cell = 0, 0
		}
	}
	for c, x := range channels {
		m.peak = max(m.peak, Loudest(x))
		m.sides[c].peaks.add(x, m.peak, m.higher)
	}
}

func (m *Meter) higher(_ int, peak float32) float32 {
	m.peak = peak
	return peak
}

// Cells returns the energy of each cell so far, all channels, K-weighted.
func (m *Meter) Cells() []float32 { return m.cells }

// Loudness returns the integrated loudness so far in LUFS; −∞ for silence and for less than 400 ms.
func (m *Meter) Loudness() float64 { return Integrated(m.cells, nil) }

// TruePeak returns the highest true peak so far in dBTP, −∞ for silence.
func (m *Meter) TruePeak() float64 {
	for c := range m.sides {
		p := peaks{append([]float32(nil), m.sides[c].peaks.x...)}
		p.add(make([]float32, overTaps/2), m.peak, m.higher) // silence follows
	}
	return 20 * math.Log10(float64(m.peak))
}

// Integrated returns the loudness of energies by the cell, under a gain for each; nil is no gain.
func Integrated(cells, gain []float32) float64 {
	const each = Rate / 10 / CellSize
	hops := make([]float64, len(cells)/each)
	for i := range hops {
		for k := i * each; k < (i+1)*each; k++ {
			e := float64(cells[k])
			if gain != nil {
				e *= float64(gain[k]) * float64(gain[k])
			}
			hops[i] += e
		}
	}
	loud := func(energy float64) float64 { return -0.691 + 10*math.Log10(energy) }
	var blocks []float64
	for i := 3; i < len(hops); i++ {
		blocks = append(blocks, (hops[i]+hops[i-1]+hops[i-2]+hops[i-3])/(4*each*CellSize))
	}
	gate := func(least float64) float64 {
		sum, n := 0.0, 0
		for _, e := range blocks {
			if loud(e) > least {
				sum += e
				n++
			}
		}
		if n == 0 {
			return 0
		}
		return sum / float64(n)
	}
	all := gate(-70)
	if all == 0 {
		return math.Inf(-1)
	}
	return loud(gate(max(-70, loud(all)-10)))
}

// overTaps is how many input samples each of the interpolated values is made
// from.
const overTaps = 24

// overPhases are the interpolator's three phases between the samples: a sinc
// under a Kaiser window of β 8, whose stop band lies 80 dB down.
var overPhases = func() (out [3][overTaps]float32) {
	for p := range out {
		sum := 0.0
		var h [overTaps]float64
		for k := range h {
			x := float64(k) - (overTaps/2 - 1) - float64(p+1)/4
			u := x / (overTaps / 2)
			h[k] = filter.Bessel0(8 * math.Sqrt(1-u*u))
			if x != 0 {
				h[k] *= math.Sin(math.Pi*x) / (math.Pi * x)
			}
			sum += h[k]
		}
		for k := range h {
			out[p][k] = float32(h[k] / sum)
		}
	}
	return out
}()

// peakNear returns the highest magnitude at sample i and the three places
// between it and the next. All samples that these are made from are there.
func peakNear(c []float32, i int) float32 {
	lo := i - (overTaps/2 - 1)
	return max(c[i], -c[i], between(c[lo:lo+overTaps]))
}

func between(x []float32) float32 {
	x = x[:overTaps]
	var a, b, c float32
	for k, v := range x {
		a += overPhases[0][k] * v
		b += overPhases[1][k] * v
		c += overPhases[2][k] * v
	}
	return max(a, -a, b, -b, c, -c)
}

// overBound is how far at most the interpolator's values exceed the samples
// they are made from: the sum of its taps' magnitudes.
var overBound = func() float32 {
	most := float32(0)
	for _, phase := range overPhases {
		sum := float32(0)
		for _, h := range phase {
			sum += max(h, -h)
		}
		most = max(most, sum)
	}
	return most
}()

// peakBlock is how many samples are passed over together when none near them
// can reach a peak of interest.
const peakBlock = 64

// overPeaks calls found with every true peak above level at samples lo to hi−1 of x, taking
// them one after another. The level may be raised by found's answer.
func overPeaks(x []float32, lo, hi int, level float32, found func(i int, peak float32) float32) {
	before, here := float32(0), loudestIn(x, 0)
	for at := 0; at < hi; at += peakBlock {
		after := loudestIn(x, at+peakBlock)
		if overBound*max(before, here, after) > level {
			for i := max(lo, at); i < min(at+peakBlock, hi); i++ {
				if p := peakNear(x, i); p > level {
					level = found(i, p)
				}
			}
		}
		before, here = here, after
	}
}

// loudestIn returns the largest magnitude in the block at from.
func loudestIn(x []float32, from int) float32 {
	return Loudest(x[max(0, min(from, len(x))):max(0, min(from+peakBlock, len(x)))])
}

// Loudest returns the largest magnitude. (Plain comparisons: the built-in max
// minds NaN, which takes longer and which samples never are.)
func Loudest(x []float32) float32 {
	low, high := float32(0), float32(0)
	for _, v := range x {
		if v > high {
			high = v
		}
		if v < low {
			low = v
		}
	}
	return max(high, -low)
}
