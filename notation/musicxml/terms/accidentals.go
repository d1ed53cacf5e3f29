package terms

import "lapwright/pitch"

// Accidentals follows which alteration holds for each line and space of a
// staff within a bar.
type Accidentals struct {
	key pitch.Key
	now map[int]int // by Name.Step
}

// NewAccidentals returns the accidentals at the beginning of a bar in a key.
func NewAccidentals(k pitch.Key) *Accidentals { return &Accidentals{k, map[int]int{}} }

// Take reports whether a note needs its accidental printed, and remembers it.
func (a *Accidentals) Take(n pitch.Name) bool {
	now, ok := a.now[n.Step()]
	if !ok {
		now = a.key.Alter(n.Letter)
	}
	a.now[n.Step()] = int(n.Alter)
	return now != int(n.Alter)
}
