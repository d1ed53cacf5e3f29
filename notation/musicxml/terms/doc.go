// Package terms knows what MusicXML calls things: note types, accidentals,
// barlines, marks, navigation marks and harmony kinds, our own words where it has
// no element, and the bounds on a score.
//
// It reads and writes no XML; its outer room reads with it and the room writing
// writes with it. Source: MusicXML 4.0, W3C Music Notation Community Group, final
// report of June 2021, and its schema musicxml.xsd.
//
// Entry points: HarmonyOf, SuffixOf, FormatPlacement, ParsePlacement, Accidentals.
package terms
