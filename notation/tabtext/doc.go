// Package tabtext writes and reads tablature as plain text: one line a string,
// string 1 on top, numbers that are bar positions, a rhythm line above.
//
// Format writes the exact form, which Parse reads back to an equal tab: what
// the columns can't show stands in the fine print below them. Parse also reads
// what players type: without rhythm, in uneven columns, strings in either
// order. What it has to guess it reports, with line and column.
//
// Columns are counted in runes; a line is not wrapped. Times are fractions of a
// whole note. docs/formats/tab-text.md describes both forms.
//
// Entry points: Format, FormatWith, Parse, Caret.
package tabtext
