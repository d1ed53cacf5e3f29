// Package writing writes tunes and tabs as MusicXML 4.0.
//
// It is the writing half of its outer room, whose doc.go says what is written
// and whose Write, WriteTune and Lost are its entry points.
//
// Entry points: Tab, Tune, Lost.
package writing
