package sound

import (
	"cmp"
	"math"
	"slices"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sound/amp"
	"lapwright/sound/click"
	"lapwright/sound/filter"
	"lapwright/sound/hall"
	"lapwright/sound/loss"
	"lapwright/sound/loudness"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/wire"
)

// ringOut is how long a recording goes on after the written music, and fade how
// long of that it takes to die, in seconds.
const (
	ringOut = 2.6
	fade    = 1.4
)

// blockSize is how many samples are made at a time. The result does not depend
// on it.
const blockSize = 1024

// Stems are the parts of one recording, apart and of the same length. Lead and
// Click together are what Render gives; Contact is in Lead.
type Stems struct {
	Lead    *Audio  // the instrument, stereo
	Click   *Audio  // the count-in and click, mono; silent when neither was asked for
	Contact *Audio  // what of Lead, on both sides, is the steel sliding and landing; mono
	Backing *Audio  // what Options.Band plays, stereo; nil without one
	Gain    float64 // decibels by which Lead is turned up (Gain)
}

// length returns how many samples the recording has.
func (sc *score) length() int {
	return sampleAt(max(sc.countIn+sc.music, sc.end) + ringOut)
}

// newTimekeeper returns the function from a place in sounding order to seconds in
// the recording.
func newTimekeeper(t *tab.Tab, o Options, sc *score) func(tune.Ticks) float64 {
	w := &scribe{clock: t.Performance().Clock, o: o, sc: sc}
	return w.seconds
}

// RenderStems sounds a tab, with instrument and click apart. Errors are a tab
// that can't be sounded, options out of range, or ErrStopped.
func RenderStems(t *tab.Tab, o Options) (*Stems, error) { return renderBlocks(t, o, blockSize) }

// Render sounds a tab: instrument and click together, stereo. The lead's
// loudness is brought near Options.Loudness and no true peak exceeds Ceiling.
func Render(t *tab.Tab, o Options) (*Audio, error) {
	s, err := RenderStems(t, o)
	if err != nil {
		return nil, err
	}
	return s.Mix(), nil
}

// Mix returns lead, backing and click together. It takes over the lead's samples.
func (s *Stems) Mix() *Audio {
	for k, c := range s.Lead.Channels {
		for i, v := range s.Click.Channels[0] {
			c[i] += v
		}
		if s.Backing != nil {
			for i, v := range s.Backing.Channels[k] {
				c[i] += v
			}
		}
	}
	return s.Lead
}

// renderBlocks sounds a tab as a Stream does, but keeps what the first hearing gives, so that the
// strings are worked out once.
func renderBlocks(t *tab.Tab, o Options, block int) (*Stems, error) {
	told := o.Progress
	o.Progress = portion(told, 0, 0.9)
	p, err := newPlaying(t, o)
	if err != nil {
		return nil, err
	}
	all, piece := p.block(), p.block()
	all.resize(p.length)
	var l leveller
	for p.at < p.length {
		from, n := p.at, min(block, p.length-p.at)
		if err := p.next(&piece, n); err != nil {
			return nil, err
		}
		part := all.slice(from, from+n)
		part.copy(&piece)
		l.add(&piece)
	}
	gain := l.gain(p.o.Loudness)
	if o.Gain != nil {
		gain = *o.Gain
	}
	m := newMastering(gain, p.block())
	for at := 0; at < p.length+loudness.Delay; at += block {
		n := min(block, p.length+loudness.Delay-at)
		in := p.block()
		in.resize(n)
		if at < p.length {
			here := all.slice(at, min(at+n, p.length))
			in.copy(&here)
		}
		out := m.add(&in)
		// What is late comes out loudness.Delay samples before; the first of it is nothing.
		skip := max(0, loudness.Delay-at)
		if skip >= n {
			continue
		}
		part := all.slice(at+skip-loudness.Delay, at+n-loudness.Delay)
		late := out.slice(skip, n)
		part.copy(&late)
	}
	if told != nil && !told(1) {
		return nil, ErrStopped
	}
	out := &Stems{
		Gain:  gain,
		Lead:  &Audio{Channels: [][]float32{all.Left, all.Right}},
		Click: &Audio{Channels: [][]float32{all.Click}}, Contact: &Audio{Channels: [][]float32{all.Contact}},
	}
	if all.Backing[0] != nil {
		out.Backing = &Audio{Channels: all.Backing[:]}
	}
	return out, nil
}

// machine is everything that sounds, joined up.
type machine struct {
	strings []*stringModel
	bridge  *bridge
	senses  bool    // a pickup hears the strings, not the air
	snap    float64 // how much of the strokes' bursts there is
	knocks  *knocker
	contact float64   // level of the steel's own noise
	touch   []float64 // where it is put for the block in hand; nil when nobody asks
	rubbed  float64   // its force in this sample
	rubbing []float64 // and in the block in hand
	aside   [2][]float64
	lands   *knocker // the steel laid down and lifted
	quiet   quiet    // how long neither that nor the steel's sliding has been heard
	sounds  *body    // the body that is heard by, and an amplifier that does not give way
	body    *body
	amp     *amp.Amplifier // nil for an acoustic instrument
	room    *hall.Room
	click   *click.Clicker
}

// assemble builds the machine for a rig and a score.
func assemble(r *rig.Rig, sc *score, o Options) *machine { return assembleAs(r, sc, o, nil) }

// assembleAs is assemble with the tables of a machine built before from a score of the same compass.
func assembleAs(r *rig.Rig, sc *score, o Options, before *machine) *machine {
	return assembleVoice(r, voices[r.Body], sc, o, before)
}

// assembleVoice is assembleAs for a body that no rig has.
func assembleVoice(r *rig.Rig, v voice, sc *score, o Options, before *machine) *machine {
	m := &machine{body: newBody(v), click: click.New(sc.beats), knocks: newKnocker(sc.knocks, v.knock, o.Seed), lands: newKnocker(sc.landings, v.knock, o.Seed+1), contact: o.contact(), senses: v.pickup > 0, snap: v.snap}
	wires := make([]wiring, len(r.Strings))
	impedances := make([]float64, len(r.Strings))
	for s := range r.Strings {
		wires[s] = wiringOf(r, s, v)
		impedances[s] = wires[s].z
	}
	m.bridge = newBridge(v, impedances)
	told := m.bridge.answers()
	if v.amp != nil {
		set := *v.amp
		set.Drive, set.Spring = o.amplifier(set)
		m.amp = amp.New(set)
		v.tone = slices.Concat(v.tone, set.Tone, set.Speaker)
	}
	m.sounds = newBody(v)
	m.sounds.addModes(v.modes, m.bridge)
	for s := range r.Strings {
		seed := (o.Seed+1)*0x9e3779b97f4a7c15 ^ uint64(s+1)*0xbf58476d1ce4e5b9
		var losses *loss.Table
		if before != nil {
			losses = before.strings[s].losses
		}
		m.strings = append(m.strings, newString(sc.parts[s], float64(r.Reference), wires[s], told, seed, losses))
	}
	level := v.room
	if o.Dry {
		level = 0
	}
	m.room = hall.New(level)
	return m
}

// wiringOf works out what string index s of a rig is made of, and where a voice's pickup is.
func wiringOf(r *rig.Rig, s int, v voice) wiring {
	w := r.Strings[s].Wire
	open := pitch.Equal(float64(r.OpenKey(s+1, 0)), r.Reference)
	mu := float64(w.MassPerLength())
	// Lengthways a wave runs at √(E·A/μ); the string is held at both ends, and
	// its odd resonances show (Pakarinen, Penttinen and Bank, Journal of the Acoustical
	// Society of America 122, 2007: 1400 and 4200 Hz on a guitar's lowest, whatever the fret).
	speed := math.Sqrt(wire.YoungsModulus * w.CoreArea() / mu)
	first := speed / (2 * float64(r.Scale) / 1000)
	turns := 0.0
	if w.Wound {
		turns = 1000 / float64(w.WrapDiameter()) // close turns
	}
	return wiring{
		turns: turns, length: float64(r.Scale) / 1000, upTo: cmp.Or(v.upTo, heardUpTo),
		openHz: float64(open), z: math.Sqrt(float64(w.Tension(r.Scale, open)) * mu),
		loss: loss.Of(r, w, open), stiff: w.Inharmonicity(r.Scale, open),
		pickup: v.pickup / float64(r.Scale) * Rate / float64(open), aperture: v.aperture / float64(2*r.Scale) * Rate / float64(open), rails: [2]float64{first, 3 * first},
	}
}

// next makes one block from absolute sample at on.
func (m *machine) next(pull, left, right, clicks []float64, at int) {
	clear(clicks)
	m.rubbing = slices.Grow(m.rubbing[:0], len(pull))[:len(pull)]
	clear(pull)
	m.knocks.add(pull, at)
	for i := range pull {
		m.step(pull[i], &pull[i], &left[i], &right[i], at+i)
		m.rubbing[i] = m.rubbed
	}
	m.body.process(pull, left, right)
	if m.amp != nil {
		m.amp.Process(left)
		copy(right, left)
	}
	m.addContact(left, right, at)
	m.room.Add(left, right)
	m.click.Add(clicks, at)
}

// addContact adds the steel's own noise. The body passes it on as it does the strings'
// pull, but the strings do not feel it, so that it can be left out exactly.
func (m *machine) addContact(left, right []float64, at int) {
	if m.contact == 0 {
		clear(m.touch)
		return
	}
	m.lands.add(m.rubbing, at)
	clear(m.touch)
	for from := 0; from < len(m.rubbing); {
		skip, work := m.quiet.next(m.rubbing[from:])
		from += skip
		in := m.rubbing[from : from+work]
		m.aside[0] = append(m.aside[0][:0], in...)
		m.aside[1] = append(m.aside[1][:0], in...)
		clear(m.aside[0])
		clear(m.aside[1])
		m.sounds.process(in, m.aside[0], m.aside[1])
		for i := range in {
			v := m.contact * 0.5 * (m.aside[0][i] + m.aside[1][i])
			left[from+i] += v
			right[from+i] += v
			if m.touch != nil {
				m.touch[from+i] = v
			}
		}
		if m.quiet == bodyRest {
			m.sounds.clear()
		}
		from += work
	}
}

// step sounds the strings and the bridge in sample at, a hand or the steel knocking on it by so much.
func (m *machine) step(knock float64, pull, left, right *float64, at int) {
	if at%grid == 0 {
		if at%(64*grid) == 0 {
			m.bridge.noteMotion()
		}
		for _, s := range m.strings {
			s.control(at, m.bridge.loud)
		}
	}
	up, along, struck, sensed := 0.0, 0.0, 0.0, 0.0
	m.rubbed = 0
	for _, s := range m.strings {
		m.rubbed += s.rub.next(&s.rubNoise)
		if s.active {
			s.arrive(at)
			up += s.arrivedUp
			along += s.arrivedAlong
			if s.burst.left > 0 {
				struck += s.burst.next(&s.noise)
			}
		}
	}
	struck = m.snap*struck + knock
	force, l, r := m.bridge.move(up+struck, along)
	for _, s := range m.strings {
		if s.active {
			s.leave(m.bridge.v, m.bridge.vAlong)
			if s.history != nil {
				sensed += s.sense(s.arrivedUp) * s.pedal(at)
			}
		}
	}
	*left, *right = 0.5*l, 0.5*r
	*pull = 0.5 * force
	if m.senses {
		*pull = sensed + struck
	}
}

// knocker sounds hands and steel touching the instrument: short, dull bursts.
type knocker struct {
	knocks []knock
	next   int
	live   []knock
	scale  float64
	noise  noise
	low    filter.Biquad
	rest   int // samples until nothing is left in low
}

// knockLength is how long one lasts, in samples: 20 ms. knockRest is how long the filter rings on.
const (
	knockLength = 960
	knockRest   = 2400
)

func newKnocker(k []knock, scale float64, seed uint64) *knocker {
	return &knocker{knocks: k, scale: scale, noise: noise(seed*0xd6e8feb86659fd93 + 0x77), low: filter.LowPass(420, 0.7)}
}

func (k *knocker) add(out []float64, n int) {
	for i := range out {
		at := n + i
		for k.next < len(k.knocks) && k.knocks[k.next].at <= at {
			k.live = append(k.live, k.knocks[k.next])
			k.next++
		}
		w := k.noise.next()
		in := 0.0
		keep := k.live[:0]
		for _, b := range k.live {
			age := at - b.at
			if age >= knockLength {
				continue
			}
			u := 1 - float64(age)/knockLength
			in += b.level * u * u * u * min(1, float64(age)/48) * w
			keep = append(keep, b)
		}
		k.live = keep
		if in != 0 {
			k.rest = knockRest
		}
		if k.rest > 0 {
			k.rest--
			out[i] += k.scale * k.low.Next(in)
		}
	}
}

// quiet counts for how many samples nothing has gone into a body.
type quiet int

// bodyRest is how long a body is worked on after that, in samples: its modes are by then under a millionth of a millionth of
// what they were.
const bodyRest = Rate * 3 / 4

// next returns how many of the next samples need no work, since nothing sounds, and how many after those are to be worked on
// until that is so again.
func (q *quiet) next(in []float64) (skip, work int) {
	if *q == bodyRest {
		for skip < len(in) && in[skip] == 0 {
			skip++
		}
	}
	for _, x := range in[skip:] {
		work++
		if x != 0 {
			*q = 0
		} else if *q++; *q == bodyRest {
			break
		}
	}
	return skip, work
}
