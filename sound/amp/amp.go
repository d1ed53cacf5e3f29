package amp

import "lapwright/sound/filter"

// Voicing is how one kind of amplifier is set up.
type Voicing struct {
	Drive  float64 // from 0, none, to 1
	Spring float64 // from 0, none, to 1, as loud as what goes in
	Peak   float64 // of an ordinary stroke where the drive is
	// Tone are the filters before the drive, Speaker those after the springs.
	Tone, Speaker []filter.Biquad
}

// Amplifier is one channel of it.
type Amplifier struct {
	tone, speaker []filter.Biquad
	drive         *Drive  // nil for none
	spring        *Spring // nil for none
	wet           float64
	rest, rings   int // samples since anything went in, and after how many of those it is still
}

// springLevel brings the springs' answer to a long sound to the level of the sound itself.
const springLevel = 0.45

// Filters are worked on for half a second when nothing goes in any more, springs for six, in which they die by over 180 dB; in samples.
const (
	filtersRing = filter.Rate / 2
	springsRing = 6 * filter.Rate
)

// New returns an amplifier at rest.
func New(v Voicing) *Amplifier {
	a := &Amplifier{rings: filtersRing, wet: springLevel * v.Spring}
	a.tone = append(a.tone, v.Tone...)
	a.speaker = append(a.speaker, v.Speaker...)
	if v.Drive > 0 {
		a.drive = NewDrive(v.Drive, v.Peak)
	}
	if v.Spring > 0 {
		a.spring, a.rings = NewSpring(), springsRing
	}
	a.rest = a.rings
	return a
}

// Process puts one block through it, in place.
func (a *Amplifier) Process(x []float64) {
	for i, v := range x {
		switch {
		case v != 0:
			a.rest = 0
		case a.rest == a.rings:
			continue
		default:
			a.rest++
		}
		if a.rest < filtersRing {
			for k := range a.tone {
				v = a.tone[k].Next(v)
			}
			if a.drive != nil {
				v = a.drive.Next(v)
			}
		} else if a.rest == filtersRing {
			a.clearFront()
		}
		if a.spring != nil {
			v += a.wet * a.spring.Next(v)
		}
		for k := range a.speaker {
			v = a.speaker[k].Next(v)
		}
		x[i] = v
		if a.rest == a.rings {
			a.clear()
			x[i] = 0
		}
	}
}

// clearFront forgets what went in, as far as the drive.
func (a *Amplifier) clearFront() {
	for k := range a.tone {
		a.tone[k].Clear()
	}
	if a.drive != nil {
		a.drive.clear()
	}
	if a.spring != nil {
		a.spring.cut.Clear()
	}
}

// clear forgets what went in.
func (a *Amplifier) clear() {
	a.clearFront()
	for k := range a.speaker {
		a.speaker[k].Clear()
	}
	if a.spring != nil {
		a.spring.clear()
	}
}
