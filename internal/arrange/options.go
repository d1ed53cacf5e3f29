package arrange

import (
	"lapwright/internal/pitch"
)

// Options are the wishes of the person who asks. The zero value leaves
// everything to the search.
type Options struct {
	// Key fixes the key of the tab by its tonic; nil leaves it free.
	Key *pitch.Class
	// Octave fixes by how many octaves the tune is moved, beside any change of
	// key (which moves it by −6 to +5 semitones); nil leaves it free.
	Octave *int
	// Capo fixes the sliding capo's fret; nil leaves it free.
	Capo  *int
	Level Level
	Pins  []Pin
	// Closed forbids open strings, Square forbids slants and splits.
	Closed, Square bool
	// Vibrato marks it on stopped notes that are long enough for the level.
	Vibrato bool
	// Low and High bound the frets at which the bar is laid; 0 is no bound.
	Low, High int
	// Harmony adds notes under a single-line melody.
	Harmony Harmony
}

// Octaves gives n as Options.Octave wants it.
func Octaves(n int) *int { return &n }
