package sound

import (
	"math"

	"lapwright/rig"
	"lapwright/sound/amp"
	"lapwright/sound/filter"
)

// voice is what makes one kind of instrument sound like itself.
type voice struct {
	// pick is how far from the bridge the fingers pluck, in mm.
	pick float64
	// pickup is how far from the bridge the pickup sits, in mm; 0 for an
	// acoustic instrument; aperture is the length of string that it senses.
	pickup, aperture float64
	// modes are the resonances that the bridge takes part in; straight is how much
	// of the strings' pull is heard without them.
	modes    []mode
	straight float64
	// lean is by how much a mode rocks along the top as it moves up: ours, set so that as many notes decay in two stages
	// as docs/sound.md says.
	lean float64
	// scatter is how many weak resonances fill the band above 350 Hz, and how
	// strong they are. The strings do not feel them.
	scatter      int
	scatterLevel float64
	shape        []filter.Biquad // filters after the resonances, or the pickup's own, in order
	amp          *amp.Voicing    // nil for an acoustic instrument
	snap         float64         // how much of a stroke's burst is heard
	room         float64         // level of the room's answer
	knock        float64         // how much of a hand or steel on the instrument is heard
	upTo         float64         // partials up to here are heard, in Hz; 0 for heardUpTo
}

// mode is one resonance that the strings feel: its frequency, its quality factor,
// how far the bridge gives way at it in s/kg, and how loud it is heard. The sign
// of gain says which way it moves; neighbours that move against each other leave
// no hole between them. The mass that moves follows: Q/(2π·hz·gives).
type mode struct{ hz, q, gives, gain float64 }

// voices holds the figures for each kind of body.
//
// Printed: the air and top resonances of flat-top guitars near 100 and 200 Hz and their
// quality factors of 20 to 40 (Fletcher and Rossing, section 9.7, the quality factors from memory); whole-body
// modes of a solid instrument at 55, 160, 372 and 472 Hz (D. Russell, modal tests of an electric
// guitar, web page); of a single cone, that its bridge was measured and has broad modes (M. Rau and
// J. O. Smith, International Symposium on Musical Acoustics, 2019; no figure of theirs was
// seen). No measured modes were found for three cones or a hollow neck. Three
// smaller cones of the same metal: each is stiffer, so the cone modes lie a third to a half
// octave above the single cone's; the strings drive three at once through a T-shaped bridge, so each gives less and
// the sound dies later. A hollow neck lengthens the air's way and adds top: the
// lowest pair lies below a flat-top's, and the damping of unbraced thin wood is higher.
//
// The last mode of an acoustic body, broad and unheard, stands for all that is not listed.
// How far each mode gives way is ours, set so that notes last and scatter as
// docs/sound.md says; the wooden ones give a third of what Q/(2π·f·m) with the 0.06 to 0.2 kg from
// memory of guitar tops would say, since more would pull notes out of tune by over 2 cents.
var voices = map[rig.Body]voice{
	rig.SquareNeckResonator: {
		pick: 90,
		modes: []mode{
			{118, 7, 0.00097, 0.35}, {206, 7, 0.0019, -0.6}, {292, 7, 0.0028, 0.8}, {415, 7, 0.0032, -1.1}, {590, 7, 0.0038, 1.4}, {840, 7, 0.0038, -1.7},
			{1180, 7, 0.0035, 1.6}, {1650, 7, 0.0032, -1.8}, {2280, 7, 0.0028, 1.7}, {3150, 6, 0.0023, -1.4}, {4300, 6, 0.0015, 1.1}, {6200, 5, 0.00097, -0.9},
			{700, 0.5, 0.0025, 0},
		},
		straight: 0.22, lean: 0.19,
		scatter: 28, scatterLevel: 0.35,
		shape: []filter.Biquad{filter.HighPass(75, 0.7), filter.Peak(1250, 0.6, 6)},
		snap:  0.8, room: 0.16, knock: 1,
	},
	rig.Tricone: {
		pick: 90,
		modes: []mode{
			{132, 8, 0.0024, 0.5}, {248, 9, 0.0042, -0.7}, {385, 10, 0.0045, 0.7}, {560, 10, 0.0058, -0.6}, {800, 10, 0.0066, 0.6}, {1130, 10, 0.0088, -0.7},
			{1560, 10, 0.0078, 1.0}, {2150, 9, 0.0072, -1.7}, {2900, 8, 0.006, 2.2}, {3900, 7, 0.0048, -2.3}, {5300, 6, 0.0036, 2.0}, {7400, 6, 0.0024, -1.7},
			{700, 0.5, 0.0036, 0},
		},
		straight: 0.2, lean: 0.15,
		scatter: 36, scatterLevel: 0.4,
		shape: []filter.Biquad{filter.HighPass(95, 0.7), filter.Peak(900, 0.7, -5), filter.Peak(4500, 0.6, 3)},
		snap:  0.3, room: 0.18, knock: 0.8,
	},
	rig.HollowNeckAcoustic: {
		pick: 105,
		modes: []mode{
			{92, 8, 0.0038, 0.4}, {172, 9, 0.0076, -0.65}, {228, 9, 0.0093, 0.75}, {318, 9, 0.01, -0.5}, {402, 9, 0.01, 0.5}, {540, 9, 0.0093, -0.55},
			{720, 8, 0.0093, 0.65}, {980, 7, 0.0076, -0.8}, {1350, 6, 0.0064, 0.9}, {1850, 6, 0.0051, -0.9}, {2600, 6, 0.0038, 0.42}, {3800, 6, 0.0026, -0.6},
			{700, 0.5, 0.0035, 0},
		},
		straight: 0.15, lean: 0.05,
		scatter: 30, scatterLevel: 0.15,
		shape: []filter.Biquad{filter.HighPass(65, 0.7), filter.Peak(2600, 0.5, -2), filter.LowPass(7500, 0.6)},
		snap:  1.05, room: 0.17, knock: 1.2,
	},
	rig.RoundNeckAcoustic: {
		pick: 110,
		modes: []mode{
			{101, 10, 0.0037, 0.4}, {196, 12, 0.0074, -0.65}, {242, 10, 0.008, 0.65}, {370, 12, 0.0088, -0.6}, {465, 12, 0.0088, 0.6}, {610, 12, 0.0086, -0.6},
			{830, 10, 0.008, 0.6}, {1120, 10, 0.0074, -0.9}, {1550, 8, 0.0062, 0.75}, {2200, 7, 0.0049, -0.75}, {3100, 6, 0.0037, 0.6}, {4500, 6, 0.0025, -0.7},
			{700, 0.5, 0.0035, 0},
		},
		straight: 0.16, lean: 0.13,
		scatter: 30, scatterLevel: 0.16,
		shape: []filter.Biquad{filter.HighPass(65, 0.7), filter.Peak(3200, 0.5, 3)},
		snap:  0.72, room: 0.17, knock: 1.2,
	},
	rig.LapSteel: {
		pick: 110, pickup: 62, aperture: 20,
		modes:    []mode{{55, 30, 0.004, 0}, {160, 30, 0.003, 0}, {372, 35, 0.002, 0}, {472, 35, 0.002, 0}},
		straight: 1,
		shape:    []filter.Biquad{filter.LowPass(3900, 1.7)}, // the pickup's own resonance
		amp: &amp.Voicing{
			Drive: 0.3, Spring: 0.12, Peak: 1.35,
			Tone:    []filter.Biquad{filter.HighPass(70, 0.7), filter.Peak(520, 0.8, -2)},
			Speaker: []filter.Biquad{filter.HighPass(80, 1.1), filter.Peak(180, 0.8, 1.5), filter.Peak(2600, 0.9, 3.5), filter.LowPass(4800, 0.55), filter.LowPass(4800, 1.3)},
		},
		snap: 0.4, room: 0.14, knock: 0.12,
	},
	rig.PedalSteel: {
		pick: 120, pickup: 38, aperture: 16,
		modes:    []mode{{48, 30, 0.003, 0}, {140, 30, 0.0025, 0}, {330, 35, 0.0015, 0}, {450, 35, 0.0015, 0}},
		straight: 1,
		shape:    []filter.Biquad{filter.LowPass(4600, 1.5)},
		amp: &amp.Voicing{
			Drive: 0.12, Spring: 0.2, Peak: 1.35,
			Tone:    []filter.Biquad{filter.HighPass(75, 0.7), filter.Peak(800, 0.7, -3.5)},
			Speaker: []filter.Biquad{filter.HighPass(70, 1), filter.Peak(160, 0.8, 2), filter.Peak(3000, 0.9, 3), filter.LowPass(6000, 0.55), filter.LowPass(6000, 1.3)},
		},
		snap: 0.4, room: 0.2, knock: 0.08,
	},
}

// aside gives how a mode is heard left and right. Low modes radiate to all sides alike, high
// ones do not: up to 5 dB apart from 1 kHz on (our figure).
func aside(r *noise, m mode) (left, right float64) {
	lean := 0.3 * min(1, m.hz/1000) * r.next()
	return m.gain * (1 + lean), m.gain * (1 - lean)
}

// body turns the pull of the strings at the bridge, or what the pickup senses,
// into what is heard left and right, the bridge's own modes left out.
type body struct {
	modes       []filter.Resonance
	left, right []float64 // gain of each mode to each side
	straight    float64
	shape       [2][]filter.Biquad
	stereo      bool // modes are heard differently on each side
}

// bodySeed fixes the weak resonances, so that an instrument is the same one
// whatever is played on it.
const bodySeed = 0x51ab

func newBody(v voice) *body {
	b := &body{straight: v.straight, stereo: v.scatter > 0}
	r := noise(bodySeed + 1)
	for i := range v.scatter {
		// Spread evenly by ratio from 350 Hz to 11 kHz, each a little off its place.
		u := (float64(i) + 0.5 + 0.45*r.next()) / float64(v.scatter)
		hz := 350 * math.Pow(31, u)
		m := mode{hz: hz, q: 22 + 10*r.next(), gain: v.scatterLevel * (0.7 + 0.3*r.next()) * math.Copysign(1, r.next()) * math.Pow(hz/350, -0.1)}
		b.modes = append(b.modes, filter.NewResonance(m.hz, m.q))
		l, rt := aside(&r, m)
		b.left, b.right = append(b.left, l), append(b.right, rt)
	}
	b.fillBlock()
	for c := range b.shape {
		b.shape[c] = append([]filter.Biquad(nil), v.shape...)
	}
	return b
}

// fillBlock makes the modes up to a whole number of those worked abreast.
func (b *body) fillBlock() {
	for len(b.modes)%abreast != 0 {
		b.modes = append(b.modes, filter.Resonance{}) // silent
		b.left, b.right = append(b.left, 0), append(b.right, 0)
	}
}

// addModes adds a bridge's modes, for what sounds without the strings.
func (b *body) addModes(modes []mode, bridge *bridge) {
	for k, m := range modes {
		if m.gain != 0 {
			b.modes = append(b.modes, filter.NewResonance(m.hz, m.q))
			b.left, b.right = append(b.left, bridge.left[k]), append(b.right, bridge.right[k])
		}
	}
	b.fillBlock()
}

// clear stops all that rings in the body.
func (b *body) clear() {
	for k := range b.modes {
		b.modes[k].Clear()
	}
	for c := range b.shape {
		for k := range b.shape[c] {
			b.shape[c][k].Clear()
		}
	}
}

// process hears one block of what the strings pull, adding to what left and right hold of
// the bridge's modes.
func (b *body) process(in, left, right []float64) {
	for i, x := range in {
		left[i] += b.straight * x
	}
	if b.stereo {
		for i, x := range in {
			right[i] += b.straight * x
		}
		for k := 0; k < len(b.modes); k += abreast {
			b.ring((*[abreast]filter.Resonance)(b.modes[k:]), (*[abreast]float64)(b.left[k:]), (*[abreast]float64)(b.right[k:]), in, left, right)
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
func (b *body) ring(m *[abreast]filter.Resonance, l, r *[abreast]float64, in, left, right []float64) {
	m0, m1, m2, m3 := m[0], m[1], m[2], m[3]
	left, right = left[:len(in)], right[:len(in)]
	for i, x := range in {
		y0, y1, y2, y3 := m0.Next(x), m1.Next(x), m2.Next(x), m3.Next(x)
		left[i] += l[0]*y0 + l[1]*y1 + l[2]*y2 + l[3]*y3
		right[i] += r[0]*y0 + r[1]*y1 + r[2]*y2 + r[3]*y3
	}
	m[0], m[1], m[2], m[3] = m0, m1, m2, m3
}

// shapeBlock runs filters over a block, two at a time: one works on a sample
// while the other waits for its last.
func shapeBlock(filters []filter.Biquad, x []float64) {
	k := 0
	for ; k+1 < len(filters); k += 2 {
		p, q := filters[k], filters[k+1]
		for i, v := range x {
			x[i] = q.Next(p.Next(v))
		}
		filters[k], filters[k+1] = p, q
	}
	if k < len(filters) {
		q := filters[k]
		for i, v := range x {
			x[i] = q.Next(v)
		}
		filters[k] = q
	}
}
