// Package line tells of takes in which one string sounds at a time: how open strings stand, and a line
// written down as a tune.
//
// It knows no tab: what is compared with one is listen's.
//
// Entry points: Strings, Transcribe.
package line
