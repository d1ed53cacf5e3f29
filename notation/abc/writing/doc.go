// Package writing writes tunes in ABC 2.1.
//
// It is the writing half of its outer room, whose doc.go says what is written and
// whose Write is its entry point.
//
// Entry points: Tune.
package writing
