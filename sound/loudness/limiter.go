package loudness

import "math"

// limitAhead is how far the limiter looks ahead, in samples.
const limitAhead = 3 * Rate / 1000

// Release is how slowly it lets go, in seconds to 1/e.
const Release = 0.12

// margin is how far under the ceiling the peaks are kept, in dB: the gain's own movement can put one between two samples.
const margin = 0.1

// limitGuard is how many samples on each side of a peak are turned down as far as it is: all
// that the peak between samples is made from.
const limitGuard = overTaps / 2

// Delay is by how many samples the limiter's gain is later than what it was given: a
// peak is known limitGuard samples on, and is prepared for from limitAhead before.
const Delay = limitAhead + 2*limitGuard - 1

// Limiter gives the gain that keeps some signals under the ceiling. It is reached smoothly over
// limitAhead before a peak and given back over Release.
type Limiter struct {
	watched []peaks
	ceiling float32
	needs   []float32 // of the block in hand
	at      int       // samples whose need is known

	// The least need of the window ahead: places and values that may yet be the least, in a ring.
	queueAt [limitWindow + 1]int
	queue   [limitWindow + 1]float32
	head    int
	queued  int
	held    [limitAhead]float64 // the last values, let go slowly, for their mean
	g       float64             // in 64 bits: in 32 its last steps back to 1 would be too small to count
	sum     float64
	calm    int // for how many samples nothing has been needed
	release float64
	gain    []float32
}

// limitWindow is over how many samples the least need is taken.
const limitWindow = limitAhead + 2*limitGuard

// NewLimiter makes one that watches so many signals and keeps them under a ceiling in dBTP.
func NewLimiter(signals int, ceiling float64) *Limiter {
	l := &Limiter{
		watched: make([]peaks, signals), ceiling: float32(math.Pow(10, (ceiling-margin)/20)), g: 1, sum: limitAhead,
		release: 1 - math.Exp(-1/(Release*Rate)), calm: limitWindow + limitAhead,
	}
	for i := range l.held {
		l.held[i] = 1
	}
	return l
}

// Add takes the next samples of each signal and returns as many gains: those of the samples
// Delay before. The answer holds until the next call.
func (l *Limiter) Add(signals ...[]float32) []float32 {
	n := len(signals[0])
	l.needs, l.gain = l.needs[:0], l.gain[:0]
	for range n {
		l.needs = append(l.needs, 1)
	}
	for k, s := range signals {
		l.watched[k].add(s, l.ceiling, func(i int, peak float32) float32 {
			l.needs[i] = min(l.needs[i], l.ceiling/peak)
			return l.ceiling
		})
	}
	for _, need := range l.needs {
		l.gain = append(l.gain, l.step(need))
		l.at++
	}
	return l.gain
}

// step takes the need of sample at and gives the gain of one some way before.
func (l *Limiter) step(need float32) float32 {
	const size = limitWindow + 1
	switch {
	case need < 1:
		l.calm = 0
	case l.calm >= limitWindow+limitAhead:
		return 1
	}
	for l.queued > 0 && l.queue[(l.head+l.queued-1)%size] >= need {
		l.queued--
	}
	back := (l.head + l.queued) % size
	l.queue[back], l.queueAt[back] = need, l.at
	l.queued++
	if l.queueAt[l.head] <= l.at-limitWindow {
		l.head = (l.head + 1) % size
		l.queued--
	}
	if v := float64(l.queue[l.head]); v < l.g {
		l.g = v
	} else {
		l.g += (v - l.g) * l.release
	}
	if l.g > 1-1e-6 {
		l.g = 1
	}
	k := l.at % limitAhead
	l.sum += l.g - l.held[k]
	l.held[k] = l.g
	if need >= 1 && l.g == 1 {
		if l.calm++; l.calm >= limitWindow+limitAhead {
			l.sum, l.queued = limitAhead, 0
			return 1
		}
	}
	return float32(l.sum / limitAhead)
}

// peaks looks for the true peaks of a signal that comes in pieces.
type peaks struct{ x []float32 }

// add takes the next samples and calls found with every peak above level among those limitGuard
// before: number i of as many as were given. The level may be raised by found's answer.
func (p *peaks) add(in []float32, level float32, found func(i int, peak float32) float32) {
	const before, after = overTaps/2 - 1, overTaps / 2
	if p.x == nil {
		p.x = make([]float32, before+after, before+after+len(in))
	}
	p.x = append(p.x, in...)
	overPeaks(p.x, before, before+len(in), level, func(i int, peak float32) float32 { return found(i-before, peak) })
	p.x = append(p.x[:0], p.x[len(in):]...)
}
