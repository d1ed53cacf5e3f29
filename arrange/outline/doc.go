// Package outline reads a tune as an arranger does before looking at any instrument:
// what harmony it has, whether it is slow, and what of it a beginner's outline keeps.
//
// An outline keeps notes of the tune where they are and leaves others out; what is
// left sounds until the next one that is kept. It adds no pitch and moves none. What
// it leaves out is a list of tab.LeftOut, so that a tab of it can still account for
// the whole tune.
//
// Kept are: the first note of every bar and after every rest, pickups, the ends of
// phrases, the last note, notes of the chord on strong beats and on others where
// there is time, and of every bar as many more, the likeliest first, as make two fifths of its notes (common practice,
// no source). Of chords and several voices the melody is kept. Graces go.
//
// Entry points: Of, ChordsOf, Unhurried.
package outline
