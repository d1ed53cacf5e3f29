// Package tune is music that knows no instrument: bars, events, voices, ties,
// glides, chord symbols and repeats, in exact time.
//
// A Tune is the written music: each bar once, repeats as signs. A Performance is
// how it sounds in time, worked out once and handed on; Unfold gives
// the order in which bars sound; Sound gives the notes as heard; Moments gives
// the written instants that an instrument must play.
//
// Time is counted in Ticks, of which Whole make a whole note: a whole number
// that every note value and tuplet in use divides exactly, so nothing is ever
// rounded. Readers refuse (with a position) what it can't hold.
//
// Readers use Notate for values, Number and EndEndings for what a source leaves
// unsaid, and Check for the whole; Followers, Next, TiedFrom and GlideLands say
// what a tie or glide may lead to, FirstFrom what Moments takes to come before.
// Transpose moves a tune, Shift names the move; a Clock tells its time in
// seconds. Package tunetest makes random tunes for tests.
//
// Entry points: Tune.Check, Checked, Unfold, Sound, Moments, NewClock, Notate, Number,
// EndEndings, Slurred, Transpose.
//
// Bars, voices, events and notes are counted from 0 in code; Bar.Number is the
// number a person reads.
package tune
