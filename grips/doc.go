// Package grips finds all ways to sound a chord, an interval or a set of notes
// on a rig, ranked, and names what a grip sounds.
//
// A grip is the strings plucked together with the bar placement and benders
// that make them sound as wanted. Strings are counted from 1, the farthest from
// the player; frets from nut or capo; angles are degrees from square, forward
// slants positive; cents are measured against equal temperament, sharp
// positive.
//
// Entry points: ParseWant, Find, ParseStops, Name.
package grips
