package tab

import (
	"math"

	"lapwright/pitch"
	"lapwright/rig"
)

// The vibrato of the hand, done by rolling the steel: about five swings a second, growing in
// after the note has been heard straight, and still again when it ends (common
// practice, no source; singers and bowed strings swing 5.5 to 8 times a second: R. Timmers and P. Desain,
// International Conference on Music Perception and Cognition, 2000). Neither pace nor width is steady:
// a swing of one sine sounds made (D. G. Smith, McGill 2023).
const (
	VibratoSlowest = 4.5  // swings a second, at the least
	VibratoFastest = 6.0  // and at the most
	VibratoDelay   = 0.22 // seconds before it starts
	VibratoGrow    = 0.30 // seconds until it is full
	VibratoFade    = 0.05 // seconds in which it dies away

	vibratoHz     = 5.2  // on the whole
	vibratoWander = 0.30 // by how much each of two slow waves takes the pace up and down, a second
	vibratoSway   = 0.12 // and how much the width
	vibratoRoll   = 1.8  // mm: how far the steel rolls each way in a note of a second
	vibratoMost   = pitch.Cents(40)
)

// Vibrato is the vibrato of one note. Whoever sounds or writes it takes it from here.
type Vibrato struct {
	Width pitch.Cents // each way when it is full, on the whole
	lean  [2]float64  // where the waves begin that its pace wanders by, in radians
}

// VibratoOf returns the vibrato of a note that lasts so many seconds. The steel rolls 1.8 mm each
// way, less in a short note and a third more in a long one; what that moves the pitch by is the derivative of
// pitch by place, 1200/ln 2 cents over the vibrating length, so it is wider on high notes. No two notes swing
// quite alike, and a note always as it did.
func VibratoOf(r *rig.Rig, p *Pluck, seconds float64) Vibrato {
	length := float64(r.Scale) * math.Exp2(-p.Fret/12)
	roll := vibratoRoll * max(0.75, min(4./3, 2./3+seconds/3))
	mixed := uint64(p.Ref.Bar+1)*0x9e3779b97f4a7c15 ^ uint64(p.Ref.Event+1)*0xbf58476d1ce4e5b9 ^ uint64(p.String)*0x94d049bb133111eb
	mixed ^= mixed >> 31
	turn := func(bits uint64) float64 { return 2 * math.Pi * float64(bits&0xffff) / 0x10000 }
	return Vibrato{
		Width: min(vibratoMost, pitch.Cents(1200/math.Ln2*roll/length)),
		lean:  [2]float64{turn(mixed), turn(mixed >> 20)},
	}
}

// At returns how far a note is from its pitch t seconds after its onset and left
// seconds before its end. It is 0 outside the note.
func (v Vibrato) At(t, left float64) pitch.Cents {
	t -= VibratoDelay
	if t <= 0 || left <= 0 {
		return 0
	}
	// The pace is vibratoHz and two slow waves, of 0.31 and 0.83 a second; the phase is what
	// that comes to since the start.
	turns := vibratoHz * t
	for k, slow := range [2]float64{0.31, 0.83} {
		w := 2 * math.Pi * slow
		turns += vibratoWander * (math.Cos(v.lean[k]) - math.Cos(w*t+v.lean[k])) / w
	}
	depth := min(1, t/VibratoGrow, left/VibratoFade)
	sway := 1 + vibratoSway*math.Sin(2*math.Pi*0.47*t+v.lean[0]+v.lean[1])
	return v.Width * pitch.Cents(depth*sway*math.Sin(2*math.Pi*turns))
}
