// Package sign says which signs of the music font stand for what is written, where
// they stand against each other and what room they take: heads, rests, flags and
// dots of a value, accidentals, key and time signatures, the beat of a tempo, the
// parts of a chord symbol. It doesn't know where on a page they stand.
//
// Lengths are staff spaces, of chord symbols ems of their root; a vertical place on
// the staff counts half spaces upwards from the middle line.
//
// Entry points: Head, Rest, Flag, Accidental, Key, MeterWidth, Tempo, Chord.
package sign
