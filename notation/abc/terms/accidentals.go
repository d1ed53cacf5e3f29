package terms

import (
	"lapwright/pitch"
	"lapwright/tune"
)

// Carry is how far an accidental carries within its bar (section 11.3).
type Carry uint8

const (
	CarryPitch  Carry = iota // to every octave: the standard's default
	CarryOctave              // in its own octave
	CarryNot                 // to no other note
)

// Accidentals are those in force in a bar, by both of the ways in which they may
// carry.
type Accidentals struct {
	letter  [7]int8
	letters [7]bool
	step    [80]int8
	steps   [80]bool
}

// Put notes an accidental written on a note.
func (a *Accidentals) Put(l pitch.Letter, step, alter int) {
	a.letter[l], a.letters[l] = int8(alter), true
	if step >= 0 && step < len(a.step) {
		a.step[step], a.steps[step] = int8(alter), true
	}
}

// Alter returns the alteration of a note with no accidental of its own.
func (a *Accidentals) Alter(l pitch.Letter, step int, key *pitch.Key, carry Carry) int {
	switch {
	case carry == CarryPitch && a.letters[l]:
		return int(a.letter[l])
	case carry == CarryOctave && step >= 0 && step < len(a.step) && a.steps[step]:
		return int(a.step[step])
	}
	return key.Alter(l)
}

// Plain reports whether a note of that alteration is read right without an
// accidental, whichever way they carry: only then is one written to remind.
func (a *Accidentals) Plain(l pitch.Letter, step, alter int, key *pitch.Key) bool {
	return a.Alter(l, step, key, CarryPitch) == alter && a.Alter(l, step, key, CarryOctave) == alter
}

// PlainAfter reports whether a note that follows prev in its voice is read right
// without an accidental: a tie brings it along, or it is Plain.
func (a *Accidentals) PlainAfter(prev []tune.Note, n pitch.Name, key *pitch.Key) bool {
	if tied, ok := TiedAlter(prev, n.Step()); ok {
		return tied == int(n.Alter)
	}
	return a.Plain(n.Letter, n.Step(), int(n.Alter), key)
}

// TiedAlter returns the alteration that a tie from the event before carries to a
// note on the same line or space.
func TiedAlter(prev []tune.Note, step int) (int, bool) {
	for _, n := range prev {
		if n.Tie && n.Name.Step() == step {
			return int(n.Name.Alter), true
		}
	}
	return 0, false
}
