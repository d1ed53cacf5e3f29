package sound

import (
	"cmp"
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/wire"
)

// Band plays along with a tab (Options.Band).
type Band interface {
	// Begin returns its players, still and silent. An error says why they can't play along.
	Begin(t *tab.Tab, o Options) (Players, error)
}

// Players sound what a band plays.
type Players interface {
	// Play has them play a performance of the tab's tune as from sample from of it on, which is sample now
	// of what they sound; at says at which sample of it a place is heard. What rings goes on ringing.
	Play(p *tune.Performance, at func(tune.Ticks) int, from, now int)
	// Add adds the next samples to both sides.
	Add(left, right []float64)
}

// Frame is an instrument of a band, with strings that fingers stop.
type Frame uint8

// The instruments.
const (
	BandGuitar Frame = iota // four strings: D3, G3, B3 and E4, the highest first
	BandBass                // two strings: A1 and E1
)

// frame is what one is made of.
type frame struct {
	r      rig.Rig
	v      voice
	width  float64 // how long pick or finger takes to leave the string, in seconds
	snap   float64 // of an ordinary stroke's
	frets  int     // how far a string is stopped
	finger float64 // T60 in seconds that the hand leaves a note, besides what the string loses
}

// The instruments' gauges are usual sets (common practice, no source), their bodies ours by reasoning: a flat-top's
// modes, somewhat stiffer, since it is heard as one of several; an upright bass's air and top near 60 and 100 Hz (from memory
// of what is printed of basses), its strings wound over a rope,
// which is as limp as the thin core written here, its finger soft and broad: a pad takes 2 to
// 5 ms to leave a string (from memory). Modes give little way, so that no note is drawn out of tune by a cent.
var frames = [...]frame{
	BandGuitar: {
		r: rig.Rig{
			Scale: 645, Strings: []rig.String{
				{Open: pitch.Note(pitch.E, 0, 4), Wire: wire.String{Diameter: 0.305, Material: wire.MusicWire}},
				{Open: pitch.Note(pitch.B, 0, 3), Wire: wire.String{Diameter: 0.406, Material: wire.MusicWire}},
				{Open: pitch.Note(pitch.G, 0, 3), Wire: wire.String{Diameter: 0.61, Wound: true, Material: wire.PhosphorBronze, CoreRatio: 0.55}},
				{Open: pitch.Note(pitch.D, 0, 3), Wire: wire.String{Diameter: 0.81, Wound: true, Material: wire.PhosphorBronze, CoreRatio: 0.5}},
			},
		},
		v: voice{
			pick: 150,
			modes: []mode{
				{104, 12, 0.00077}, {205, 14, 0.00105}, {255, 12, 0.00088}, {390, 14, 0.00072}, {480, 14, 0.00066}, {650, 12, 0.0006},
				{900, 10, 0.00055}, {1300, 9, 0.00055}, {1900, 8, 0.0006}, {2900, 7, 0.00055}, {4400, 6, 0.0004},
			},
			radius: 0.16, lean: 0.26, weak: weak{12, 1.7e-4, 0},
			snap: 0.7, upTo: 2500,
		},
		width: 0.00032, snap: 0.5, frets: 15, finger: 3.5,
	},
	BandBass: {
		r: rig.Rig{
			Scale: 1050, Strings: []rig.String{
				{Open: pitch.Note(pitch.A, 0, 1), Wire: wire.String{Diameter: 2, Wound: true, Material: wire.NickelPlated, CoreRatio: 0.12}},
				{Open: pitch.Note(pitch.E, 0, 1), Wire: wire.String{Diameter: 2.6, Wound: true, Material: wire.NickelPlated, CoreRatio: 0.12}},
			},
		},
		v: voice{
			pick: 330,
			modes: []mode{
				{62, 8, 2.2e-5}, {104, 9, 3.9e-5}, {165, 9, 2.6e-5}, {260, 9, 1.4e-5}, {420, 8, 9e-6}, {700, 7, 7e-6}, {1150, 6, 5e-6},
			},
			radius: 0.3, lean: 0.26,
			snap: 0.3, upTo: 500,
		},
		width: 0.0022, snap: 0.25, frets: 17, finger: 1.8,
	},
}

// lastRings is how much longer than others a note sounds that nothing stops.
const lastRings = 2.5

// Strings returns the open strings' key numbers, string 1 first, and up to which fret they are stopped.
func (f Frame) Strings() (open []int, frets int) {
	for i := range frames[f].r.Strings {
		open = append(open, frames[f].r.OpenKey(i+1, 0))
	}
	return open, frames[f].frets
}

// Struck is one note of an instrument of a band.
type Struck struct {
	At          int // sample
	End         int // sample at which it is stopped; 0 lets it ring
	StringIndex int
	Key         int
	Strength    float64 // 0 to 1, UsualStrength for an ordinary stroke
	Chopped     bool    // stopped as it is struck
}

// Fretted sounds an instrument of a band: the lead's strings, bridge and body, stopped by fingers at frets.
type Fretted struct {
	f     *frame
	a4    pitch.Hz
	m     *machine
	noise noise
	at    int
	pull  []float64
	sides [2][]float64
}

// NewFretted makes one, tuned by A4 in hertz.
func NewFretted(kind Frame, a4 pitch.Hz, seed uint64) *Fretted {
	f := &frames[kind]
	r := f.r
	r.Reference = a4
	out := &Fretted{f: f, a4: a4, noise: noise(seed*0x9e3779b97f4a7c15 + 0x2545f491)}
	var sc score
	for s := range r.Strings {
		open := float64(r.OpenKey(s+1, 0))
		// All that it can be stopped at, so that the string is long enough and its losses known.
		sc.parts = append(sc.parts, stringPart{first: open, sweeps: []sweep{{0, 1, open + float64(f.frets), false, false}}})
	}
	none := 0.0
	out.m = assembleVoice(&r, f.v, &sc, Options{Dry: true, Seed: seed, Contact: &none}, nil)
	out.Play(nil, 0, 0)
	return out
}

// Play has it play notes, in order of time, as from sample from of them on; that is sample now of what it sounds.
func (i *Fretted) Play(notes []Struck, from, now int) {
	parts := make([]stringPart, len(i.m.strings))
	ends := make([]int, len(parts)) // of what is written on each string
	for s := range parts {
		parts[s].first = float64(i.f.r.OpenKey(s+1, 0))
	}
	for _, n := range notes {
		p := &parts[n.StringIndex]
		before := max(ends[n.StringIndex], n.At-sampleAt(pickBlock))
		if len(p.actions) > 0 {
			p.actions = append(p.actions, action{at: before, kind: damp, t60: blockT60})
		}
		set := max(before, n.At-sampleAt(retuneTravel))
		p.sweeps = append(p.sweeps, sweep{set, max(set+1, n.At), float64(n.Key), false, false})
		p.actions = append(p.actions, i.pluck(n))
		ends[n.StringIndex] = n.At + 1
		if !n.Chopped { // it would take the hand off a chop again
			// Once the last note has gone by.
			round, t60 := int(Rate/float64(pitch.Equal(float64(n.Key), i.a4))), i.f.finger
			if n.End == 0 {
				t60 *= lastRings
			}
			p.actions = append(p.actions, action{at: n.At + round, kind: damp, t60: t60})
		}
		switch {
		case n.Chopped:
			p.actions = append(p.actions, action{at: n.At + sampleAt(chopLasts), kind: damp, t60: chopT60})
		case n.End > n.At+1:
			p.actions = append(p.actions, action{at: n.End, kind: damp, t60: palmT60})
		}
	}
	for s := range parts {
		inorder.Stable(parts[s].actions, func(a, b action) int { return cmp.Compare(a.at, b.at) })
		i.m.strings[s].take(parts[s], from, now)
	}
	i.at = now
}

// pluck is how a note is begun.
func (i *Fretted) pluck(n Struck) action {
	h := strokingOf(max(0, min(1, n.Strength)))
	open := Rate / float64(pitch.Equal(float64(i.f.r.OpenKey(n.StringIndex+1, 0)), i.a4))
	return action{
		at: n.At, kind: pluck, level: h.level * (1 + unevenness*i.noise.next()), width: i.f.width * h.edge * Rate, snap: i.f.snap * h.snap,
		from: i.f.v.pick / float64(i.f.r.Scale) * open * h.place * (1 + unevenness*i.noise.next()), lean: 1, fresh: true,
	}
}

// Add adds the next samples, so much of them to each side.
func (i *Fretted) Add(left, right []float64, toLeft, toRight float64) {
	n := len(left)
	i.pull = slices.Grow(i.pull[:0], n)[:n]
	for c := range i.sides {
		i.sides[c] = slices.Grow(i.sides[c][:0], n)[:n]
	}
	l, r := i.sides[0], i.sides[1]
	for k := range n {
		i.m.step(0, &i.pull[k], &l[k], &r[k], i.at+k)
	}
	i.m.body.process(i.pull, l, r)
	for k := range n {
		left[k] += toLeft * l[k]
		right[k] += toRight * r[k]
	}
	i.at += n
}

// Placed returns what of a sound in the middle goes to each side when it stands at place, −1 for left to 1: the
// power stays (the sine and cosine law, common practice).
func Placed(place float64) (left, right float64) {
	s, c := math.Sincos((1 + place) * math.Pi / 4)
	return c * math.Sqrt2, s * math.Sqrt2
}
