// Package sheet sets a tab or a tune as a page of music: layout in millimetres
// into one drawing, which sheet/draw then puts out as SVG, PDF or PNG.
//
// Lengths inside are staff spaces, x to the right and y down from the staff's
// top line; a vertical place on the staff counts half spaces upwards from the
// middle line. The staff is written an octave above what sounds, with an 8
// under the clef, as is usual for instruments of the guitar's family.
// Tablature has string 1 on top, as the player sees the strings from above.
//
// A score holds everything that does not depend on where lines break: stems,
// beams, accidentals, seconds, and how far each instant reaches in every lane
// (staff, tablature, chord symbols, lyrics …). Segments of bars are measured
// from it, lines are broken over the whole piece at once, every line is spread
// by springs and rods, and only then drawn.
//
// Which signs stand for what is written is said by sheet/sign; what is drawn of a
// system, and where its ink lies, is gathered by sheet/ink. Score, systems and pages
// stay one room, longer than others: a system is laid into the score's own notes and
// instants, so that a room for the score would hand out 196 names (nearly every field
// that it has) in 1,182 places, and take back what each system sets in them; a room
// for pages alone would hand out 86 and leave this one as long as before but for them.
//
// Entry points: Lay, LayTune, LayWithBreaks, Book. Pictures of necks are in
// sheet/neck, a tab in words in say.
//
// Sources: engraving measures from the music font's metadata (Standard Music
// Font Layout, engravingDefaults); rules of notation after Gould, Behind Bars
// (2011), and Ross, The Art of Music Engraving and Processing (1970), from
// memory where a figure is given; line breaking after Knuth and Plass, Breaking
// Paragraphs into Lines, Software: Practice and Experience 11 (1981).
package sheet
