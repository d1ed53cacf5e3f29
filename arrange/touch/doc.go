// Package touch adds to a finished tab what a seasoned player adds without being
// asked: slides into long notes from a fret or two below, and rolls from the chord
// under notes that would die away. It changes no string, no place of the steel and no
// note of the tune, so the way that the search has found stays the cheapest.
//
// It also finds the rolls of a tab, and marks the strings that a beginner is to stop.
//
// Entry points: SlideIn, Roll, Rolls, StopRinging.
package touch

// What it costs a player to add a touch, in hundredths of a point: it is told, and counts
// for how hard a tab is, but decides nothing.
const (
	CostSlideIn  = 60 // to land in tune out of a slide
	CostVibrato  = 10 // to keep the middle of it in tune
	CostRollNote = 25 // a stroke more, in time
	CostUnder    = 80 // a note of harmony: a string more to pluck, and one to keep clean
)
