package sound

import (
	"math"
	"math/cmplx"

	"lapwright/pitch"
	"lapwright/sound/filter"
	"lapwright/sound/loop"
	"lapwright/sound/loss"
	"lapwright/tab"
)

// Rate is the sample rate of everything here, in samples a second.
const Rate = filter.Rate

// grid is how many samples pass between two looks at where the steel is. It is
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
	// lean is how much of it goes along the top, against the usual; cents how much higher than meant the
	// steel lies, if it lies there. The hand is never twice the same.
	lean, cents float64
	// snap is how strong its click is against an ordinary stroke's, level apart.
	snap float64
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

// sweep moves a string's pitch to a key number between two samples. The steel
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
	tab.Vibrato
	pluck *tab.Pluck // that began it
}

// swell is a stretch of samples over which a volume pedal opens.
type swell struct{ from, to int }

// stringPart is all that one string does in a piece, in order of time.
type stringPart struct {
	first   float64 // key number before anything happens
	actions []action
	sweeps  []sweep
	wobbles []wobble
	swells  []swell
}

// stringModel sounds one string.
type stringModel struct {
	stringPart
	a4        float64
	openHz    float64 // without steel or bender
	z         float64 // wave impedance √(T·μ) in kg/s
	losses    *loss.Table
	answers   *answers // of the bridge
	stiff     float64  // inharmonicity B of the open string, as far as it is let be heard
	pickup    float64  // samples from the pickup to the bridge and back; 0 senses the bridge itself
	noise     noise
	up, along *loop.Loop // moving at right angles to the top, and along it
	burst     burst
	rub       rub
	rubNoise  noise   // its own, so that nothing else changes with it
	length    float64 // vibrating length of the open string, in m
	upTo      float64 // partials up to here count for its tuning, in Hz

	nextAction, nextSweep, nextWobble, nextSwell int
	period, startPeriod                          float64 // now, and where the running sweep began
	resting                                      float64 // now, without vibrato
	astray                                       float64 // times the period, as the steel lies
	barred                                       bool
	sounding                                     bool // plucked, and not yet still
	active                                       bool // anything moves on it

	exciteAge      int // samples since the last pluck; −1 when spent
	excite         action
	excitePeriod   float64
	keep, keepTo   float64 // gain of one round trip by the hand
	keepSteps      int
	dampedAt       int     // when a hand was last laid on it
	arrivedUp      float64 // the waves at the bridge in this sample
	arrivedAlong   float64
	history        []float64 // for the pickup
	historyAt      int
	pickupWhole    int
	pickupFraction float64
	aperture       float64   // samples that a wave takes through what the pickup senses
	coil           []float64 // how much of each of the last samples it takes
	passing        [maxCoil]float64
}

// alongShare and alongCents describe the motion along the top: a pick that
// leaves the string at an angle sets it going too, and the bridge takes next to nothing
// from it, so it lasts longer. Together the two give the decay in two stages that is
// heard where the body takes much (Fletcher and Rossing, section 2.12, for the effect; our figures).
const (
	alongShare = 0.7
	alongCents = 0.3
)

// minHz bounds the pitch of a string from below, and with it the loops' size.
const minHz = 20

// maxHz is the highest fundamental that a loop can hold with its filters.
const maxHz = 5000

// wiring is what a string is made of and where it is heard.
type wiring struct {
	openHz float64
	z      float64 // wave impedance in kg/s
	loss   loss.Law
	stiff  float64 // inharmonicity B of the open string
	// pickup is the time from the pickup to the bridge and back, aperture that through what it senses, in samples.
	pickup, aperture float64
	rails            [2]float64 // its first resonances lengthways, in Hz
	turns            float64    // of the wrap to a metre, 0 for a plain string
	length           float64    // in m, open
	upTo             float64    // partials up to here are heard, in Hz
}

// newString makes a string that plays a part; losses, when not nil, are those worked out before for a part of
// the same compass.
func newString(p stringPart, a4 float64, w wiring, bridge *answers, seed uint64, losses *loss.Table) *stringModel {
	s := &stringModel{stringPart: p, a4: a4, openHz: w.openHz, z: w.z, answers: bridge, pickup: w.pickup, aperture: w.aperture, noise: noise(seed), rubNoise: noise(seed ^ 0x5bd1e995), keep: 1, keepTo: 1, exciteAge: -1, astray: 1}
	s.burst, s.rub, s.length, s.upTo = newBurst(w.rails), newRub(w), w.length, w.upTo
	s.stiff = audibleStiffness(w.openHz, w.stiff)
	s.period = s.periodOf(p.first)
	longest, shortest := s.period, s.period
	for _, w := range p.sweeps {
		longest, shortest = max(longest, s.periodOf(w.key)), min(shortest, s.periodOf(w.key))
	}
	longest = min(longest*1.05, Rate/minHz) // room for vibrato and centring
	shortest /= 1.05
	if s.losses = losses; losses == nil {
		s.losses = loss.NewTable(w.loss, Rate/longest, Rate/shortest)
	}
	s.up, s.along = loop.New(longest), loop.New(longest)
	s.startPeriod, s.resting = s.period, s.period
	s.stiffen()
	s.tune()
	s.place()
	if s.pickup > 0 {
		n := 8
		for float64(n) < s.pickup+4 {
			n *= 2
		}
		s.history = make([]float64, n)
		s.coil = aperture(s.aperture)
		s.pickupWhole = int(s.pickup)
		s.pickupFraction = s.pickup - float64(s.pickupWhole)
	}
	return s
}

// periodOf returns the period in samples of a key number.
func (s *stringModel) periodOf(key float64) float64 {
	return Rate / float64(pitch.Equal(key, pitch.Hz(s.a4)))
}

// tune sets the loss filters for the present pitch.
func (s *stringModel) tune() {
	s.up.Loss = s.losses.Filter(Rate/s.period, s.barred)
	s.along.Loss = s.up.Loss
}

// stiffen sets the stiffness filters for a note about to begin.
func (s *stringModel) stiffen() {
	f := Rate / s.period
	ratio := f / s.openHz
	a := loop.Stiffness(f, s.stiff*ratio*ratio)
	s.up.Allpass, s.along.Allpass = a, a
}

// stretchAt is the frequency at which a string's stiffness is judged, in Hz,
// and maxStretch what its partials there are sharpened by at most, in cents.
// Thick plain strings on a short scale reach 14 cents; then the pitch that is
// heard (and that any tuner shows) drifts as the high partials die. A player
// hides that by ear and hand, which a model can't, so that stiffness is bent towards
// this bound: light strings keep all of theirs.
const (
	stretchAt  = 2000.0
	maxStretch = 2.0
)

// audibleStiffness gives the inharmonicity to use for an open string of
// frequency f and inharmonicity b: as much as sharpens its partials near
// stretchAt, by ½·B·n²·1200/ln 2 cents, no more than is let be heard.
func audibleStiffness(f, b float64) float64 {
	n := stretchAt / f
	full := 0.5 * b * n * n * 1200 / math.Ln2
	return b / (1 + full/maxStretch)
}

// heardUpTo is the frequency in Hz up to which partials count for a string's
// tuning where its voice says nothing else, heardAfter the time in seconds after the stroke at which they are weighed.
const (
	heardUpTo  = 4500.0
	heardAfter = 0.2
)

// lengths gives how long the two delay lines must be at the present pitch. What
// the filters and the bridge delay is taken off: its mean over the partials, each
// weighed as the ear and any tuner weigh it, by how fast what is heard of it swings:
// its power times n², the power being a pluck's, which falls with n², as the body
// or the pickup's place passes it on and as string and bridge have taken of it by heardAfter. So the pitch that is heard
// is right, and what stiffness and body do to single partials stays (on the partials
// that the ear goes by: E. Terhardt, Psychoacoustic evaluation of musical sounds,
// Perception and Psychophysics 23, 1978).
func (s *stringModel) lengths() (up, along float64) {
	f := Rate / s.period
	var own, bridge, bridgeAlong, weight float64
	for n := 1.0; n == 1 || n*f < s.upTo; n++ {
		w := 2 * math.Pi * n / s.period
		h := s.up.Loss.Response(w)
		lag, lagAlong, sent, heard := s.answers.lag(s.z, n*f)
		if s.pickup > 0 {
			u := w*s.aperture/2 + 1e-9
			heard = math.Abs(math.Sin(w*s.pickup/2) * math.Sin(u) / u)
		}
		p := heard * heard * math.Pow((real(h)*real(h)+imag(h)*imag(h))*sent, f*heardAfter)
		own += p * (loop.PhaseDelay(s.up.Allpass, w) - cmplx.Phase(h)/w)
		bridge += p * lag
		bridgeAlong += p * lagAlong
		weight += p
	}
	own /= weight
	bridge /= weight
	bridgeAlong /= weight
	up = s.period - own - bridge
	along = s.period*(1-alongCents*math.Ln2/1200) - own - bridgeAlong
	return max(up, loop.MinDelay), max(along, loop.MinDelay)
}

// place puts both delay lines to the present pitch at once.
func (s *stringModel) place() {
	up, along := s.lengths()
	s.up.SetDelay(up)
	s.along.SetDelay(along)
}

// periodAt returns where the steel has the string at sample n, vibrato included.
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
	s.resting = period
	for s.nextWobble < len(s.wobbles) {
		v := &s.wobbles[s.nextWobble]
		if n >= v.to {
			s.nextWobble++
			continue
		}
		period *= (-v.At(float64(n-v.from)/Rate, float64(v.to-n)/Rate)).Factor()
		break
	}
	return period, moving
}

// control looks at the steel every grid samples and sets the loops moving so
// that they are right at the next look.
func (s *stringModel) control(n int, shaken bool) {
	was := s.period
	next, moving := s.periodAt(n + grid)
	if s.barred {
		next *= s.astray
	}
	if next == was {
		if s.up.Step != 0 || s.along.Step != 0 {
			s.place()
		}
	} else {
		s.period = next
		s.tune()
		up, along := s.lengths()
		s.up.Move(up, grid)
		s.along.Move(along, grid)
	}
	speed := 0.0
	if moving {
		// The vibrating length goes with the period.
		speed = math.Abs(next-was) * s.openHz / Rate * s.length * Rate / grid
	}
	s.rub.aim(speed)
	if n%(64*grid) == 0 && s.exciteAge < 0 && s.burst.left == 0 {
		still := s.up.Loudest() < silence && s.along.Loudest() < silence
		if still {
			s.sounding = false
		}
		s.active = shaken || !still
		if !s.active {
			s.up.Clear()
			s.along.Clear()
		}
	}
	if s.nextAction < len(s.actions) && s.actions[s.nextAction].at < n+grid {
		s.active = true
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
		if s.up.Step == 0 {
			s.place()
		}
		s.sounding = true
		s.excite = a
		if s.astray = 1; a.fresh && s.barred {
			s.astray = math.Exp2(-a.cents / 1200)
		}
		s.exciteAge = 0
		s.excitePeriod = s.period
		s.keepTo = 1
		if a.fresh {
			s.burst.start(a)
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
	return 0.5 - 0.5*math.Cos(math.Pi*max(0, min(u, 1)))
}

// A string slides off the pick and, in the midst of it, snaps away: that is what gives it partials up to 10 kHz. sharpEach is how much of an
// ordinary stroke's edge is in the snap, and sharpTimes how much shorter that is than the whole: ours, set against recorded strings
// (TestPartialsBesideRecorded). It goes with how strong the click is, so a loud stroke has more of it.
const (
	sharpEach  = 0.3
	sharpTimes = 3
)

func sharpShare(snap float64) float64 { return min(0.6, sharpEach*snap) }

// slips rises from 0 to 1 while u does, as a string lets go.
func slips(u, sharp float64) float64 {
	return (1-sharp)*edge(u) + sharp*edge(0.5+sharpTimes*(u-0.5))
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
	sharp := sharpShare(e.snap)
	begin := slips(t/e.width, sharp)
	v := begin - slips((t-from)/e.width, sharp) - part*(begin-slips((t-p)/e.width, sharp))
	s.exciteAge++
	if t > p+e.width {
		s.exciteAge = -1
	}
	return v * e.level
}

// arrive works out the waves that reach the bridge in sample at, arrivedUp and arrivedAlong. Control must have
// been called for this grid.
func (s *stringModel) arrive(at int) {
	for s.nextAction < len(s.actions) && s.actions[s.nextAction].at <= at {
		s.act(s.actions[s.nextAction])
		s.nextAction++
	}
	if s.keepSteps > 0 {
		s.keep += (s.keepTo - s.keep) / float64(s.keepSteps)
		s.keepSteps--
	}
	in := 0.0
	if s.exciteAge >= 0 {
		in = s.excitation()
	}
	s.arrivedUp = s.up.Arrive(s.keep) + in
	s.arrivedAlong = s.along.Arrive(s.keep) + alongShare*s.excite.lean*in
}

// leave sends the waves back from a bridge that moves up and along so fast, in m/s.
func (s *stringModel) leave(v, vAlong float64) {
	s.up.Leave(s.arrivedUp - s.z*v)
	s.along.Leave(s.arrivedAlong - s.z*vAlong)
}

// maxCoil bounds the samples that a pickup sums: those of 30 mm at 41 Hz on a short scale.
const maxCoil = 64

// aperture returns the weights of samples that a pickup sums which senses a stretch of string that a wave takes so
// many samples to pass. Of partial n of a string of length L it takes
//
//	sin(u)/u,   u = n·π·w/(2·L),
//
// w being the stretch (cf. R. C. D. Paiva, J. Pakarinen and V. Välimäki, Journal of the Audio Engineering Society 60, 2012, 768, of
// which no number was seen).
func aperture(samples float64) []float64 {
	samples = min(samples, maxCoil-2)
	n := int(math.Ceil(samples))
	if n%2 == 0 {
		n++ // one in the middle
	}
	out := make([]float64, n)
	for i := range out {
		lo, hi := math.Abs(float64(i)-float64(n/2))-0.5, math.Abs(float64(i)-float64(n/2))+0.5
		out[i] = max(0, min(hi, samples/2)-max(lo, -samples/2)) / samples
	}
	return out
}

// sense returns what a pickup over the string hears: the wave passing towards
// the bridge and, turned over, coming back, over all that it senses.
func (s *stringModel) sense(y float64) float64 {
	m := len(s.history) - 1
	s.history[s.historyAt&m] = y
	i := s.historyAt - s.pickupWhole
	back := s.history[i&m]*(1-s.pickupFraction) + s.history[(i-1)&m]*s.pickupFraction
	s.passing[s.historyAt&(maxCoil-1)] = y - back
	sum := 0.0
	for k, share := range s.coil {
		sum += share * s.passing[(s.historyAt-k)&(maxCoil-1)]
	}
	s.historyAt++
	return sum
}

// pedal returns how far the volume pedal is open for the string at a sample. Calls
// must not go back in time.
func (s *stringModel) pedal(at int) float64 {
	for s.nextSwell < len(s.swells) {
		w := s.swells[s.nextSwell]
		if at >= w.to {
			s.nextSwell++
			continue
		}
		if at < w.from {
			break
		}
		u := float64(at-w.from) / float64(w.to-w.from)
		return u * u
	}
	return 1
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
