package hall

import (
	"math"

	"lapwright/sound/filter"
)

// T60 is how long a sound takes to die by 60 dB in the room, in seconds: a
// furnished living room (ISO 3382-2 measures such rooms at 0.4 to 0.6 s, from
// memory).
const T60 = 0.5

// Room is a small furnished room: seven early reflections a side and a tail
// from a feedback delay network (J.-M. Jot and A. Chaigne, Digital delay networks for
// designing artificial reverberators, AES 90th Convention, 1991), in which the
// lines are mixed by a Hadamard matrix and lose their highs at every turn.
type Room struct {
	level float64
	early []float64 // what was played, for the reflections
	at    int
	lines [8]line
	cut   filter.Biquad // rooms return little bass from a small instrument
}

type line struct {
	buf  []float64
	at   int
	gain float64
	low  float64
}

// turns are the lengths of the lines in samples: prime, between 15 and 43 ms.
var turns = [8]int{727, 907, 1061, 1259, 1423, 1601, 1811, 2063}

// A reflection: delay in samples and gain to one side. Path lengths of 3 to
// 10 m; gains fall with the path.
type reflection struct {
	delay int
	gain  float64
}

var reflections = [2][]reflection{
	{{197, 0.42}, {331, -0.34}, {499, 0.30}, {613, 0.24}, {811, -0.20}, {1009, 0.16}, {1289, 0.12}},
	{{229, 0.40}, {307, 0.33}, {541, -0.29}, {659, 0.25}, {769, 0.19}, {1051, -0.17}, {1231, 0.12}},
}

// New makes a room that adds its answer at a level, 0 to 1.
func New(level float64) *Room {
	r := &Room{level: level, early: make([]float64, 2048), cut: filter.HighPass(160, 0.7)}
	for i := range r.lines {
		n := turns[i]
		r.lines[i] = line{buf: make([]float64, n), gain: math.Pow(10, -3*float64(n)/(filter.Rate*T60))}
	}
	return r
}

// Add adds the room's answer to what is heard left and right.
func (r *Room) Add(left, right []float64) {
	if r.level == 0 {
		return
	}
	mask := len(r.early) - 1
	for i := range left {
		x := r.cut.Next(0.5 * (left[i] + right[i]))
		r.early[r.at&mask] = x
		var l, rt float64
		for _, f := range reflections[0] {
			l += f.gain * r.early[(r.at-f.delay)&mask]
		}
		for _, f := range reflections[1] {
			rt += f.gain * r.early[(r.at-f.delay)&mask]
		}
		r.at++
		var v [8]float64
		for k := range r.lines {
			at := &r.lines[k]
			y := at.buf[at.at] * at.gain
			at.low += 0.55 * (y - at.low)
			v[k] = at.low
		}
		l += 0.5 * (v[0] - v[2] + v[4] - v[6])
		rt += 0.5 * (v[1] - v[3] + v[5] - v[7])
		hadamard(&v)
		for k := range r.lines {
			at := &r.lines[k]
			at.buf[at.at] = v[k] + 0.5*x
			at.at++
			if at.at == len(at.buf) {
				at.at = 0
			}
		}
		left[i] += r.level * l
		right[i] += r.level * rt
	}
}

// hadamard mixes eight values by the orthonormal Hadamard matrix.
func hadamard(v *[8]float64) {
	const k = 0.35355339059327373 // 1/√8
	a0, a1, a2, a3 := v[0]+v[1], v[0]-v[1], v[2]+v[3], v[2]-v[3]
	a4, a5, a6, a7 := v[4]+v[5], v[4]-v[5], v[6]+v[7], v[6]-v[7]
	b0, b1, b2, b3 := a0+a2, a1+a3, a0-a2, a1-a3
	b4, b5, b6, b7 := a4+a6, a5+a7, a4-a6, a5-a7
	v[0], v[1], v[2], v[3] = k*(b0+b4), k*(b1+b5), k*(b2+b6), k*(b3+b7)
	v[4], v[5], v[6], v[7] = k*(b0-b4), k*(b1-b5), k*(b2-b6), k*(b3-b7)
}
