// Package terms knows the small forms of ABC, each both ways where both are
// needed: the values of fields (key, meter, unit, tempo, clef), text strings, chord
// symbols, accidentals and how far they carry, and where a repeat goes back to.
//
// It knows no line of music; its outer room reads with it and the room
// writing writes with it. Numbers of sections are those of the standard of version
// 2.1 (December 2011).
//
// Entry points: ParseKey, ParseMeter, ParseUnit, ParseTempo, FormatKey, FormatTempo,
// DecodeText, EncodeText, ParseChord, Accidentals,
// UnopenedRepeats.
package terms
