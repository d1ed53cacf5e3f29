// Package pitch holds names and spelling of notes, intervals, keys, chords,
// scales and temperaments, and the arithmetic between hertz and cents.
//
// It knows nothing of instruments, time or any notation: notations parse into
// it and print from it.
//
// Conventions: octaves follow scientific pitch notation (C4 is middle C, key
// number 60); key numbers are those of the MIDI 1.0 specification; a spelled
// pitch keeps its letter and its alteration apart, so F♯ and G♭ differ.
// Text forms are plain ASCII ("F#4", "Bb") from String and typographic
// ("F♯4", "B♭") from Pretty; Parse functions take either.
//
// Entry points: ParseName, ParseClass, ParseInterval, ParseChord, NameChord,
// ParseKey, ParseScale, JustInterval, Chord.Just, Temperament.
package pitch
