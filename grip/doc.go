// Package grip knows all ways to stop notes and what each asks of the hands,
// for the search and for the pages that list grips.
//
// It isn't the search itself: which of its grips follow one another through a
// piece is for package arrange to choose. Where the steel touches and what then
// sounds is package steel's.
//
// # Conventions
//
// Strings are counted from 1, the farthest from the player; string s is bit s−1
// of a set of strings. Frets count from nut or capo, 0 is an open string. Angles
// are degrees from square, forward slants positive; cents are measured against
// equal temperament, sharp positive. Prices are whole hundredths of a point, all
// in prices.go with their reasons; what a player can do at all is in limits.go.
//
// # Entry points
//
// Of the search: NewNeck, Neck.Grips and Neck.Borrow enumerate, Neck.Alone
// prices a grip by itself, Neck.Step going from one to the next, Neck.HandWays
// and Neck.HandStep the picking hand. Of the pages: ParseWant and Find list the
// ways to sound a chord, an interval or notes; ParseStops and Name tell what
// stopped strings sound. Both stand on one rule for what can be stopped
// (Neck.stops) and one for its price (Neck.Alone): Find adds only what the
// choice of tones and strings asks, which a tune does not leave.
//
// # Sources
//
// The geometry is package steel's, with its sources. Limits, prices and the
// order of grips are common practice, no source: first_test.go says with a
// reason each which grip comes first for ten chords on four rigs, the tests of
// package arrange what the prices must decide in a tune.
package grip
