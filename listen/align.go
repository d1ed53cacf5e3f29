package listen

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/pitch"
)

// What disagreement costs in the alignment, in units of one note that is quite
// wrong; fitted on takes of the sound room (TestMissedAndExtraNotes and
// TestRestartsAndRepeats pin them).
const (
	wrongCost   = 1.6  // a pluck none of whose expected pitches is new, against all of them
	missedCost  = 1.3  // a pluck that the tab has and the take does not
	extraCost   = 0.25 // a weak onset that the tab does not have
	extraStrong = 0.75 // and for one as strong as the others, that much more
	jumpCost    = 4.5  // going on anywhere else in the tab
	insideCost  = 2.5  // beginning or ending elsewhere than at the tab's ends
	hesitation  = 1.3  // the most that a pause or rush costs
	timeSlope   = 2.2  // cost of one unit of ln(time taken/time expected)
)

// How far the alignment looks in one step.
const (
	mostMissed = 6 // plucks in a row, before it counts as a jump
	mostExtra  = 8 // onsets in a row
)

// slowestPlay and fastestPlay bound the tempo against the written one.
const (
	slowestPlay = 0.3
	fastestPlay = 2.5
)

// pluckHeard is what an onset sounds like: for each semitone, how much its
// partials rose.
type pluckHeard struct {
	Onset
	rise  [128]float64 // the strongest is 1
	clear float64      // how much the strongest stands out from the rest
	gain  float64      // how much louder the partials got in all, as a ratio
	rose  float64      // how much those of the strongest rose, to be compared with other plucks
	click bool         // it may be a click alone, something else beginning before that shows
}

// The spectra on both sides of an onset that are compared: so many seconds each,
// the later one beginning riseGap after it.
const (
	riseLook = 0.085
	riseGap  = 0.012
)

// The keys that onsets are told apart by, and how many partials speak for each.
const (
	lowestKey    = 28
	highestKey   = 100
	risePartials = 6
	riseWithin   = 60 // cents
)

// describer returns what describes an onset of a take by what sounds for look seconds from gap after it on.
func (t *Take) describer(a4, gap, look float64) func(Onset) pluckHeard {
	size := 64
	for float64(size) < look*t.rate {
		size *= 2
	}
	const finer = 4
	fft := fourier.NewFFT(size * finer)
	v := newWindow(size / 2)
	buf, out := make([]float64, size*finer), []complex128(nil)
	spectrum := func(from float64) []float64 {
		clear(buf)
		at := t.sample(from)
		for k := range size {
			if i := at + k; i >= 0 && i < len(t.x) {
				buf[k] = t.x[i] * v.w[k]
			}
		}
		out = fft.Coefficients(out, buf)
		m := make([]float64, len(out))
		for k, c := range out {
			m[k] = math.Hypot(real(c), imag(c))
		}
		return m
	}
	per := float64(size*finer) / t.rate // bins a hertz
	seconds := float64(size) / t.rate
	return func(o Onset) pluckHeard {
		p := pluckHeard{Onset: o}
		was, is := spectrum(o.At-seconds-0.004), spectrum(o.At+gap)
		var before, after float64
		for key := lowestKey; key <= highestKey; key++ {
			f := float64(pitch.Equal(float64(key), pitch.Hz(a4)))
			sum := 0.0
			for n := 1.0; n <= risePartials; n++ {
				lo, hi := int(n*f*per*factor(-riseWithin)), int(n*f*per*factor(riseWithin))+1
				if hi >= len(is) {
					break
				}
				a, b := slices.Max(was[lo:hi+1]), slices.Max(is[lo:hi+1])
				sum += math.Pow(0.84, n-1) * math.Sqrt(max(0, b-a))
				before += a * a
				after += b * b
			}
			p.rise[key] = sum
		}
		most, total := slices.Max(p.rise[:]), 0.0
		for _, r := range p.rise {
			total += r
		}
		p.rose = most
		if most > 0 {
			p.clear = most * float64(highestKey-lowestKey+1) / total
			for k := range p.rise {
				p.rise[k] /= most
			}
		}
		p.gain = math.Sqrt((after + 1e-12) / (before + 1e-12))
		return p
	}
}

// agrees says how well an onset agrees with keys being plucked, 0 to 1.
func (p *pluckHeard) agrees(keys []float64) float64 {
	if len(keys) == 0 {
		return 0.5
	}
	sum := 0.0
	for _, k := range keys {
		if i := int(math.Round(k)); i >= 0 && i < len(p.rise) {
			sum += p.rise[i]
		}
	}
	return sum / float64(len(keys))
}

// aligned is which onset each group of the score has.
type aligned struct {
	onset []int   // by group: index into the plucks heard; −1 when it was not played
	reach []bool  // by group: whether the take goes there at all
	used  []bool  // by onset
	again []bool  // by onset: belongs to an attempt that was begun anew
	agree float64 // mean agreement of those matched
	jumps int
}

// cell is one state of the alignment: group g is onset j.
type cell struct {
	cost      float64
	pace      float64 // ln(take's seconds a score second) on the way here
	paceKnown bool
	from      step
}

// step is where a cell was come to from; all of them are kept, to go back by.
type step struct {
	g      int32 // −1 where the take begins
	dj     int8  // onsets back
	jumped bool
}

// columns is how many onsets back the costs are kept.
const columns = mostExtra + 2

// align finds which onset is which pluck of the score: dynamic programming over
// pairs, where time may stretch, plucks may be missing, onsets may be extra, and
// the player may go on elsewhere (the time warping of Dixon and Widmer 2005 on
// events rather than frames, with jumps as in C. Fremerey, M. Müller and M.
// Clausen, Handling repeats and jumps in score-performance synchronization,
// ISMIR 2010). shift moves the score by so many semitones.
func align(s *score, heard []pluckHeard, shift float64) *aligned {
	// Only what is begun has onsets.
	var begun []int
	for i := range s.groups {
		if s.groups[i].begun {
			begun = append(begun, i)
		}
	}
	out := &aligned{onset: make([]int, len(s.groups)), reach: make([]bool, len(s.groups)), used: make([]bool, len(heard)), again: make([]bool, len(heard))}
	for i := range out.onset {
		out.onset[i] = -1
	}
	if len(begun) == 0 || len(heard) == 0 {
		return out
	}
	keys := make([][]float64, len(begun))
	for i, g := range begun {
		for _, w := range s.groups[g].wants {
			if s.wants[w].begun {
				keys[i] = append(keys[i], s.wants[w].key+shift)
			}
		}
	}
	extra := make([]float64, len(heard)+1) // running cost of passing onsets over
	for j := range heard {
		extra[j+1] = extra[j] + extraCost + extraStrong*min(1, heard[j].Strength)
	}
	n, m := len(begun), len(heard)
	var cells [columns][]cell
	for i := range cells {
		cells[i] = make([]cell, n)
	}
	way := make([]step, n*m)
	end, endCost := [2]int{-1, -1}, math.Inf(1)
	bestBefore := make([]int, m) // the best group at each onset, for jumps
	for j := range m {
		best := 0
		column := cells[j%columns]
		for g := range n {
			c := &column[g]
			match := wrongCost * (1 - heard[j].agrees(keys[g]))
			*c = cell{cost: min(missedCost*float64(g), insideCost) + extra[j], from: step{g: -1}}
			for dg := 1; dg <= min(mostMissed+1, g); dg++ {
				for dj := 1; dj <= min(mostExtra+1, j); dj++ {
					p := &cells[(j-dj)%columns][g-dg]
					cost := p.cost + missedCost*float64(dg-1) + extra[j] - extra[j-dj+1]
					if cost >= c.cost {
						continue
					}
					pace := math.Log((heard[j].At - heard[j-dj].At) / (s.groups[begun[g]].due - s.groups[begun[g-dg]].due))
					next, known := pace, true
					if p.paceKnown {
						off := math.Abs(pace - p.pace)
						cost += min(hesitation, timeSlope*off)
						next = p.pace + 0.25*max(-0.3, min(0.3, pace-p.pace))
					} else if pace < math.Log(1/fastestPlay) || pace > math.Log(1/slowestPlay) {
						cost += hesitation
						known = false
					}
					if cost < c.cost {
						*c = cell{cost: cost, from: step{g: int32(g - dg), dj: int8(dj)}, pace: next, paceKnown: known}
					}
				}
			}
			for dj := 1; dj <= min(mostExtra+1, j); dj++ {
				from := bestBefore[j-dj]
				p := &cells[(j-dj)%columns][from]
				if cost := p.cost + jumpCost + extra[j] - extra[j-dj+1]; cost < c.cost {
					*c = cell{cost: cost, from: step{g: int32(from), dj: int8(dj), jumped: true}, pace: p.pace, paceKnown: p.paceKnown}
				}
			}
			c.cost += match
			way[g*m+j] = c.from
			if c.cost < column[best].cost {
				best = g
			}
			if cost := c.cost + extra[m] - extra[j+1] + min(missedCost*float64(n-1-g), insideCost); cost < endCost {
				endCost, end = cost, [2]int{g, j}
			}
		}
		bestBefore[j] = best
	}
	out.trace(way, end, begun, heard, keys)
	return out
}

// trace reads the best way back from its end, a group and an onset.
func (a *aligned) trace(way []step, end [2]int, begun []int, heard []pluckHeard, keys [][]float64) {
	n, m := len(begun), len(heard)
	g, j := end[0], end[1]
	if missedNotLeft(n - 1 - g) {
		a.touch(begun[g], len(a.reach)-1)
	} else {
		a.touch(begun[g], begun[g])
	}
	matched := 0
	for {
		c := way[g*m+j]
		if a.onset[begun[g]] < 0 {
			a.onset[begun[g]] = j
		} else {
			a.again[j] = true
		}
		a.used[j] = true
		a.agree += heard[j].agrees(keys[g])
		matched++
		if c.g < 0 {
			if missedNotLeft(g) {
				a.touch(0, begun[g])
			} else {
				a.touch(begun[g], begun[g])
			}
			break
		}
		if c.jumped {
			a.jumps++
			a.touch(begun[g], begun[g])
			a.touch(begun[c.g], begun[c.g])
		} else {
			a.touch(begun[c.g], begun[g])
		}
		g, j = int(c.g), j-int(c.dj)
	}
	a.agree /= float64(matched)
}

// missedNotLeft reports whether so many plucks at an end of the tab were rather missed than not meant to be played.
func missedNotLeft(plucks int) bool { return missedCost*float64(plucks) <= insideCost }

// touch notes that the take goes through groups lo to hi, glided ones after hi
// included.
func (a *aligned) touch(lo, hi int) {
	for i := lo; i <= hi; i++ {
		a.reach[i] = true
	}
}
