package loop

import (
	"math"

	"lapwright/sound/filter"
	"lapwright/sound/loss"
)

// dispersers is how many first-order allpass sections in series give a string
// its stiffness. Four keep each one's coefficient small enough for the
// phase to stay smooth over the partials that are heard.
const dispersers = 4

// MinDelay is the shortest delay in samples that the six-point interpolator
// can give while it reads only samples already written.
const MinDelay = 3.0

// Loop is one polarisation of a string: a delay line read between its samples,
// a loss filter and a stiffness filter, fed back on itself. It is the
// single-delay-loop form of a waveguide: one round trip from the bridge to the
// steel and back.
type Loop struct {
	buf  []float64 // a power of two long, and its first taps again at the end
	mask int
	w    int // where the next sample is written

	Loss loss.Filter
	lows [loss.Shelves]float64
	past [16]float64 // what went into the loss filter's sharp part, by l.w

	Allpass float64 // coefficient of each stiffness section, −1 < Allpass ≤ 0
	section [dispersers]float64

	Delay float64 // present length of the delay line alone, in samples
	Step  float64 // change of it each sample; 0 when steady
	whole int     // taps start here
	taps  [reach]float64
}

// reach is how many samples the interpolator reads.
const reach = 6

// New makes a loop for periods up to longest samples.
func New(longest float64) *Loop {
	n := 16
	for float64(n) < longest+16 {
		n *= 2
	}
	l := &Loop{buf: make([]float64, n+reach), mask: n - 1}
	l.SetDelay(longest)
	return l
}

// Clear stops the string dead, keeping its length and filters.
func (l *Loop) Clear() {
	clear(l.buf)
	l.lows = [loss.Shelves]float64{}
	l.past = [16]float64{}
	l.section = [dispersers]float64{}
}

// SetDelay fixes the length of the delay line in samples and stops any motion.
// Six-point Lagrange interpolation (Laakso et al., 1996, eq. 42), used between
// its middle points, where it is flattest: at 8 kHz its loss is below 0.05 dB
// a round trip, less than any string's own.
func (l *Loop) SetDelay(d float64) {
	l.Delay, l.Step = d, 0
	l.spread()
}

// spread works out the taps for the present delay.
func (l *Loop) spread() {
	whole := int(l.Delay) - 2
	d := l.Delay - float64(whole) // 2 ≤ d < 3
	l.whole = whole
	d0, d1, d2, d3, d4, d5 := d, d-1, d-2, d-3, d-4, d-5
	a, b, c := d0*d1, d2*d3, d4*d5
	l.taps[0] = -d1 * b * c / 120
	l.taps[1] = d0 * b * c / 24
	l.taps[2] = -a * d3 * c / 12
	l.taps[3] = a * d2 * c / 12
	l.taps[4] = -a * b * d5 / 24
	l.taps[5] = a * b * d4 / 120
}

// Move makes the delay line grow or shrink evenly so that it is d samples long
// after n samples.
func (l *Loop) Move(d float64, n int) {
	l.Step = (d - l.Delay) / float64(n)
}

// hasteLoss is ours: with it no way there and back gains that takes four periods or more (TestNoWayThereAndBackGains). What is
// quicker is a hammer-on or a pull-off, in which a finger does work.
const hasteLoss = 0.5

// Arrive gives the wave that arrives at the bridge now. keep is a further gain
// for one round trip: 1 rings freely, less is a hand on the string.
//
// While the line grows or shrinks by step samples a sample, each wave in it is
// raised or lowered by 1 − step: then the energy over the frequency stays what it
// was, as it does when the end of a string is moved slowly (P. Ehrenfest's adiabatic
// principle; J. Pakarinen et al., Computer Music Journal 32(3), 2008, 42, on the need for
// it). An octave up makes the wave twice as high. That holds when it takes many periods; a wave whose loud part meets the
// steel when it is slow would come out of a glide of one or two with some per cent more, so a move also takes hasteLoss times the square of its
// speed: next to nothing in a glide that a hand can make.
func (l *Loop) Arrive(keep float64) float64 {
	if l.Step != 0 {
		l.Delay += l.Step
		l.spread()
		keep *= 1 - l.Step - hasteLoss*l.Step*l.Step
	}
	// The samples wanted lie in a row, the oldest first.
	from := (l.w - l.whole - (reach - 1)) & l.mask
	x := (*[reach]float64)(l.buf[from : from+reach])
	t := &l.taps
	v := t[5]*x[0] + t[4]*x[1] + (t[3]*x[2] + t[2]*x[3]) + (t[1]*x[4] + t[0]*x[5])
	s0 := l.lows[0] + loss.Poles[0]*(v-l.lows[0])
	s1 := l.lows[1] + loss.Poles[1]*(v-l.lows[1])
	s2 := l.lows[2] + loss.Poles[2]*(v-l.lows[2])
	l.lows[0], l.lows[1], l.lows[2] = s0, s1, s2
	v = l.Loss.Straight*v + l.Loss.Low[0]*s0 + l.Loss.Low[1]*s1 + l.Loss.Low[2]*s2
	q, w := &l.past, l.w
	q[w&15] = v
	mid := q[(w-4)&15]
	y := mid - l.Loss.Sharp/16*(v+q[(w-8)&15]-4*(q[(w-2)&15]+q[(w-6)&15])+6*mid)
	if a := l.Allpass; a != 0 {
		s := &l.section
		y0 := a*y + s[0]
		y1 := a*y0 + s[1]
		y2 := a*y1 + s[2]
		y3 := a*y2 + s[3]
		s[0], s[1], s[2], s[3] = y-a*y0, y0-a*y1, y1-a*y2, y2-a*y3
		y = y3
	}
	return y * keep
}

// Leave sends a wave off from the bridge.
func (l *Loop) Leave(y float64) {
	at := l.w & l.mask
	l.buf[at] = y
	if at < reach {
		l.buf[at+l.mask+1] = y
	}
	l.w++
}

// Loudest returns the largest magnitude in the line.
func (l *Loop) Loudest() float64 {
	low, high := 0.0, 0.0
	for _, v := range l.buf {
		if v > high {
			high = v
		}
		if v < low {
			low = v
		}
	}
	return math.Max(high, -low)
}

// Energy returns that of the waves in the line, over one period of so many samples to the part of a sample.
func (l *Loop) Energy(period float64) float64 {
	sum := 0.0
	for i := 1; i <= int(period)+1; i++ {
		v := l.buf[(l.w-i)&l.mask]
		sum += v * v * min(1, period-float64(i-1))
	}
	return sum
}

// PhaseDelay gives the phase delay in samples of all stiffness sections
// together, (a + z⁻¹)/(1 + a·z⁻¹) each, at ω radians a sample.
func PhaseDelay(a, w float64) float64 {
	if a == 0 {
		return 0
	}
	// arg A = −ω + 2·atan2(a·sin ω, 1 + a·cos ω), so its delay is that over −ω.
	return dispersers * (1 - 2*math.Atan2(a*math.Sin(w), 1+a*math.Cos(w))/w)
}

// Stiffness returns the allpass coefficient that stretches the partials of a loop
// of fundamental f1 as a string of inharmonicity b does: fₙ ∝ n·sqrt(1 + b·n²)
// (Fletcher and Rossing, eq. 2.67). A golden-section search weighs the first
// partials, up to 20 of them and 9 kHz, by how loud they are.
func Stiffness(f1, b float64) float64 {
	if b < 1e-6 {
		return 0
	}
	count := int(min(20, 9000/f1))
	// The sections may not take more than half of the round trip.
	room := 0.5 * (filter.Rate/f1 - MinDelay) / dispersers
	lowest := -0.85
	if room > 1 {
		lowest = max(lowest, (1-room)/(1+room))
	}
	if count < 3 || room <= 1 {
		return 0
	}
	w1 := 2 * math.Pi * f1 / filter.Rate
	miss := func(a float64) float64 {
		at1 := PhaseDelay(a, w1)
		sum := 0.0
		for n := 2; n <= count; n++ {
			stretch := math.Sqrt((1 + b*float64(n*n)) / (1 + b))
			w := w1 * float64(n) * stretch
			want := filter.Rate / f1 * (1/stretch - 1)
			e := (PhaseDelay(a, w) - at1 - want) * f1 / filter.Rate
			sum += e * e / float64(n)
		}
		return sum
	}
	lo, hi := lowest, 0.0
	const golden = 0.6180339887498949
	x1, x2 := hi-golden*(hi-lo), lo+golden*(hi-lo)
	m1, m2 := miss(x1), miss(x2)
	for hi-lo > 1e-3 {
		if m1 < m2 {
			hi, x2, m2 = x2, x1, m1
			x1 = hi - golden*(hi-lo)
			m1 = miss(x1)
		} else {
			lo, x1, m1 = x1, x2, m2
			x2 = lo + golden*(hi-lo)
			m2 = miss(x2)
		}
	}
	return (lo + hi) / 2
}
