// Package picture draws what a take did as a lane over each line of a sheet: how
// far each note lies from where the tab has it, in cents, over the sheet's time.
//
// A lane has the wanted pitch as its middle line and a band of the width of what is
// heard (BandCents). What was played is told by shape and colour alike: a round mark
// lies within the band, one pointing up is sharp, one pointing down is flat, a cross
// was not heard, a square is another note, a diamond is a note too many; hollow marks
// are not sure. Where bars are played more than once, each time has a lane.
//
// Groups of the class "heard" carry the time of the take (data-seconds), and those of
// the class "played" the index of the note in the review (data-note), so that a page can follow
// the take and be asked for a note.
//
// Entry point: New; Picture.Lane goes into the options of a sheet.
package picture
