package listen

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/pitch"
)

// Step is the time between two frames of Pitches, in seconds.
const Step = 0.005

// Frame is the pitch at one moment.
type Frame struct {
	At     float64
	Hz     pitch.Hz // what it would be even where nothing sounds; 0 when there is no guess
	Voiced bool
	Sure   float64 // how much of the thresholds agree that there is a pitch, 0 to 1
}

// The range of Pitches, in hertz, and how finely its states lie, in cents.
const (
	lowestHz  = 60
	highestHz = 1600
	stateStep = 20
)

// Parameters of pYIN as published: thresholds spread as Beta(2, 18) with mean 0.1 in steps of 0.01, 1 % for the deepest
// dip when none is under its threshold, 1 % chance a step of going from voiced to unvoiced or back (Mauch and Dixon
// 2014, sections 2.1 and 2.2). The pitch moves by up to farthest states a step.
const (
	thresholds = 100
	betaA      = 2
	betaB      = 18
	deepest    = 0.01
	switching  = 0.01
	farthest   = 5
)

// yinSeconds is how much of the sound is compared with what comes a lag later.
const yinSeconds = 0.045

// candidate is a pitch that a frame may have.
type candidate struct {
	hz float64
	p  float64
}

// Pitches follows the pitch of a single line by pYIN, 5 ms a frame, and then measures it exactly by the partials around
// what pYIN says (the package comment says which pitch is meant). Several strings at once are no single line: use
// Review.
func (t *Take) Pitches() []Frame {
	n := int(t.Seconds()/Step) + 1
	if t.n == 0 {
		return nil
	}
	y := newYin(t.rate)
	seen := make([][]candidate, n)
	for i := range n {
		seen[i] = y.candidates(t, float64(i)*Step)
	}
	states := decode(seen)
	frames := make([]Frame, n)
	l := newLook(t.rate)
	for i := range frames {
		f := Frame{At: float64(i) * Step}
		for _, c := range seen[i] {
			f.Sure += c.p
		}
		f.Sure = min(f.Sure, 1)
		if s := states[i]; s.bin >= 0 {
			f.Hz = pitch.Hz(nearestCandidate(seen[i], s.hz()))
			f.Voiced = s.voiced
		}
		if f.Voiced {
			if exact, ok := l.fine(t, f.At, float64(f.Hz)); ok {
				f.Hz = pitch.Hz(exact)
			}
		}
		frames[i] = f
	}
	return frames
}

// nearestCandidate returns the candidate within a state's reach of hz, else hz.
func nearestCandidate(all []candidate, hz float64) float64 {
	best, off := hz, float64(stateStep)*1.5
	for _, c := range all {
		if d := math.Abs(centsOver(hz, c.hz)); d < off {
			best, off = c.hz, d
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

// yin works out the difference function of a take.
type yin struct {
	rate      float64
	width     int // samples compared
	lags      int // the longest lag
	fft       *fourier.FFT
	a, b      []float64
	fa, fb    []complex128
	diff      []float64
	threshold [thresholds]float64 // the chance of each
}

func newYin(rate float64) *yin {
	y := &yin{rate: rate, width: int(yinSeconds * rate), lags: int(rate/lowestHz) + 2}
	size := 1
	for size < y.width+y.lags {
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

// candidates returns the pitches a moment may have, each with its chance: the stretch compared is centred on it.
func (y *yin) candidates(t *Take, at float64) []candidate {
	from := t.sample(at) - (y.width+y.lags)/2
	clear(y.a)
	clear(y.b)
	energy := 0.0
	for i := range y.width + y.lags {
		k := from + i
		if k < 0 || k >= len(t.x) {
			continue
		}
		y.b[i] = t.x[k]
		if i < y.width {
			y.a[i] = t.x[k]
			energy += t.x[k] * t.x[k]
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
func (y *yin) silent(energy float64) bool { return energy < silentPower*float64(y.width) }

// overMean puts the difference function over its running mean, 1 as long as that is 0 (YIN eq. 8).
func (y *yin) overMean() {
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
func (y *yin) dips() []candidate {
	var out []candidate
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
		out = append(out, candidate{y.between(lag), p})
	}
	if lowestLag > 0 && covered > 0 {
		left := 0.0
		for i := range covered {
			left += y.threshold[i]
		}
		hz := y.between(lowestLag)
		for i := range out {
			if out[i].hz == hz {
				out[i].p += deepest * left
				return out
			}
		}
		out = append(out, candidate{hz, deepest * left})
	}
	return out
}

// between returns the frequency of a dip, its lag by the parabola through three points.
func (y *yin) between(lag int) float64 {
	a, b, c := y.diff[lag-1], y.diff[lag], y.diff[lag+1]
	shift := 0.0
	if d := a - 2*b + c; d > 0 {
		shift = max(-0.5, min(0.5, (a-c)/(2*d)))
	}
	return y.rate / (float64(lag) + shift)
}

// state is what the hidden Markov model says of a frame.
type state struct {
	bin    int // −1 for none
	voiced bool
}

func (s state) hz() float64 { return lowestHz * factor(float64(s.bin)*stateStep) }

// decode finds the likeliest way through the candidates (Viterbi).
func decode(seen [][]candidate) []state {
	bins := int(centsOver(lowestHz, highestHz)/stateStep) + 1
	back := make([]int16, len(seen)*2*bins) // the state before, as an offset of bins, and 100 more when voicing changed
	now, next := make([]float64, 2*bins), make([]float64, 2*bins)
	move := make([]float64, 2*farthest+1)
	for d := range move {
		move[d] = math.Log(float64(farthest+1-pitch.Abs(d-farthest)) / float64((farthest+1)*(farthest+1)))
	}
	stay, change := math.Log(1-switching), math.Log(switching)
	observed := make([]float64, bins)
	for i, all := range seen {
		clear(observed)
		sum := 0.0
		for _, c := range all {
			b := int(math.Round(centsOver(lowestHz, c.hz) / stateStep))
			if b >= 0 && b < bins {
				observed[b] += c.p
				sum += c.p
			}
		}
		none := math.Log(max(1e-6, 1-min(sum, 1)) / float64(bins))
		for b := range bins {
			bestV, fromV, bestU, fromU := math.Inf(-1), 0, math.Inf(-1), 0
			if i > 0 {
				for d := max(-farthest, -b); d <= min(farthest, bins-1-b); d++ {
					m := move[d+farthest]
					if p := now[b+d] + m; p > bestV {
						bestV, fromV = p, d
					}
					if p := now[bins+b+d] + m; p > bestU {
						bestU, fromU = p, d
					}
				}
			} else {
				bestV, bestU = 0, 0
			}
			at := i * 2 * bins
			v, vf := bestV+stay, int16(fromV)
			if bestU+change > v {
				v, vf = bestU+change, int16(fromU+100)
			}
			u, uf := bestU+stay, int16(fromU)
			if bestV+change > u {
				u, uf = bestV+change, int16(fromV+100)
			}
			next[b] = v + math.Log(max(observed[b], 1e-9))
			next[bins+b] = u + none
			back[at+b], back[at+bins+b] = vf, uf
		}
		now, next = next, now
	}
	out := make([]state, len(seen))
	best := 0
	for s := range now {
		if now[s] > now[best] {
			best = s
		}
	}
	for i := len(seen) - 1; i >= 0; i-- {
		voiced := best < bins
		b := best % bins
		out[i] = state{b, voiced}
		step := int(back[i*2*bins+best])
		if step > farthest {
			step -= 100
			voiced = !voiced
		}
		best = b + step
		if !voiced {
			best += bins
		}
	}
	return out
}
