// Package typed reads tablature as people type it: without rhythm, in uneven
// columns, strings in either order.
//
// What it has to guess it reports, with line and column; docs/formats/tab-text.md
// lists it. String 1 is the top line unless the names of the strings say
// otherwise.
//
// Entry point: Parse.
package typed
