// Package midi writes tabs and tunes as Standard MIDI Files and reads such
// files back.
//
// It holds no files and no clock: bytes in, bytes out. Sources: Standard MIDI
// Files 1.0 (RP-001), MIDI 1.0 Detailed Specification, MIDI Polyphonic
// Expression (M1-100-UM v1.1).
//
// Conventions: channels count from 1, tracks from 1, ticks are the file's own
// (Division says how long one is). Key numbers are MIDI's, C4 = 60. A bend is
// in semitones, already scaled by the bend range in force.
//
// What is written: type 1, a first track with title, tempo, meter and key, and
// a second with the notes. Every string has a channel of its own in one lower
// MPE zone (manager channel 1, members from channel 2), bend range 48
// semitones. Glides, scoops, benders that move while a string rings, vibrato
// and the small mistuning of a slanted bar are pitch bends; a hammered or
// pulled-off note is a new note-on, softer, with no gap before it.
//
// Bends move every Whole/BendSteps of a whole note. A glide takes the last part
// of the note it leaves: half of it, at most an eighth note. It arrives exactly
// when the next note begins, which is how Sounding finds that note again.
//
// Entry points: Write, WriteTune, Encode, EncodeTune, Read, File.Sounding,
// File.Tune.
package midi
