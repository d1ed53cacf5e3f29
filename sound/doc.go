// Package sound turns a tab into what the instrument would sound like:
// strings, bar, body, room and a click to play against. The files that hold a
// recording are written by its inner rooms: wav, flac, opus.
//
// Each string is a digital waveguide whose far end is the bar: the loop's
// length follows the bar continuously, so that a glide is the same note moving
// and not one note fading into another. What is heard is worked out from the
// strings, the bar and the benders of the tab, never from the tune's pitches.
//
// Conventions: 48 kHz; samples are float32 between −1 and 1; channels are left
// and right; times are seconds from the first sample, the count-in included.
// Nothing here knows the clock, starts a goroutine or opens a file; the same
// tab, options and seed give the same samples, whatever the block size inside.
//
// Entry points: Render, RenderStems, NewStream, NewLive, Gain, Timeline, Tones, Loudness, Caution.
//
// Sources: D. A. Jaffe and J. O. Smith, Extensions of the Karplus-Strong
// Plucked-String Algorithm, Computer Music Journal 7(2), 1983; T. I. Laakso et
// al., Splitting the Unit Delay, IEEE Signal Processing Magazine 13(1), 1996;
// N. H. Fletcher and T. D. Rossing, The Physics of Musical Instruments, 2nd
// ed., 1998; ITU-R BS.1770-4, 2015.
package sound
