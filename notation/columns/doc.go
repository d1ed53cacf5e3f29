// Package columns makes a tab of numbers that stand in columns, and cuts pages of
// such numbers into lines, tokens, values and places.
//
// It knows no form of text: tabtext (the exact form) and typed (tab as people type
// it) fill a Grid, and Grid.Derive works out what it sounds by the rules of
// docs/formats/tab-text.md. Bytes and columns count from 0, lines from 1; columns
// are runes. Times are fractions of a whole note.
//
// Entry points: Cut, Grid.Derive, Caret.
package columns
