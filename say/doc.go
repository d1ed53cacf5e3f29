// Package say is the program's one voice: a tab in words for a player who can't
// see the sheet, and the small words that every room needs: numbers of things,
// lists, strings, frets, places in a bar.
//
// Texts are English. A line of a tab told is one written bar, in the order of
// the sheet, with repeats said where they stand. String 1 is the one farthest
// from the player; frets count from the nut or from the capo.
//
// Entry points: Tell, TellTune; Count, List, Strings, Fret.
package say
