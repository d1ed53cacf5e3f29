package pitch

import "fmt"

// Mode is one of the seven diatonic modes, by its place on the line of fifths
// relative to major.
type Mode int8

// The modes, in the order of how many fifths flatter than major they are.
const (
	Lydian Mode = iota - 1
	Major
	Mixolydian
	Dorian
	Minor
	Phrygian
	Locrian
)

// String returns the mode's name in small letters.
func (m Mode) String() string {
	return [...]string{"lydian", "major", "mixolydian", "dorian", "minor", "phrygian", "locrian"}[m+1]
}

// Key is a tonic, a mode and the signature that goes with them. The zero value
// is C major. Signature holds the alteration of each letter, C to B; it equals
// the mode's own signature unless the music wrote its own (then Own is true).
type Key struct {
	Tonic     Class
	Mode      Mode
	Signature [7]int8
	Own       bool
}

// NewKey makes the key of a tonic and mode with its usual signature. It fails
// when the signature would need more than seven sharps or flats.
func NewKey(tonic Class, m Mode) (Key, error) {
	f := tonic.Fifths() - int(m)
	if f < -7 || f > 7 {
		return Key{}, fmt.Errorf("the key of %s %s would need %d accidentals, and seven is the most there are", tonic, m, max(f, -f))
	}
	return Key{Tonic: tonic, Mode: m, Signature: SignatureOf(f)}, nil
}

// SignatureOf returns the alterations of a signature with f sharps (positive) or
// flats (negative), −7 ≤ f ≤ 7; beyond that the count is clipped.
func SignatureOf(f int) [7]int8 {
	var s [7]int8
	for i := 0; i < min(f, 7); i++ {
		s[[7]Letter{F, C, G, D, A, E, B}[i]] = 1
	}
	for i := 0; i < min(-f, 7); i++ {
		s[[7]Letter{B, E, A, D, G, C, F}[i]] = -1
	}
	return s
}

// Fifths counts the sharps (positive) or flats (negative) of the key. For a
// signature of the music's own it is the sum of the alterations.
func (k Key) Fifths() int {
	sum := 0
	for _, a := range k.Signature {
		sum += int(a)
	}
	return sum
}

// Alter returns the alteration that the signature puts on a letter.
func (k Key) Alter(l Letter) int { return int(k.Signature[l]) }

// Up moves a key by an interval, choosing the enharmonic tonic with the fewer
// accidentals when the exact one would need more than seven. A signature of
// the music's own is moved letter by letter.
func (k Key) Up(iv Interval) Key {
	tonic := k.Tonic.Up(iv)
	out, err := NewKey(tonic, k.Mode)
	if err != nil {
		f := tonic.Fifths()
		for f-int(k.Mode) > 7 {
			f -= 12
		}
		for f-int(k.Mode) < -7 {
			f += 12
		}
		out, _ = NewKey(ClassAtFifths(f), k.Mode)
	}
	if !k.Own {
		return out
	}
	moved := Key{Tonic: out.Tonic, Mode: k.Mode, Own: true}
	far := out.Tonic.Fifths() - k.Tonic.Fifths()
	for l, a := range k.Signature {
		c := ClassAtFifths(Class{Letter(l), a}.Fifths() + far)
		moved.Signature[c.Letter] = c.Alter
	}
	return moved
}

// String returns a form such as "G major", "F# minor" or "D dorian".
func (k Key) String() string { return k.Tonic.String() + " " + k.Mode.String() }

// Pretty returns the same with typographic accidentals.
func (k Key) Pretty() string { return k.Tonic.Pretty() + " " + k.Mode.String() }
