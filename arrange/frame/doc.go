// Package frame puts an intro before a tune, an ending after it, and a turnaround
// between its end and its beginning when it is played again: bars of their own, which
// the tune has not, in its key, its meter and its register.
//
// It isn't a composer: the phrases are a list (phrases.go, docs/frames.md), written by
// scale degree. Nothing of it is done unasked, and the tune's own bars stay as they
// are, note for note.
//
// A phrase fits a tune by the tune's mode and meter. Of those that fit, Choose takes
// the ones that suit the kind of tune and has the arranger lay each on the rig: the
// one that is easiest to play a note is taken. Put makes the framed tune:
//
//	intro | 𝄋 the tune  Fine or to coda | turnaround  D.S. al Fine or al Coda | coda: ending
//
// without the signs where there is no turnaround. A pickup is played before the tune
// each time, so that the bar before it is as much shorter; where the tune's last bar is
// short, a rest fills it before anything follows.
//
// Entry points: All, Find, Fitting, Judge, Book, Choose, Put.
//
// Sources: the phrases are our own; the progressions under them and the way in which a
// tune is framed are common practice, no source.
package frame
