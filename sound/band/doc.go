// Package band sounds what a player practises with, beside the instrument itself.
//
// It isn't the instrument: that is package sound's, on whose samples it lies, from the
// same first sample to the same last.
//
// Backing is a bass, a rhythm guitar and a brush or shaker, from the tune's chord symbols by the
// feels of package feel; it is a sound.Band. Drone is a held sound.
//
// Entry points: Plays, NewBacking, Drone, Under.
//
// Sources: equal temperament for the pitches (ISO 16:1975 for A4); the sound of the
// drone is ours. Bass and guitar are sound.Fretted, where their figures stand; the voicings, the guess of a harmony and the
// noises of brush and shaker are ours, from common practice.
package band
