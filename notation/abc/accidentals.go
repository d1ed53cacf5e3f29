package abc

import (
	"lapwright/pitch"
	"lapwright/tune"
)

// accidentals are those in force in a bar, by both of the ways in which they may
// carry.
type accidentals struct {
	letter  [7]int8
	letters [7]bool
	step    [80]int8
	steps   [80]bool
}

// put notes an accidental written on a note.
func (a *accidentals) put(l pitch.Letter, step, alter int) {
	a.letter[l], a.letters[l] = int8(alter), true
	if step >= 0 && step < len(a.step) {
		a.step[step], a.steps[step] = int8(alter), true
	}
}

// alter gives the alteration of a note with no accidental of its own.
func (a *accidentals) alter(l pitch.Letter, step int, key *pitch.Key, carry rule) int {
	switch {
	case carry == carryPitch && a.letters[l]:
		return int(a.letter[l])
	case carry == carryOctave && step >= 0 && step < len(a.step) && a.steps[step]:
		return int(a.step[step])
	}
	return key.Alter(l)
}

// plain reports whether a note of that alteration is read right without an
// accidental, whichever way they carry: only then is one written to remind.
func (a *accidentals) plain(l pitch.Letter, step, alter int, key *pitch.Key) bool {
	return a.alter(l, step, key, carryPitch) == alter && a.alter(l, step, key, carryOctave) == alter
}

// tiedAlter gives the alteration that a tie from the event before carries to a
// note on the same line or space.
func tiedAlter(prev []tune.Note, step int) (int, bool) {
	for _, n := range prev {
		if n.Tie && n.Name.Step() == step {
			return int(n.Name.Alter), true
		}
	}
	return 0, false
}
