package pitch

import (
	"fmt"
	"strconv"
	"unicode/utf8"
)

// Letter is one of the seven natural notes: 0 is C, 1 is D … 6 is B.
type Letter int8

// The natural notes.
const (
	C Letter = iota
	D
	E
	F
	G
	A
	B
)

// semitones above C of each letter.
var letterSemitones = [7]int{0, 2, 4, 5, 7, 9, 11}

// String returns the capital letter.
func (l Letter) String() string { return string("CDEFGAB"[l]) }

// Class is a spelled pitch class: a letter and an alteration in semitones
// (−2 double flat … +2 double sharp). The zero value is C natural.
type Class struct {
	Letter Letter
	Alter  int8
}

// Name is a spelled pitch: a class in an octave (scientific pitch notation,
// C4 = middle C). The octave belongs to the letter, so B♯3 sounds as C4.
type Name struct {
	Class
	Octave int8
}

// Note makes a Name from its parts.
func Note(l Letter, alter, octave int) Name {
	return Name{Class{l, int8(alter)}, int8(octave)}
}

// Semitone returns the pitch class as a number 0–11, C being 0.
func (c Class) Semitone() int {
	return Mod(letterSemitones[c.Letter]+int(c.Alter), 12)
}

// Key returns the key number of the pitch: C4 is 60. It may fall outside 0–127
// for names far from the instruments.
func (n Name) Key() int {
	return 12*(int(n.Octave)+1) + letterSemitones[n.Letter] + int(n.Alter)
}

// Hz returns the equal-tempered frequency under reference pitch a4.
func (n Name) Hz(a4 Hz) Hz { return Equal(float64(n.Key()), a4) }

// Step counts letters from C0: the vertical place of the note on a staff.
func (n Name) Step() int { return 7*int(n.Octave) + int(n.Letter) }

// String returns the ASCII form, such as "F#" or "Bbb".
func (c Class) String() string { return c.Letter.String() + accidental(int(c.Alter), "b", "#", "##") }

// Pretty returns the typographic form, such as "F♯" or "B𝄫" written "B♭♭".
func (c Class) Pretty() string {
	return c.Letter.String() + accidental(int(c.Alter), "♭", "♯", "♯♯")
}

// String returns the ASCII form, such as "F#4".
func (n Name) String() string { return n.Class.String() + strconv.Itoa(int(n.Octave)) }

// Pretty returns the typographic form, such as "F♯4".
func (n Name) Pretty() string { return n.Class.Pretty() + strconv.Itoa(int(n.Octave)) }

func accidental(alter int, flat, sharp, doubleSharp string) string {
	switch {
	case alter == 2:
		return doubleSharp
	case alter > 0:
		return repeat(sharp, alter)
	default:
		return repeat(flat, -alter)
	}
}

func repeat(s string, n int) string {
	out := ""
	for range n {
		out += s
	}
	return out
}

// BadName says what in a text is not the name of a pitch. Offset is the byte
// at which reading stopped.
type BadName struct {
	Text   string
	Offset int
	Want   string
}

func (e *BadName) Error() string {
	return fmt.Sprintf("%q is not a note name: %s expected at character %d", e.Text, e.Want, utf8.RuneCountInString(e.Text[:e.Offset])+1)
}

// ParseClass reads a pitch class such as "C", "f#", "Bb", "E♭", "G##" or "Gx".
// Letters may be small or capital.
func ParseClass(s string) (Class, error) {
	c, n, err := scanClass(s)
	if err != nil {
		return Class{}, err
	}
	if n != len(s) {
		return Class{}, &BadName{s, n, "the end"}
	}
	return c, nil
}

// ParseName reads a pitch such as "G2", "F#4", "B♭3" or "C-1".
// Octaves run from −1 to 10.
func ParseName(s string) (Name, error) {
	c, n, err := scanClass(s)
	if err != nil {
		return Name{}, err
	}
	oct, err := strconv.Atoi(s[n:])
	if err != nil || oct < -1 || oct > 10 {
		return Name{}, &BadName{s, n, "an octave from -1 to 10"}
	}
	return Name{c, int8(oct)}, nil
}

// scanClass reads a class from the head of s and says how many bytes it took.
func scanClass(s string) (Class, int, error) {
	if s == "" {
		return Class{}, 0, &BadName{s, 0, "a letter A to G"}
	}
	var c Class
	switch s[0] {
	case 'C', 'c':
		c.Letter = C
	case 'D', 'd':
		c.Letter = D
	case 'E', 'e':
		c.Letter = E
	case 'F', 'f':
		c.Letter = F
	case 'G', 'g':
		c.Letter = G
	case 'A', 'a':
		c.Letter = A
	case 'B', 'b':
		c.Letter = B
	default:
		return Class{}, 0, &BadName{s, 0, "a letter A to G"}
	}
	n := 1
	for n < len(s) {
		r, size := utf8.DecodeRuneInString(s[n:])
		step := 0
		switch r {
		case '#', '♯':
			step = 1
		case 'b', '♭':
			step = -1
		case 'x', '𝄪':
			step = 2
		case '𝄫':
			step = -2
		case '♮':
		default:
			return c, n, nil
		}
		if (step > 0 && c.Alter < 0) || (step < 0 && c.Alter > 0) || c.Alter+int8(step) > 2 || c.Alter+int8(step) < -2 {
			return Class{}, n, &BadName{s, n, "at most two sharps or two flats"}
		}
		c.Alter += int8(step)
		n += size
	}
	return c, n, nil
}

// Spell names key number k with the given letter's nearest alteration, or
// reports false when that would need more than a double sharp or flat.
func Spell(k int, l Letter) (Name, bool) {
	base := 12*(FloorDiv(k, 12)) + letterSemitones[l]
	for _, cand := range [3]int{base, base - 12, base + 12} {
		if alter := k - cand; alter >= -2 && alter <= 2 {
			return Name{Class{l, int8(alter)}, int8(FloorDiv(cand, 12) - 1)}, true
		}
	}
	return Name{}, false
}
