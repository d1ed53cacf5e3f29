package sound

import (
	"math"

	"lapwright/sound/filter"
)

// rub is the noise of the steel sliding along one string. On a wound string each turn of the
// wrap that passes gives a small knock: at v m/s over n turns a metre they come at
//
//	f = n·|v|   in Hz,
//
// so the noise has a pitch of its own that goes with the speed; and what is heard of it goes
// through the string's resonances lengthways, which stay where they are wherever the steel
// is; the most of it is dull, below 1 kHz (ours, set so that a body with little top gives it too). Its height goes with the speed, whatever the direction (J. Pakarinen, H. Penttinen and B. Bank,
// Journal of the Acoustical Society of America 122, 2007, EL; J. Pakarinen, T. Puputti and V. Välimäki,
// Computer Music Journal 32(3), 2008, 42). A plain string only hisses, dull and weaker.
type rub struct {
	turns float64 // of the wrap to a metre; 0 for a plain string
	speed float64 // m/s now
	step  float64 // change of it each sample
	phase float64 // of a turn
	fall  float64 // height of the knock that is dying
	low   float64
	rails [2]filter.Resonance
}

const (
	// rubWound and rubPlain are the force at 1 m/s against an ordinary stroke's: ours, set so that a slide
	// of 7 frets lies 25 to 40 dB under the stroke before it, and a plain string's 10 to 15 dB
	// lower (TestContactNoise).
	rubWound = 0.0248
	rubPlain = 0.0112
	// turnFall is how long one turn's knock takes to die to 1/e, in s: 5 to 15 ms to −60 dB on a
	// guitar's wound strings (D. G. Smith, McGill 2023).
	turnFall = 0.0012
)

var turnKeep = math.Exp(-1 / (turnFall * Rate))

func newRub(w wiring) rub {
	r := rub{turns: w.turns}
	for k, hz := range w.rails {
		hz = min(hz, 15000)
		r.rails[k] = filter.NewResonance(hz, max(2, hz/railWidth))
	}
	return r
}

// aim lets the speed go evenly to v m/s over the next grid.
func (r *rub) aim(v float64) { r.step = (v - r.speed) / grid }

// next gives its force on the bridge, 0 when the steel is at rest and all has died.
func (r *rub) next(n *noise) float64 {
	if r.speed == 0 && r.step == 0 && r.fall == 0 {
		return 0
	}
	r.speed += r.step
	if math.Abs(r.speed) < 1e-9 {
		r.speed = 0
	}
	w := n.next()
	if r.turns == 0 {
		r.low += 0.14 * (w - r.low)
		r.fall = 0
		return rubPlain * r.speed * (r.low + 0.5*r.rails[0].Next(r.low))
	}
	r.phase += r.turns * r.speed / Rate
	if r.phase >= 1 {
		r.phase -= math.Floor(r.phase)
		r.fall = r.speed * (1 + 0.25*n.next())
	}
	x := r.fall * (0.35 + w)
	if r.fall *= turnKeep; r.fall < 1e-7 {
		r.fall = 0
	}
	r.low += 0.12 * (x - r.low)
	return rubWound * (1.5*r.low + 0.8*r.rails[0].Next(x) + 0.6*r.rails[1].Next(x))
}
