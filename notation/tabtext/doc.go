// Package tabtext writes and reads tablature as plain text in the exact form: one
// line a string, string 1 on top, numbers that are positions of the steel, a rhythm
// line above.
//
// Parse reads what Format writes back to an equal tab: what the columns can't show
// stands in the fine print below them. Text that people type is read by typed.
//
// Columns are counted in runes; a line is not wrapped. Times are fractions of a
// whole note. docs/formats/tab-text.md describes the form.
//
// Entry points: Format, Parse, Is.
package tabtext
