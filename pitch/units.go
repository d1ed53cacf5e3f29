package pitch

import "math"

// Hz is a frequency in hertz.
type Hz float64

// Cents is a size of interval: 1200 to the octave, 100 to the equal-tempered
// semitone.
type Cents float64

// Key number bounds of the MIDI 1.0 specification.
const (
	MinKey = 0
	MaxKey = 127
)

// StandardA is the standard frequency of A4 in hertz (ISO 16:1975).
const StandardA Hz = 440

// MinReference and MaxReference bound the reference pitches that are accepted for A4,
// in hertz: from baroque pitch up to the sharpest concert pitch on record.
const (
	MinReference Hz = 415
	MaxReference Hz = 466
)

// Equal returns the equal-tempered frequency of a key number that may be
// fractional: f = a4·2^((key−69)/12), a4 the reference pitch of A4 (ISO
// 16:1975 fixes 440 Hz; the twelfth-root rule is equal temperament itself).
func Equal(key float64, a4 Hz) Hz {
	return a4 * Hz(math.Exp2((key-69)/12))
}

// KeyOf is the inverse of Equal: the (fractional) key number of frequency f.
// It is meaningful for f > 0 only; for others it returns NaN or −Inf, which
// callers must have excluded.
func KeyOf(f, a4 Hz) float64 {
	return 69 + 12*math.Log2(float64(f/a4))
}

// Between returns the interval from f1 up to f2 in cents: 1200·log2(f2/f1).
// Negative when f2 is lower. Both must be positive.
func Between(f1, f2 Hz) Cents {
	return Cents(1200 * math.Log2(float64(f2/f1)))
}

// Factor returns the frequency ratio of an interval, 2^(c/1200): the inverse of
// Between.
func (c Cents) Factor() float64 { return math.Exp2(float64(c) / 1200) }

// Ratio returns the size of the frequency ratio num/den in cents.
func Ratio(num, den int) Cents {
	return Cents(1200 * math.Log2(float64(num)/float64(den)))
}
