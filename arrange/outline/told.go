package outline

import (
	"fmt"

	"lapwright/say"
)

// Told tells of the outline that a tab is of.
type Told struct {
	Notes, Kept int  // of the melody, a note held on by a tie once
	Guessed     bool // the harmony is taken from key and melody, for want of chord symbols
	Low, High   int  // the position: frets between which the steel stays; High 0 is no bound
	Asleep      []string
}

// Words tells it to a teacher.
func (o *Told) Words() string {
	words := fmt.Sprintf("an outline: %d of the melody's %s", o.Kept, say.Count(o.Notes, "note"))
	if o.High > 0 {
		words += fmt.Sprintf(", the steel between frets %d and %d", o.Low, o.High)
	}
	if o.Guessed {
		words += "; there are no chord symbols, so its harmony is guessed from key and melody"
	}
	return words
}
