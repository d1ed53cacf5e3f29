// Package abc reads and writes tunes in ABC, the plain-text notation of session
// players, by the standard of version 2.1 (December 2011, abcnotation.com).
//
// Read returns every tune of a book, with a warning for everything that it could
// not keep, by line and column. Write returns one tune as text, with a warning
// for everything that ABC can't say, by bar and beat. Reading what
// was written gives the same tune but for those losses.
//
// Scoops and glides are written as decorations ("!slide!" is the standard's
// own; "!glide!" and "!scoop=-2!" are ours), which other readers of ABC pass
// over. docs/formats/abc.md lists it all.
//
// Reading stands here, writing in the room writing, and the small forms that both
// use in the room terms.
//
// Entry points: Read, Write.
package abc
