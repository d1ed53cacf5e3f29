package tab

import (
	"math"

	"lapwright/pitch"
	"lapwright/rig"
)

// Vibrato is done by rolling the steel: about five swings a second, growing in
// after the note has been heard straight, and still again when it ends (common
// practice, no source). Whoever sounds or writes it takes it from here.
const (
	VibratoHz    = 5.2
	VibratoDelay = 0.22 // seconds before it starts
	VibratoGrow  = 0.30 // seconds until it is full
	VibratoFade  = 0.05 // seconds in which it dies away

	vibratoRoll = 1.8 // mm: how far the steel rolls each way
	vibratoMost = pitch.Cents(40)
)

// VibratoWidth returns how far rolling the steel moves the pitch each way at a fret:
// the derivative of pitch by place, 1200/ln 2 cents over the vibrating length.
func VibratoWidth(r *rig.Rig, fret float64) pitch.Cents {
	length := float64(r.Scale) * math.Exp2(-fret/12)
	return min(vibratoMost, pitch.Cents(1200/math.Ln2*vibratoRoll/length))
}

// VibratoAt returns how far a note is from its pitch t seconds after its onset, left
// seconds before its end, when its vibrato is so wide. It is 0 outside the note.
func VibratoAt(t, left float64, width pitch.Cents) pitch.Cents {
	t -= VibratoDelay
	if t <= 0 || left <= 0 {
		return 0
	}
	depth := min(1, t/VibratoGrow, left/VibratoFade)
	return width * pitch.Cents(depth*math.Sin(2*math.Pi*VibratoHz*t))
}
