// Package click is what counts: clicks before the music and through it.
//
// It isn't a clock: when a place of the music is heard, its caller says.
//
// Entry points: LeadIn, Write, New.
//
// Sources: a higher and louder first beat is common practice; the sound is ours.
package click
