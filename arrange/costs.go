package arrange

// Every cost is a whole number of hundredths of a point, so that sums are exact
// whatever their order. A point is about what it costs a player to move the bar
// 20 mm in a third of a second and find the pitch again. The weights were set
// by reading arrangements as a player would (docs/arranging.md tells which);
// TestChoices pins what they must decide.
const (
	// The bar hand.
	costMove      = 35 // leaving a position at all: the pitch must be found again by eye and ear; times L/(L − x) of the new place, since what is in tune there is so much narrower
	costMoveQuick = 8  // and the more so the less time there is: times 1/seconds
	costPerMM     = 1  // travel, a millimetre
	costPerMMSec  = 80 // travel against time, hundredths of a millimetre a second: 0.8·mm/s
	costTooFast   = 30 // each millimetre beyond what the level's speed covers in the time
	costPerDegree = 4  // changing the lean, a degree
	costLean      = 60 // changing the lean at all
	costLift      = 45 // lifting the bar off, or laying it on again
	costLiftHigh  = 40 // each fret above the 5th where that happens: the open string is then far from the tune's sound, the way back is blind
	costHop       = 20 // the bar goes between lying over the strings and touching only some

	costContrary = 45 // the bar goes one way while the melody goes the other: what is heard of the move is wrong

	// How it lies.
	costForward    = 150 // a forward slant: two pitches to find at once
	costReverse    = 240 // against the wrist
	costSplit      = 320 // and round the nose
	costPerLean    = 2   // each degree of lean
	costPerCent    = 15  // each cent that a string is off
	costNose       = 70  // the tip alone
	costBesideFar  = 60  // open strings beyond the nose: the bar is drawn back
	costBesideNear = 130 // open strings on the player's side: the heel is held up
	costUp         = 4   // each fret above the 5th: nearer the nut the strings sound fuller and the frets are wide
	costBesideHigh = 25  // an open string beside stopped ones, for each fret of theirs above the 3rd: the sounds part company
	costHigh       = 12  // each fret above the 12th: the frets grow narrow and the strings short
	costVeryHigh   = 30  // each fret above the 19th, on top
	costThick      = 25  // a melody note on the lowest third of the strings, for each string it lies in there: wound strings speak slowly and low; twice for each string that a note of the harmony lies in the lower half, where thirds are muddy
	costDull       = 10  // a melody note on the lower half of the strings, for each fret above the 7th: a short thick string is dull
	costOpenLong   = 60  // an open string for a long note: no vibrato, no shading of the pitch
	costHarmonic   = 400 // a natural harmonic for a note that nothing else reaches
	costPalm       = 600 // a palm harmonic likewise

	// Benders.
	costBender     = 10 // one engaged
	costBenderMove = 50 // engaging or letting go of a pedal or knee lever
	costBenderPalm = 60 // of a palm bender: the picking hand does it

	// The picking hand.
	costSameFingerQuick = 500 // the same finger again in less than the level's Repeat
	costSameFinger      = 120 // in less than twice that
	costSameFingerSlow  = 15  // whenever
	costThumbAgain      = 2   // the thumb repeats more easily: its cost is divided by this
	costCross           = 110 // a finger plays beyond where another just played
	costSkip            = 45  // each string skipped beyond two, going from one string to another
	costAway            = 18  // each string that a finger is from its home
	costRake            = 60  // each string beyond one that the thumb draws across
	costRakeGap         = 250 // and each it must leave out

	// What rings.
	costRingBroken = 30 // a note that could ring on with the next is stopped
	costClash      = 20 // a step from the next note, left ringing by the same bar: it must be damped

	// Right-hand gestures that save a stroke.
	costHammer      = 10 // a hammer-on or pull-off: no pick, less sound
	costSlurPlucked = 40 // a note under a slur that is plucked all the same
	costGlide       = 10 // a glide into a note: the bar does it

	// Compromises. Each is dearer than any playable passage of a few moments.
	costTopLost      = 60000 // the highest note of a moment is not played
	costNoteLost     = 30000 // another note is not played
	costCutShort     = 9000  // a held note is let go early
	costPluckedAgain = 7000  // a tied note is plucked again
	costGlideLost    = 5000  // a glide is not made: the note is plucked instead
)

// openLongMS is from how many milliseconds on a note on an open string is long.
const openLongMS = 900

// leastMS and mostMS bound the time that costs are reckoned with, in
// milliseconds: below it no player can tell, above it there is time enough.
const (
	leastMS = 40
	mostMS  = 2000
)
