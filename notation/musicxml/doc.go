// Package musicxml writes tunes and tabs as MusicXML 4.0 and reads MusicXML
// into tunes and tabs.
//
// It holds no files and no clock: bytes in, bytes out; a compressed file
// (.mxl) is unpacked in memory. Source: MusicXML 4.0, W3C Music Notation
// Community Group, final report of June 2021, and its schema musicxml.xsd.
//
// What is written: score-partwise, one part. A tune is one staff. A tab is two
// staves: the staff of notes (treble clef sounding an octave lower) and under
// it the tablature staff, marked as another view of the same music
// (staff-type "alternate") with its tuning, capo, strings and frets. Pitches
// are those that sound.
//
// What MusicXML has no element for stands beside the notes as other-notation
// that is not printed, whose text is ours and starts with a plain word; see
// terms/marks.go. Programs that don't know it pass it over.
//
// Reading stands here, writing in the room writing, and what both call things in
// the room terms.
//
// Entry points: Write, WriteTune, Lost, Read, Score, Part.
package musicxml
