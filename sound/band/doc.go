// Package band sounds what a player practises with, beside the instrument itself.
//
// It isn't the instrument: that is package sound's, on whose samples it lies, from the
// same first sample to the same last.
//
// Entry points: Drone, Under.
//
// Sources: equal temperament for the pitches (ISO 16:1975 for A4); the sound of the
// drone is ours.
package band
