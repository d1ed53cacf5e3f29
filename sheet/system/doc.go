// Package system puts a line of music together: staff, words, tablature, what stands
// over them row by row, and their frame of lines and barlines.
//
// Entry point: Draw.
package system
