package yin

import (
	"math"
	"slices"

	"lapwright/pitch"
)

// How a line moves from one moment to the next: 1 % chance of going from voiced to unvoiced or back (Mauch and Dixon
// 2014, section 2.2), and the pitch by up to farthest states.
const (
	switching = 0.01
	farthest  = 5
	switched  = 100 // added to an offset of states when voicing changed
)

// State is what the hidden Markov model says of a moment.
type State struct {
	Step   int // over LowestHz, each StateCents high
	Voiced bool
}

// Hz returns the pitch of a state.
func (s State) Hz() float64 {
	return LowestHz * pitch.Cents(float64(s.Step)*StateCents).Factor()
}

// overLowest returns how far a pitch lies over the lowest, in steps of states.
func overLowest(hz float64) float64 {
	return float64(pitch.Between(LowestHz, pitch.Hz(hz))) / StateCents
}

// Likeliest finds the likeliest way through the candidates of moments that follow each other (Viterbi).
func Likeliest(seen [][]Candidate) []State {
	steps := int(overLowest(highestHz)) + 1
	back := make([]int16, len(seen)*2*steps)                        // the state before, as an offset, for each moment and state
	now, next := make([]float64, 2*steps), make([]float64, 2*steps) // voiced states, then unvoiced ones
	move := moves()
	stay, change := math.Log(1-switching), math.Log(switching)
	observed := make([]float64, steps)
	for i, all := range seen {
		clear(observed)
		sum := 0.0
		for _, c := range all {
			if s := int(math.Round(overLowest(c.Hz))); s >= 0 && s < steps {
				observed[s] += c.Chance
				sum += c.Chance
			}
		}
		none := math.Log(max(1e-6, 1-min(sum, 1)) / float64(steps))
		for s := range steps {
			var bestV, bestU float64
			var fromV, fromU int
			if i > 0 {
				bestV, fromV = comeTo(s, now[:steps], move)
				bestU, fromU = comeTo(s, now[steps:], move)
			}
			v, vf := bestV+stay, fromV
			if p := bestU + change; p > v {
				v, vf = p, fromU+switched
			}
			u, uf := bestU+stay, fromU
			if p := bestV + change; p > u {
				u, uf = p, fromV+switched
			}
			next[s] = v + math.Log(max(observed[s], 1e-9))
			next[steps+s] = u + none
			at := i * 2 * steps
			back[at+s], back[at+steps+s] = int16(vf), int16(uf)
		}
		now, next = next, now
	}
	return trace(slices.Index(now, slices.Max(now)), back, len(seen), steps)
}

// moves returns the logarithm of the chance of each move, from farthest down to farthest up: a triangle.
func moves() []float64 {
	out := make([]float64, 2*farthest+1)
	for d := range out {
		out[d] = math.Log(float64(farthest+1-pitch.Abs(d-farthest)) / float64((farthest+1)*(farthest+1)))
	}
	return out
}

// comeTo returns the likeliest way to a state from those near it: the logarithm of its chance and from how many states
// off. before has the chances of all, move those of an offset.
func comeTo(s int, before, move []float64) (best float64, from int) {
	best = math.Inf(-1)
	for d := max(-farthest, -s); d <= min(farthest, len(before)-1-s); d++ {
		if p := before[s+d] + move[d+farthest]; p > best {
			best, from = p, d
		}
	}
	return best, from
}

// trace reads the way of so many moments back from its last state.
func trace(last int, back []int16, moments, steps int) []State {
	out := make([]State, moments)
	for i := moments - 1; i >= 0; i-- {
		s := State{last % steps, last < steps}
		out[i] = s
		offset := int(back[i*2*steps+last])
		if offset > farthest {
			offset -= switched
			s.Voiced = !s.Voiced
		}
		last = s.Step + offset
		if !s.Voiced {
			last += steps
		}
	}
	return out
}
