package band

import (
	"fmt"
	"math"

	"lapwright/pitch"
	"lapwright/sound"
)

// Tones says what a drone holds.
type Tones uint8

// The drones.
const (
	NoDrone    Tones = iota
	Tonic            // the tonic, and its octave
	TonicFifth       // and the fifth between
)

// ParseTones reads a drone's name; "" is none.
func ParseTones(s string) (Tones, error) {
	switch s {
	case "", "none":
		return NoDrone, nil
	case "tonic":
		return Tonic, nil
	case "fifth":
		return TonicFifth, nil
	}
	return 0, fmt.Errorf("unknown drone %q: it is tonic, fifth or none", s)
}

// The sound of a drone.
const (
	lowest     = 40   // the tonic lies in the octave from this key number (E2) up: under the lead
	partials   = 8    // of each tone
	falls      = 1.3  // a partial n is as strong as 1/n to this power
	swayEvery  = 7.3  // seconds of a slow sway of each tone's strength, so that it lives; its pitch stands
	swayDepth  = 0.2  // of it
	risesIn    = 0.4  // seconds
	fallsIn    = 1.2  // seconds, at the end
	DronePeak  = 0.11 // no sample of it is larger, from −1 to 1
	upperShare = 0.5  // strength of octave and fifth against the tonic
)

// sine is one partial: a rotating pair, renewed so that it neither grows nor drifts.
type sine struct {
	step float64 // radians a sample
	amp  float64
	tone int
}

// Drone is a held sound of a fixed length.
type Drone struct {
	sines   []sine
	length  int
	at      int
	scale   float64
	swaying int // tones
}

// NewDrone makes the drone of a tonic, so many samples long, at the reference pitch of
// A4: equal-tempered, so that it agrees with whatever is stopped in tune.
func NewDrone(tonic pitch.Class, t Tones, a4 pitch.Hz, samples int) *Drone {
	d := &Drone{length: samples}
	for k, hz := range Hold(tonic, t, a4) {
		strength := 1.0
		if k > 0 {
			strength = upperShare
		}
		d.tone(float64(hz), strength)
	}
	sum := 0.0
	for _, s := range d.sines {
		sum += s.amp
	}
	d.scale = DronePeak / sum
	return d
}

// Hold returns the frequencies of the tones that a drone holds, the tonic first; 0 for A4 is the standard's.
func Hold(tonic pitch.Class, t Tones, a4 pitch.Hz) []pitch.Hz {
	if a4 == 0 {
		a4 = pitch.StandardA
	}
	key := lowest + pitch.Mod(tonic.Semitone()-lowest, 12)
	steps := []int{0, 12}
	if t == TonicFifth {
		steps = append(steps, 7)
	}
	var out []pitch.Hz
	for _, s := range steps {
		out = append(out, pitch.Equal(float64(key+s), a4))
	}
	return out
}

// tone adds one tone with its partials below half the rate.
func (d *Drone) tone(f, strength float64) {
	for n := 1; n <= partials && f*float64(n) < sound.Rate/2; n++ {
		d.sines = append(d.sines, sine{2 * math.Pi * f * float64(n) / sound.Rate, strength / math.Pow(float64(n), falls), d.swaying})
	}
	d.swaying++
}

// Add adds the next samples of the drone to some; what lies beyond its end stays.
func (d *Drone) Add(out []float32) {
	for i := range out {
		at := d.at + i
		if at >= d.length {
			break
		}
		seconds := float64(at) / sound.Rate
		left := float64(d.length-at) / sound.Rate
		env := d.scale * min(1, seconds/risesIn) * min(1, left/fallsIn)
		v := 0.0
		for k := range d.sines {
			s := &d.sines[k]
			sway := 1 - swayDepth*(0.5+0.5*math.Sin(2*math.Pi*seconds/(swayEvery+float64(s.tone))))
			// The phase grows by the whole samples gone by, so that no rounding adds up.
			v += s.amp * sway * math.Sin(math.Mod(s.step*float64(at), 2*math.Pi))
		}
		out[i] += float32(env * v)
	}
	d.at += len(out)
}

// Under is what an instrument is to be multiplied by so that with a drone beneath no
// true peak goes over sound.Ceiling.
func Under() float32 {
	ceiling := math.Pow(10, sound.Ceiling/20)
	return float32((ceiling - DronePeak) / ceiling)
}
