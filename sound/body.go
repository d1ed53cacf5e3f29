package sound

import (
	"math"
	"slices"

	"lapwright/rig"
	"lapwright/sound/amp"
	"lapwright/sound/filter"
)

// voice is what makes one kind of instrument sound like itself. An acoustic one is heard by the motion of its modes alone: no filter
// and no path round them colours it, so whatever tells it from another can be read off its bridge's admittance and the size of what radiates and of the air in it.
type voice struct {
	// pick is how far from the bridge the fingers pluck, in mm.
	pick float64
	// pickup is how far from the bridge the pickup sits, in mm; 0 for an
	// acoustic instrument; aperture is the length of string that it senses.
	pickup, aperture float64
	// modes are the resonances that the bridge takes part in.
	modes []mode
	// radius is that of what radiates, a cone or the part of a top that moves as one, in m.
	radius float64
	air    air
	// lean is by how much a mode rocks along the top as it moves up: ours, set so that as many notes decay in two stages
	// as docs/sound.md says.
	lean  float64
	weak  weak
	tone  []filter.Biquad // the pickup's own resonance; none for an acoustic instrument
	amp   *amp.Voicing    // nil for an acoustic instrument
	snap  float64         // how much of a stroke's burst is heard
	room  float64         // level of the room's answer
	knock float64         // how much of a hand or steel on the instrument is heard
	upTo  float64         // partials up to here are heard, in Hz; 0 for heardUpTo
}

// mode is one resonance that the strings feel: its frequency, its quality factor and
// how far the bridge gives way at it in s/kg. The mass that moves follows: Q/(2π·hz·gives). Modes are heard in turn one way and
// the other, so that neighbours leave no hole between them.
type mode struct{ hz, q, gives float64 }

// weak describes the resonances too many and too weak to list: so many, spread evenly by ratio from weakFrom to weakTo, of
// qualities of about weakQuality, giving so much each at weakFrom, in s/kg, and at f hertz (f/weakFrom)^rise times that. Above some
// hundred hertz a plate's mean admittance is the same at all frequencies (L. Cremer, M. Heckl, Structure-borne
// sound, from memory): with rise 0 theirs is.
type weak struct {
	count       int
	gives, rise float64
}

const (
	weakFrom, weakTo = 350.0, 11000.0 // Hz
	weakQuality      = 22.0
)

// felt returns the broad mode that stands for them to the strings. It lies in their midst and gives as much as they do in the mean: a mode
// that gives Y with quality Q gives π/2Q times Y, taken over the logarithm of frequency.
func (w weak) felt() mode {
	each := w.gives * math.Pow(weakTo/weakFrom, w.rise/2)
	return mode{math.Sqrt(weakFrom * weakTo), 0.3, each * math.Pi / (2 * weakQuality) * float64(w.count) / math.Log(weakTo/weakFrom)}
}

// air is that in a body: its volume in m³, and how many holes of what radius in m it breathes through; none for one that is closed.
type air struct{ volume, holes, radius float64 }

const soundSpeed = 343.0 // m/s

// hz returns where it resonates in rigid walls: c/2π·√(A/V·l), A being the holes' area and l how much air moves in each, 1.7 times its
// radius (Helmholtz; the end corrections from memory).
func (a air) hz() float64 {
	return soundSpeed / (2 * math.Pi) * math.Sqrt(a.holes*math.Pi*a.radius/(1.7*a.volume))
}

// airQuality is that resonance's quality factor, lined, screened and radiating as it is: that of the low modes here, ours.
const airQuality = 8.0

// passes returns how much air a body moves at f hertz against what its top or cone does alone: what goes in at one goes out at the holes, so under
// the air's resonance next to nothing is left, near it much, and high above it the top's share. It is f²/|f² − h²|, damped
// (the two-mass model: O. Christensen, B. Vistisen, Journal of the Acoustical Society of America 68, 1980, 758, from memory).
func (a air) passes(f float64) float64 {
	if a.holes == 0 {
		return 1
	}
	h := a.hz()
	return f * f / math.Hypot(f*f-h*h, f*h/airQuality)
}

// heard returns how loud a mode is heard, whichever way it moves: by its speed under a force, against that of the
// body's modes in the mean, by how well what is as small as that radiates, which goes with f up to where a wave is as long as it is
// round, c/2πa, and is the same from there on (a small source's and a piston's pressure: Fletcher and Rossing, sections 7.1 and 8.2, from memory),
// and by what the air in the body adds.
func (v *voice) heard(m mode) float64 {
	mean := 0.0 // of the logarithms
	for _, o := range v.modes {
		mean += math.Log(o.gives) / float64(len(v.modes))
	}
	return m.gives / math.Exp(mean) * m.hz / math.Hypot(m.hz, soundSpeed/(2*math.Pi*v.radius)) * v.air.passes(m.hz)
}

// voices holds the figures for each kind of body.
//
// Printed: the air and top resonances of flat-top guitars near 100 and 200 Hz and their
// quality factors of 20 to 40 (Fletcher and Rossing, section 9.7, the quality factors from memory); whole-body
// modes of a solid instrument at 55, 160, 372 and 472 Hz (D. Russell, modal tests of an electric
// guitar, web page); of a single cone, that its bridge was measured and has broad modes (M. Rau and
// J. O. Smith, International Symposium on Musical Acoustics, 2019; no figure of theirs was
// seen). No measured modes were found for three cones or a hollow neck. A cone's stiffness and
// mass let its own modes make one broad hill: a single cone's lies near 1 to 2 kHz. Three smaller cones (0.076 m against 0.12 m, usual
// sizes, from memory) have theirs 1.6 times as high, since a shell's modes go with one over its radius, and the T-shaped bridge stands
// on three tips, which are three times as stiff as one under about the same mass: √3 higher again, 2.7 to 5 kHz in all. Between that
// hill and the air in the body lies a valley that a single cone does not have. A hollow neck adds air and
// top: the lowest pair lies below a flat-top's, and the damping of unbraced thin wood is higher. Its bridge is a block on thin
// wood, whose mass holds from 1.5 kHz on (12 g alone give 0.007 at 2 kHz, and less the higher), so the modes there give little: how little is ours, by measurement; a cone carries
// no such mass. The hole of a hollow neck is small, a resonator's air goes out at two screened ones; sizes
// of holes and bodies are usual ones, from memory, within which they were chosen by measurement.
//
// How far each mode gives way is ours, set so that notes last and scatter, and bodies lie apart, as docs/sound.md says (TestBodiesDifferAtTheBridge,
// and refcheck's TestStrokesAgainstRecorded and TestFretsDecayApart); the wooden ones give a tenth to a quarter of what Q/(2π·f·m) with the 0.06 to 0.2 kg from
// memory of guitar tops would say, that of the air by still less, since its hole makes it loud; and of all bodies no mode gives more than 0.013, since more would pull notes out of tune by over 2.5 cents.
var voices = map[rig.Body]voice{
	rig.SquareNeckResonator: {
		pick: 90, radius: 0.12, air: air{0.0136, 2, 0.03},
		modes: []mode{
			{118, 7, 0.0037}, {206, 7, 0.0031}, {292, 7, 0.0037}, {415, 7, 0.005}, {590, 7, 0.0061}, {840, 7, 0.0071},
			{1180, 7, 0.0089}, {1650, 7, 0.0084}, {2280, 7, 0.006}, {3150, 6, 0.0038}, {4300, 6, 0.0026}, {6200, 5, 0.0019},
		},
		lean: 0.28,
		weak: weak{28, 0.00067, 0.12},
		snap: 0.76, room: 0.16, knock: 1,
	},
	rig.Tricone: {
		pick: 90, radius: 0.076, air: air{0.0119, 2, 0.035},
		modes: []mode{
			{132, 8, 0.0044}, {248, 9, 0.0088}, {385, 10, 0.0043}, {560, 10, 0.0018}, {800, 10, 0.001}, {1130, 10, 0.001},
			{1560, 10, 0.0019}, {2150, 9, 0.0047}, {2900, 8, 0.0115}, {3900, 7, 0.011}, {5300, 6, 0.0059}, {7400, 6, 0.006},
		},
		lean: 0.34,
		weak: weak{36, 0.00029, 0.3},
		snap: 0.57, room: 0.18, knock: 0.8,
	},
	rig.HollowNeckAcoustic: {
		pick: 105, radius: 0.2, air: air{0.028, 1, 0.04},
		modes: []mode{
			{84, 8, 0.0106}, {172, 9, 0.009}, {228, 9, 0.008}, {318, 9, 0.006}, {402, 9, 0.0042}, {540, 9, 0.004}, {720, 8, 0.0051},
			{980, 7, 0.006}, {1270, 6, 0.0056}, {1850, 6, 0.0021}, {2600, 6, 0.0007}, {3800, 6, 0.0006}, {5600, 6, 0.0016},
		},
		lean: 0.3,
		weak: weak{30, 0.00042, -0.2},
		snap: 0.6, room: 0.17, knock: 1.2,
	},
	rig.RoundNeckAcoustic: {
		pick: 110, radius: 0.2, air: air{0.0195, 1, 0.05},
		modes: []mode{
			{105, 8, 0.0055}, {196, 12, 0.0103}, {242, 10, 0.0077}, {370, 12, 0.0063}, {465, 12, 0.0062}, {610, 12, 0.004}, {830, 10, 0.004},
			{1150, 10, 0.0072}, {1550, 8, 0.0048}, {2200, 7, 0.0045}, {3100, 6, 0.0046}, {4500, 6, 0.0039}, {6600, 6, 0.0028},
		},
		lean: 0.28,
		weak: weak{30, 0.00093, 0.13},
		snap: 1.05, room: 0.17, knock: 1.2,
	},
	rig.LapSteel: {
		pick: 110, pickup: 62, aperture: 20,
		modes: []mode{{55, 30, 0.004}, {160, 30, 0.003}, {372, 35, 0.002}, {472, 35, 0.002}},
		tone:  []filter.Biquad{filter.LowPass(3900, 1.7)}, // the pickup's own resonance
		amp: &amp.Voicing{
			Drive: 0.3, Spring: 0.12, Peak: 1.35,
			Tone:    []filter.Biquad{filter.HighPass(70, 0.7), filter.Peak(520, 0.8, -2)},
			Speaker: []filter.Biquad{filter.HighPass(80, 1.1), filter.Peak(180, 0.8, 1.5), filter.Peak(2600, 0.9, 3.5), filter.LowPass(4800, 0.55), filter.LowPass(4800, 1.3)},
		},
		snap: 0.4, room: 0.14, knock: 0.12,
	},
	rig.PedalSteel: {
		pick: 120, pickup: 38, aperture: 16,
		modes: []mode{{48, 30, 0.003}, {140, 30, 0.0025}, {330, 35, 0.0015}, {450, 35, 0.0015}},
		tone:  []filter.Biquad{filter.LowPass(4600, 1.5)},
		amp: &amp.Voicing{
			Drive: 0.12, Spring: 0.2, Peak: 1.35,
			Tone:    []filter.Biquad{filter.HighPass(75, 0.7), filter.Peak(800, 0.7, -3.5)},
			Speaker: []filter.Biquad{filter.HighPass(70, 1), filter.Peak(160, 0.8, 2), filter.Peak(3000, 0.9, 3), filter.LowPass(6000, 0.55), filter.LowPass(6000, 1.3)},
		},
		snap: 0.4, room: 0.2, knock: 0.08,
	},
}

// aside gives how a mode of a loudness is heard left and right. Low modes radiate to all sides alike, high
// ones do not: up to 5 dB apart from 1 kHz on (our figure).
func aside(r *noise, m mode, loud float64) (left, right float64) {
	lean := 0.3 * min(1, m.hz/1000) * r.next()
	return loud * (1 + lean), loud * (1 - lean)
}

// body turns the pull of the strings at the bridge into what is heard left and right of its weak modes, or passes on what the
// pickup senses.
type body struct {
	modes       []filter.Resonance
	left, right []float64       // gain of each mode to each side
	tone        []filter.Biquad // of a pickup
	senses      bool            // a pickup hears the strings, on both sides alike
}

// bodySeed fixes the weak resonances, so that an instrument is the same one
// whatever is played on it.
const bodySeed = 0x51ab

func newBody(v voice) *body {
	b := &body{senses: v.pickup > 0, tone: slices.Clone(v.tone)}
	r := noise(bodySeed + 1)
	for i := range v.weak.count {
		// Each a little off its place.
		u := (float64(i) + 0.5 + 0.45*r.next()) / float64(v.weak.count)
		m := mode{hz: weakFrom * math.Pow(weakTo/weakFrom, u), q: weakQuality + 10*r.next()}
		m.gives = v.weak.gives * (1 + 0.4*r.next()) * math.Pow(m.hz/weakFrom, v.weak.rise)
		b.modes = append(b.modes, filter.NewResonance(m.hz, m.q))
		l, rt := aside(&r, m, math.Copysign(v.heard(m), r.next()))
		b.left, b.right = append(b.left, l), append(b.right, rt)
	}
	b.fillBlock()
	return b
}

// fillBlock makes the modes up to a whole number of those worked abreast.
func (b *body) fillBlock() {
	for len(b.modes)%abreast != 0 {
		b.modes = append(b.modes, filter.Resonance{}) // silent
		b.left, b.right = append(b.left, 0), append(b.right, 0)
	}
}

// addModes adds a bridge's modes, for what sounds without the strings; a pickup hears none.
func (b *body) addModes(modes []mode, bridge *bridge) {
	if b.senses {
		return
	}
	for k, m := range modes {
		b.modes = append(b.modes, filter.NewResonance(m.hz, m.q))
		b.left, b.right = append(b.left, bridge.left[k]), append(b.right, bridge.right[k])
	}
	b.fillBlock()
}

// clear stops all that rings in the body.
func (b *body) clear() {
	for k := range b.modes {
		b.modes[k].Clear()
	}
	for k := range b.tone {
		b.tone[k].Clear()
	}
}

// process hears one block of what the strings pull, adding to what left and right hold of
// the bridge's modes.
func (b *body) process(in, left, right []float64) {
	if b.senses {
		copy(left, in)
		shapeBlock(b.tone, left)
		copy(right, left)
		return
	}
	for k := 0; k < len(b.modes); k += abreast {
		b.ring((*[abreast]filter.Resonance)(b.modes[k:]), (*[abreast]float64)(b.left[k:]), (*[abreast]float64)(b.right[k:]), in, left, right)
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
