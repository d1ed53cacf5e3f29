// Package review makes one take's review into what a teacher hands back: a page with
// the take's sound, its pitch over the sheet and a cursor, and a handout to print.
//
// Both are drawn from the same lanes (listen/picture) over the same sheet. The
// page needs nothing beside it.
//
// Entry points: Make, Review.Files, Review.WriteFolder.
package review
