// Package sheet sets a tab or a tune as pages of music: layout in millimetres
// into one drawing, which sheet/draw then puts out as SVG, PDF or PNG.
//
// A tune that lies low, or was moved for the instrument, is written an octave above
// what sounds, with an 8 under the clef, as is usual for instruments of the guitar's
// family; one left in its octave is written where it sounds, as it came. Tablature has string 1 on top,
// as the player sees the strings from above.
//
// This room sets pages: title, systems, words, legend, pictures of grips; books
// and handouts. What stands on them is made by inner rooms, each above the next:
// sheet/score holds everything that does not depend on where lines break (stems,
// beams, accidentals, seconds, and how far each instant reaches in every lane);
// sheet/spacing measures segments of bars from it, breaks lines over the whole
// piece at once and spreads every line by springs and rods; sheet/staff,
// sheet/tabstaff and sheet/system draw a line so set out; sheet/legend explains
// the marks. Which signs stand for what is written is said by sheet/sign; what is
// drawn of a system, and where its ink lies, is gathered by sheet/ink. Pictures of
// necks are in sheet/neck, a tab in words in say.
//
// Entry points: Lay, LayTune, LayWithBreaks, Book, Handout.
//
// Sources: engraving measures from the music font's metadata (Standard Music
// Font Layout, engravingDefaults); rules of notation after Gould, Behind Bars
// (2011), and Ross, The Art of Music Engraving and Processing (1970), from
// memory where a figure is given; line breaking after Knuth and Plass, Breaking
// Paragraphs into Lines, Software: Practice and Experience 11 (1981).
package sheet
