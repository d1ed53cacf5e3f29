package sound

import (
	"math"

	"lapwright/pitch"
	"lapwright/tab"
)

// Rate is the sample rate of everything here, in samples a second.
const Rate = 48000

// grid is how many samples pass between two looks at where the bar is. It is
// counted from the start of the piece, so blocks of any size see the same; in
// between the loop's length changes evenly.
const grid = 32

// silence is the level under which a string counts as still: −110 dB.
const silence = 3e-6

// action is one thing that the player does to a string at an instant.
type action struct {
	at   int // sample
	kind actionKind
	// For a pluck: level 1 is an ordinary stroke; width is how long the pick
	// takes to leave the string, in samples; from is where it plucks, as the
	// time in samples that a wave takes from the bridge there and back.
	level, width, from float64
	// fresh is true when the finger stops the string before it plucks; a
	// hammered or pulled-off note adds to what still rings.
	fresh  bool
	barred bool
	// t60 is how fast a damped string dies, in seconds.
	t60 float64
	// since is when the hand that lifts was laid on, as a sample: one laid on
	// later stays.
	since int
}

type actionKind uint8

const (
	pluck actionKind = iota
	damp             // a hand lies on the string from here until the next pluck
	lift             // it leaves before
)

// sweep moves a string's pitch to a key number between two samples. The bar
// starts and stops gently: its place, and so the string's length, follows the
// smoothest path there is (least jerk, 10u³ − 15u⁴ + 6u⁵; T. Flash and N. Hogan,
// Journal of Neuroscience 5(7), 1985).
type sweep struct {
	from, to int
	key      float64
	barred   bool // the steel is the end of the string afterwards
	scrapes  bool // the bar slides along while the string rings
}

// wobble is hand vibrato between two samples.
type wobble struct {
	from, to int
	width    pitch.Cents // each way
}

// part is all that one string does in a piece, in order of time.
type part struct {
	first   float64 // key number before anything happens
	actions []action
	sweeps  []sweep
	wobbles []wobble
}

// stringModel sounds one string.
type stringModel struct {
	part
	a4        float64
	openHz    float64 // without steel or bender
	loss      decay
	stiff     float64 // inharmonicity B of the open string, as far as it is let be heard
	stretch   float64 // what it does to partials near stretchAt, in cents
	wound     bool
	pickup    float64 // samples from the pickup to the bridge and back; 0 senses the bridge itself
	noise     noise
	up, along *loop // moving at right angles to the top, and along it
	wash      *loop // set going by the other strings through the bridge
	washing   bool
	own       [bridgeDelay]float64 // what it gave the bridge itself

	nextAction, nextSweep, nextWobble int
	period, startPeriod               float64 // now, and where the running sweep began
	barred                            bool
	sounding                          bool

	exciteAge        int // samples since the last pluck; −1 when spent
	excite           action
	excitePeriod     float64
	keep, keepTo     float64 // gain of one round trip by the hand
	keepSteps        int
	dampedAt         int     // when a hand was last laid on it
	scrape, scrapeTo float64 // level of the sliding noise
	scrapeStep       float64
	scrapeLow        float64
	history          []float64 // for the pickup
	historyAt        int
	pickupWhole      int
	pickupFraction   float64
	clickLow         float64
}

// alongLonger and alongLevel describe the motion along the top: the bridge
// takes less from it, so it is quieter and lasts longer, and it is a shade
// sharper. Together the two give the decay in two stages that is heard on real
// strings (Fletcher and Rossing, section 2.12, for the effect; our figures).
const (
	alongLonger = 1.7
	alongLevel  = 0.25
	alongCents  = 0.5
)

// minHz bounds the pitch of a string from below, and with it the loops' size.
const minHz = 20

// maxHz is the highest fundamental that a loop can hold with its filters.
const maxHz = 5000

func newString(p part, a4, openHz float64, loss decay, stiff float64, wound bool, pickup float64, seed uint64) *stringModel {
	s := &stringModel{part: p, a4: a4, openHz: openHz, loss: loss, wound: wound, pickup: pickup, noise: noise(seed), keep: 1, keepTo: 1, exciteAge: -1}
	s.stiff, s.stretch = audibleStiffness(openHz, stiff)
	s.period = s.periodOf(p.first)
	longest := s.period
	for _, w := range p.sweeps {
		longest = max(longest, s.periodOf(w.key))
	}
	longest = min(longest*1.05, Rate/minHz) // room for vibrato and centring
	s.up, s.along, s.wash = newLoop(longest), newLoop(longest), newLoop(longest)
	s.startPeriod = s.period
	s.tune()
	s.place()
	if pickup > 0 {
		n := 8
		for float64(n) < pickup+4 {
			n *= 2
		}
		s.history = make([]float64, n)
		s.pickupWhole = int(pickup)
		s.pickupFraction = pickup - float64(s.pickupWhole)
	}
	return s
}

// periodOf returns the period in samples of a key number.
func (s *stringModel) periodOf(key float64) float64 {
	return Rate / (s.a4 * math.Exp2((key-69)/12))
}

// tune sets the loss filters for the present pitch and works out what all
// filters delay the fundamental by, so that the delay line can make up the
// difference.
func (s *stringModel) tune() {
	f := Rate / s.period
	s.up.gain, s.up.pole = s.loss.lossFilter(f, s.barred, 1)
	s.along.gain, s.along.pole = s.loss.lossFilter(f, s.barred, alongLonger)
	s.wash.gain, s.wash.pole = s.up.gain, s.up.pole
}

// phaseAt returns the delay in samples of a loop's filters at the present pitch.
func (s *stringModel) phaseAt(l *loop) float64 {
	w := 2 * math.Pi / s.period
	return polePhaseDelay(l.pole, w) + allpassPhaseDelay(l.allpass, w)
}

// stiffen sets the stiffness filters for a note about to begin.
func (s *stringModel) stiffen() {
	f := Rate / s.period
	ratio := f / s.openHz
	a := stiffness(f, s.stiff*ratio*ratio)
	s.up.allpass, s.along.allpass, s.wash.allpass = a, a, a
}

// stretchAt is the frequency at which a string's stiffness is judged, in Hz,
// and maxStretch what its partials there are sharpened by at most, in cents.
// Thick plain strings on a short scale reach 14 cents; then the pitch that is
// heard (and that any tuner shows) drifts as the high partials die. A player
// hides that by ear and hand, which a model can't, so that stiffness is bent towards
// this bound: light strings keep all of theirs.
const (
	stretchAt  = 2000.0
	centreAt   = 1600.0
	maxStretch = 2.0
)

// audibleStiffness returns the inharmonicity to use for an open string of
// frequency f and inharmonicity b, and by how many cents its partials near
// stretchAt are sharp of the fundamental's series: ½·B·n²·1200/ln 2.
func audibleStiffness(f, b float64) (used, cents float64) {
	n := stretchAt / f
	full := 0.5 * b * n * n * 1200 / math.Ln2
	cents = full / (1 + full/maxStretch)
	if full == 0 {
		return 0, 0
	}
	return b * cents / full, cents
}

// centred returns the period to tune the fundamental to so that the partials near
// centreAt are in tune: those in the middle of the range that the ear goes by
// (E. Terhardt, Psychoacoustic evaluation of musical sounds, Perception and
// Psychophysics 23, 1978). The stretch grows with the square of frequency.
func (s *stringModel) centred(period float64) float64 {
	f := Rate / period
	if f >= centreAt {
		return period
	}
	return period * (1 + s.stretch*(centreAt*centreAt-f*f)/(stretchAt*stretchAt)*math.Ln2/1200)
}

// lengths returns how long the two delay lines must be at the present pitch.
func (s *stringModel) lengths() (up, along float64) {
	period := s.centred(s.period)
	up = period - s.phaseAt(s.up)
	along = period*(1-alongCents*math.Ln2/1200) - s.phaseAt(s.along)
	return max(up, minDelay), max(along, minDelay)
}

// place puts both delay lines to the present pitch at once.
func (s *stringModel) place() {
	up, along := s.lengths()
	s.up.setDelay(up)
	s.along.setDelay(along)
	s.wash.setDelay(up)
}

// periodAt returns where the bar has the string at sample n, vibrato included.
// Calls must not go back in time.
func (s *stringModel) periodAt(n int) (period float64, moving bool) {
	period = s.startPeriod
	for s.nextSweep < len(s.sweeps) {
		w := &s.sweeps[s.nextSweep]
		if n < w.from {
			break
		}
		to := s.periodOf(w.key)
		if n >= w.to {
			s.startPeriod, period = to, to
			s.barred = w.barred
			s.nextSweep++
			continue
		}
		u := float64(n-w.from) / float64(w.to-w.from)
		u = u * u * u * (10 + u*(6*u-15))
		period = s.startPeriod + (to-s.startPeriod)*u
		s.barred = w.barred
		moving = w.scrapes
		break
	}
	for s.nextWobble < len(s.wobbles) {
		v := &s.wobbles[s.nextWobble]
		if n >= v.to {
			s.nextWobble++
			continue
		}
		period *= math.Exp2(-float64(tab.VibratoAt(float64(n-v.from)/Rate, float64(v.to-n)/Rate, v.width)) / 1200)
		break
	}
	return period, moving
}

// control looks at the bar every grid samples and sets the loops moving so
// that they are right at the next look.
func (s *stringModel) control(n int, b *bridge) {
	was := s.period
	next, moving := s.periodAt(n + grid)
	s.scrapeStep = 0
	if next == was {
		if s.up.step != 0 || s.along.step != 0 {
			s.place()
		}
	} else {
		s.period = next
		s.tune()
		up, along := s.lengths()
		s.up.move(up, grid)
		s.along.move(along, grid)
		s.wash.move(up, grid)
	}
	s.scrapeTo = 0
	if moving {
		// The noise of the steel grows with its speed; a wound string's wrap
		// makes more of it.
		level := 0.02
		if s.wound {
			level = 0.06
		}
		s.scrapeTo = level * min(1, math.Abs(next-was)/was*20)
	}
	s.scrapeStep = (s.scrapeTo - s.scrape) / grid
	if n%(64*grid) == 0 {
		s.washing = b.loud || s.wash.loudest() > silence
	}
	if n%(64*grid) == 0 && s.sounding && s.exciteAge < 0 &&
		s.up.loudest() < silence && s.along.loudest() < silence {
		s.sounding = false
		s.up.clear()
		s.along.clear()
	}
}

// act does what is due at sample n.
func (s *stringModel) act(a action) {
	switch a.kind {
	case pluck:
		s.barred = a.barred
		if a.fresh {
			s.stiffen()
		}
		s.tune()
		if s.up.step == 0 {
			s.place()
		}
		s.sounding = true
		s.excite = a
		s.exciteAge = 0
		s.excitePeriod = s.period
		s.keepTo = 1
		if a.fresh {
			// The pick takes most of what was left of the last note with it.
			s.keep = 0.2
		}
		s.keepSteps = int(s.period)
	case damp:
		s.keepTo = math.Pow(10, -3*s.period/Rate/a.t60)
		s.keepSteps = 240
		s.dampedAt = a.at
	case lift:
		if s.dampedAt == a.since {
			s.keepTo = 1
			s.keepSteps = 240
		}
	}
}

// edge rises from 0 to 1 while u does, smooth at both ends.
func edge(u float64) float64 {
	switch {
	case u <= 0:
		return 0
	case u >= 1:
		return 1
	}
	return 0.5 - 0.5*math.Cos(math.Pi*u)
}

// excitation returns what the pick puts into the string, one sample after
// another. A string pulled aside at one point and let go presses on the bridge
// with a rectangular wave: for the time a wave needs from the pick to the
// bridge and back it pushes, for the rest of the period it does not (Fletcher
// and Rossing, section 2.9). Its mean is taken off; its edges are as long as
// the pick is soft.
func (s *stringModel) excitation() float64 {
	t := float64(s.exciteAge)
	e := &s.excite
	p := s.excitePeriod
	from := min(e.from, 0.45*p)
	part := from / p
	v := edge(t/e.width) - edge((t-from)/e.width) - part*(edge(t/e.width)-edge((t-p)/e.width))
	// A little of the pick's own click, high up and gone in 4 ms.
	if t < 192 && e.fresh {
		w := s.noise.next()
		s.clickLow += 0.3 * (w - s.clickLow)
		u := 1 - t/192
		v += 0.03 * u * u * (w - s.clickLow)
	}
	s.exciteAge++
	if t > p+e.width && t > 192 {
		s.exciteAge = -1
	}
	return v * e.level
}

// add sounds the string from absolute sample n on and adds what is heard of it
// to out. It shakes the bridge, and the bridge shakes it. A call may not reach
// past the next multiple of grid.
func (s *stringModel) add(out []float64, b *bridge, n int) {
	if n%grid == 0 {
		s.control(n, b)
	}
	for i := range out {
		at := n + i
		for s.nextAction < len(s.actions) && s.actions[s.nextAction].at <= at {
			s.act(s.actions[s.nextAction])
			s.nextAction++
		}
		if s.keepSteps > 0 {
			s.keep += (s.keepTo - s.keep) / float64(s.keepSteps)
			s.keepSteps--
		}
		y := 0.0
		if s.sounding {
			in := 0.0
			if s.exciteAge >= 0 {
				in = s.excitation()
			}
			if s.scrape != 0 || s.scrapeStep != 0 {
				s.scrapeLow += 0.25 * (s.noise.next() - s.scrapeLow)
				in += s.scrapeLow * s.scrape * 0.1
				s.scrape += s.scrapeStep
			}
			y = s.up.next(in, s.keep) + alongLevel*s.along.next(in, s.keep)
			b.push(at, y)
		}
		own := s.own[at&(bridgeDelay-1)]
		s.own[at&(bridgeDelay-1)] = y
		if s.washing {
			y += s.wash.next(b.gain*(b.pull(at)-own), s.keep)
		}
		if s.history != nil {
			y = s.sense(y)
		}
		out[i] += y
	}
}

// bridge carries the motion of the plucked strings to all others: what one
// gives it now reaches them bridgeDelay later. What they answer is not carried
// on, so nothing can build up.
type bridge struct {
	gain float64
	ring [2 * bridgeDelay]float64
	loud bool // whether anything moved it lately
	most float64
}

// bridgeDelay is in samples: 1.3 ms. It is more than grid, so that all strings
// of a step hear the same past.
const bridgeDelay = 64

// begin makes room for samples n to n+size.
func (b *bridge) begin(n, size int) {
	for i := n; i < n+size; i++ {
		v := &b.ring[i&(2*bridgeDelay-1)]
		b.most = max(b.most, *v, -*v)
		*v = 0
	}
	if n%(64*grid) == 0 {
		b.loud = b.most > 1e-3
		b.most = 0
	}
}

func (b *bridge) push(n int, y float64) { b.ring[n&(2*bridgeDelay-1)] += y }

func (b *bridge) pull(n int) float64 {
	return b.ring[(n-bridgeDelay)&(2*bridgeDelay-1)]
}

// sense returns what a pickup over the string hears: the wave passing towards
// the bridge and, turned over, coming back.
func (s *stringModel) sense(y float64) float64 {
	m := len(s.history) - 1
	s.history[s.historyAt&m] = y
	i := s.historyAt - s.pickupWhole
	back := s.history[i&m]*(1-s.pickupFraction) + s.history[(i-1)&m]*s.pickupFraction
	s.historyAt++
	return y - back
}

// noise is a small generator of even noise between −1 and 1 (xorshift; G.
// Marsaglia, Journal of Statistical Software 8(14), 2003). It must not be 0.
type noise uint64

func (r *noise) next() float64 {
	x := *r
	x ^= x << 13
	x ^= x >> 7
	x ^= x << 17
	*r = x
	return float64(int64(x)) / (1 << 63)
}
