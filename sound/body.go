package sound

import (
	"math"

	"lapwright/rig"
)

// voice is what makes one kind of instrument sound like itself.
type voice struct {
	loss decay
	// pick is how far from the bridge the fingers pluck, in mm.
	pick float64
	// pickup is how far from the bridge the pickup sits, in mm; 0 for an
	// acoustic instrument.
	pickup float64
	// modes are the body's resonances; straight is how much of the strings'
	// pull is heard without them.
	modes    []mode
	straight float64
	// scatter is how many weak resonances fill the band above the listed ones,
	// and how strong they are.
	scatter      int
	scatterLevel float64
	shape        []biquad // filters after the resonances, in order
	// bridge is how much of what one string does to the bridge gets into another.
	// At full resonance, where that string builds up over its whole decay, the
	// answer lies some 24 dB below the first for 5e-4 (our figures: solid
	// instruments, whose bridge hardly moves, have the least).
	bridge float64
	room   float64 // level of the room's answer
	knock  float64 // how much of a hand or steel on the instrument is heard
}

// mode is one resonance: its frequency, its quality factor and its gain. The
// sign says which way it moves; neighbours that move against each other leave
// no hole between them.
type mode struct{ hz, q, gain float64 }

// voices holds the figures for each kind of body. Where instruments of a kind
// have been measured in print the figures follow them: the air and top
// resonances of flat-top guitars near 100 and 200 Hz (Fletcher and Rossing,
// section 9.7); a cone's broad resonances between 200 Hz and 2 kHz and the
// short decay of a string that drives one are from memory. Everything else was
// set by measuring what came out against docs/sound.md.
var voices = map[rig.Body]voice{
	rig.SquareNeckResonator: {
		loss: decay{open: 3.2, slope: 0.45, high: 0.5, bar: 0.72},
		pick: 90,
		modes: []mode{
			{118, 5, 0.45}, {206, 4, -0.65}, {292, 4.5, 0.7}, {415, 4, -0.85}, {590, 4, 1.0}, {840, 3.5, -1.2},
			{1180, 3.5, 1.5}, {1650, 3.5, -1.8}, {2280, 3, 1.9}, {3150, 3, -1.7}, {4300, 3, 1.3}, {6000, 2.5, -0.7},
		},
		scatter: 28, scatterLevel: 0.3,
		shape:  []biquad{highPass(75, 0.7), peak(2400, 0.5, 4), lowPass(9000, 0.6)},
		bridge: 5e-4, room: 0.16, knock: 1,
	},
	rig.Tricone: {
		loss: decay{open: 4.0, slope: 0.42, high: 0.62, bar: 0.76},
		pick: 90,
		modes: []mode{
			{132, 5, 0.45}, {188, 5, -0.55}, {305, 4, 0.7}, {460, 4, -0.8}, {700, 3.5, 0.95}, {1060, 3.5, -1.1},
			{1500, 3.5, 1.3}, {2150, 4, -1.7}, {2900, 4, 2.0}, {3800, 4, -2.0}, {5100, 3.5, 1.7}, {7000, 3, -1.1},
		},
		scatter: 36, scatterLevel: 0.34,
		shape:  []biquad{highPass(85, 0.7), peak(3600, 0.5, 4), lowPass(11000, 0.6)},
		bridge: 5e-4, room: 0.18, knock: 0.8,
	},
	rig.HollowNeckAcoustic: {
		loss: decay{open: 3.4, slope: 0.5, high: 0.36, bar: 0.74},
		pick: 105,
		modes: []mode{
			{96, 7, 0.4}, {178, 9, -0.55}, {228, 8, 0.5}, {318, 8, -0.45}, {402, 8, 0.5}, {540, 7, -0.5},
			{720, 6, 0.5}, {980, 5, -0.5}, {1350, 5, 0.45}, {1850, 4, -0.4}, {2600, 3.5, 0.35}, {3800, 3, -0.25},
		},
		scatter: 30, scatterLevel: 0.14,
		shape:  []biquad{highPass(65, 0.7), lowPass(6500, 0.6), peak(2600, 0.5, -5)},
		bridge: 6e-4, room: 0.17, knock: 1.2,
	},
	rig.RoundNeckAcoustic: {
		loss: decay{open: 3.8, slope: 0.5, high: 0.38, bar: 0.72},
		pick: 110,
		modes: []mode{
			{101, 7, 0.45}, {196, 9, -0.6}, {242, 8, 0.5}, {370, 8, -0.5}, {465, 8, 0.5}, {610, 7, -0.5},
			{830, 6, 0.5}, {1120, 5, -0.5}, {1550, 5, 0.45}, {2200, 4, -0.45}, {3100, 3.5, 0.4}, {4500, 3, -0.3},
		},
		scatter: 30, scatterLevel: 0.15,
		shape:  []biquad{highPass(65, 0.7), lowPass(8500, 0.6), peak(3000, 0.5, 2)},
		bridge: 6e-4, room: 0.17, knock: 1.2,
	},
	rig.LapSteel: {
		loss: decay{open: 13, slope: 0.4, high: 1.0, bar: 0.62},
		pick: 110, pickup: 62,
		straight: 1,
		// The pickup's own resonance, then a clean amplifier and its loudspeaker.
		shape: []biquad{
			lowPass(3900, 1.7), highPass(70, 0.7), peak(180, 0.8, 1.5), peak(520, 0.8, -2), peak(2600, 0.9, 3.5),
			lowPass(5200, 0.9), lowPass(6400, 0.55),
		},
		bridge: 1.2e-4, room: 0.14, knock: 0.12,
	},
	rig.PedalSteel: {
		loss: decay{open: 15, slope: 0.4, high: 1.15, bar: 0.64},
		pick: 120, pickup: 38,
		straight: 1,
		shape: []biquad{
			lowPass(4600, 1.5), highPass(75, 0.7), peak(160, 0.8, 2), peak(800, 0.7, -3.5), peak(3000, 0.9, 3),
			lowPass(5600, 0.9), lowPass(7000, 0.55),
		},
		bridge: 1.2e-4, room: 0.2, knock: 0.08,
	},
}

// body turns the pull of the strings at the bridge, or what the pickup senses,
// into what is heard left and right.
type body struct {
	modes       []resonance
	left, right []float64 // gain of each mode to each side
	straight    float64
	shape       [2][]biquad
	stereo      bool // modes are heard differently on each side
}

// bodySeed fixes the weak resonances, so that an instrument is the same one
// whatever is played on it.
const bodySeed = 0x51ab

func newBody(v voice) *body {
	b := &body{straight: v.straight, stereo: len(v.modes) > 0}
	r := noise(bodySeed)
	add := func(m mode) {
		// Low modes radiate to all sides alike, high ones do not: up to 5 dB apart
		// from 1 kHz on (our figure).
		lean := 0.3 * min(1, m.hz/1000) * r.next()
		b.modes = append(b.modes, newResonance(m.hz, m.q))
		b.left = append(b.left, m.gain*(1+lean))
		b.right = append(b.right, m.gain*(1-lean))
	}
	for _, m := range v.modes {
		add(m)
	}
	for i := range v.scatter {
		// Spread evenly by ratio from 350 Hz to 7 kHz, each a little off its place.
		u := (float64(i) + 0.5 + 0.45*r.next()) / float64(v.scatter)
		hz := 350 * math.Pow(20, u)
		add(mode{hz, 22 + 10*r.next(), v.scatterLevel * (0.7 + 0.3*r.next()) * math.Copysign(1, r.next()) * math.Pow(hz/350, -0.15)})
	}
	for len(b.modes)%abreast != 0 {
		b.modes = append(b.modes, resonance{}) // silent
		b.left, b.right = append(b.left, 0), append(b.right, 0)
	}
	for c := range b.shape {
		b.shape[c] = append([]biquad(nil), v.shape...)
	}
	return b
}

// process hears one block. left and right are overwritten.
func (b *body) process(in, left, right []float64) {
	for i, x := range in {
		left[i] = b.straight * x
	}
	if b.stereo {
		copy(right, left)
		for k := 0; k < len(b.modes); k += abreast {
			b.ring((*[abreast]resonance)(b.modes[k:]), (*[abreast]float64)(b.left[k:]), (*[abreast]float64)(b.right[k:]), in, left, right)
		}
		shapeBlock(b.shape[1], right)
	}
	shapeBlock(b.shape[0], left)
	if !b.stereo {
		copy(right, left)
	}
}

// abreast is how many modes are worked at a time: each waits for its own last
// sample, and four together keep the machine busy meanwhile.
const abreast = 4

// ring adds what four modes sound of in to left and right.
func (b *body) ring(m *[abreast]resonance, l, r *[abreast]float64, in, left, right []float64) {
	m0, m1, m2, m3 := m[0], m[1], m[2], m[3]
	left, right = left[:len(in)], right[:len(in)]
	for i, x := range in {
		y0, y1, y2, y3 := m0.next(x), m1.next(x), m2.next(x), m3.next(x)
		left[i] += l[0]*y0 + l[1]*y1 + l[2]*y2 + l[3]*y3
		right[i] += r[0]*y0 + r[1]*y1 + r[2]*y2 + r[3]*y3
	}
	m[0], m[1], m[2], m[3] = m0, m1, m2, m3
}

// shapeBlock runs filters over a block, two at a time: one works on a sample
// while the other waits for its last.
func shapeBlock(filters []biquad, x []float64) {
	k := 0
	for ; k+1 < len(filters); k += 2 {
		p, q := filters[k], filters[k+1]
		for i, v := range x {
			x[i] = q.next(p.next(v))
		}
		filters[k], filters[k+1] = p, q
	}
	if k < len(filters) {
		q := filters[k]
		for i, v := range x {
			x[i] = q.next(v)
		}
		filters[k] = q
	}
}
