// Package tab is a tune placed on a rig: which string, where the steel is, how it
// leans, which bender is engaged.
//
// A Tab keeps the written tune it plays and one Stroke for each written moment
// (tune.Moments). Every note of the tune is either the Ref of exactly one Pluck
// or named in a Compromise. Sounding reads back from strings, steel and benders
// alone what the tab sounds, never from the tune's own pitches.
//
// Entry points: Tab.Check, Sounding, Touched, NewCompromise, VibratoOf.
package tab
