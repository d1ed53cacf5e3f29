package listen

import (
	"math"

	"lapwright/listen/yin"
	"lapwright/pitch"
)

// Step is the time between two frames of Pitches, in seconds.
const Step = 0.005

// Frame is the pitch at one moment.
type Frame struct {
	At     float64
	Hz     pitch.Hz // what it would be even where nothing sounds
	Voiced bool
	Sure   float64 // how much of the thresholds agree that there is a pitch, 0 to 1
}

// Pitches follows the pitch of a single line by pYIN, 5 ms a frame, and then measures it exactly by the partials around
// what pYIN says (the package comment says which pitch is meant). Several strings at once are no single line: use
// Review.
func (t *Take) Pitches() []Frame {
	n := int(t.Seconds()/Step) + 1
	if t.n == 0 {
		return nil
	}
	y := yin.New(t.rate)
	seen := make([][]yin.Candidate, n)
	for i := range n {
		seen[i] = y.Candidates(t.x, t.sample(float64(i)*Step))
	}
	states := yin.Likeliest(seen)
	frames := make([]Frame, n)
	l := newLook(t.rate)
	for i := range frames {
		f := Frame{At: float64(i) * Step}
		for _, c := range seen[i] {
			f.Sure += c.Chance
		}
		f.Sure = min(f.Sure, 1)
		f.Hz = pitch.Hz(nearestCandidate(seen[i], states[i].Hz()))
		if f.Voiced = states[i].Voiced; f.Voiced {
			if exact, ok := l.fine(t, f.At, float64(f.Hz)); ok {
				f.Hz = pitch.Hz(exact)
			}
		}
		frames[i] = f
	}
	return frames
}

// nearestCandidate returns the candidate within a state's reach of hz, else hz.
func nearestCandidate(all []yin.Candidate, hz float64) float64 {
	best, off := hz, yin.StateCents*1.5
	for _, c := range all {
		if d := math.Abs(centsOver(hz, c.Hz)); d < off {
			best, off = c.Hz, d
		}
	}
	return best
}

// fine measures the pitch near f at a moment: the mean of f_n/n over the partials up to 2.5 kHz, weighted by
// (n·amplitude)², which is the least squares fit of a harmonic series. The window is five periods, near whose nulls the
// neighbouring partials lie.
func (l *look) fine(t *Take, at, f float64) (float64, bool) {
	for range 2 {
		l.pointAt(t, at, max(5/f, shortestLook))
		sum, weight := 0.0, 0.0
		for i := range partialsOf(f, 6) {
			n := float64(i + 1)
			p, ok := l.near(n*f, 60)
			if !ok {
				continue
			}
			w := n * n * p.amplitude * p.amplitude
			sum += w * math.Log(p.hz/n)
			weight += w
		}
		if weight == 0 {
			return f, false
		}
		f = math.Exp(sum / weight)
	}
	return f, true
}

// shortestLook is the shortest window, in seconds.
const shortestLook = 0.018

// highestPartial is the highest frequency of a partial that counts, in hertz.
const highestPartial = 2500

// partialsOf returns how many partials of a string count, so many at most: those below highestPartial, but the first
// always.
func partialsOf(f float64, most int) int {
	count := 1
	for count < most && float64(count+1)*f < highestPartial {
		count++
	}
	return count
}
