package grip

// Every cost is a whole number of hundredths of a point, so that sums are exact
// whatever their order. A point is about what it costs a player to move the steel
// 20 mm in a third of a second and find the pitch again. The weights were set
// by reading arrangements as a player would (docs/arranging.md tells which);
// TestChoices pins what they must decide.
const (
	// The bar hand.
	CostMove      = 35  // leaving a position at all: the pitch must be found again by eye and ear; times L/(L − x) of the new place, since what is in tune there is so much narrower
	CostMoveQuick = 8   // and the more so the less time there is: times 1/seconds
	CostPerMM     = 1   // travel, a millimetre
	CostPerMMSec  = 80  // travel against time, hundredths of a millimetre a second: 0.8·mm/s
	CostTooFast   = 30  // each millimetre beyond what the level's speed covers in the time
	CostPerDegree = 4   // changing the lean, a degree
	CostLean      = 60  // changing the lean at all
	CostLift      = 45  // lifting the steel off, or laying it on again
	CostLiftHigh  = 170 // each fret above the 3rd where that happens: the open string is then far from the tune's sound, the way back is blind
	CostHop       = 20  // the steel goes between lying over the strings and touching only some

	CostContrary    = 80  // the steel goes one way while the melody goes the other: what is heard of the move is wrong
	CostContraryFar = 330 // and each fret of it beyond two, which nobody overhears

	// How it lies.
	CostSlantRound  = 60  // less for any of them with a round steel, which leans without rolling off the strings
	CostForward     = 150 // a forward slant: two pitches to find at once
	CostReverse     = 240 // against the wrist
	CostSplit       = 320 // and round the nose
	CostPerLean     = 2   // each degree of lean
	CostPerCent     = 15  // each cent that a string is off
	CostNose        = 70  // the tip alone
	CostBesideFar   = 60  // open strings beyond the nose: the steel is drawn back
	CostBesideNear  = 130 // open strings on the player's side: the heel is held up
	CostUp          = 4   // each fret above the 5th: nearer the nut the strings sound fuller and the frets are wide
	CostBesideHigh  = 25  // an open string beside stopped ones, for each fret of theirs above the 3rd: the sounds part company
	CostHigh        = 12  // each fret above the 12th: the frets grow narrow and the strings short
	CostVeryHigh    = 30  // each fret above the 19th, on top
	CostThick       = 25  // a melody note on the lowest third of the strings, for each string it lies in there: wound strings speak slowly and low; twice for each string that a note of the harmony lies in the lower half, where thirds are muddy
	CostDull        = 10  // a melody note on the lower half of the strings, for each fret above the 7th: a short thick string is dull
	CostOpenSlow    = 700 // a long note on an open string in a slow tune, for who has a vibrato: everybody listens to it
	CostOpenSparing = 25  // an open string where the rig's habit is to take few
	CostOpenAvoided = 380 // and where it is to take none
	CostOpenLong    = 60  // an open string for a long note likewise: no vibrato, no shading of the pitch
	CostHarmonic    = 400 // a natural harmonic for a note that nothing else reaches
	CostPalm        = 600 // a palm harmonic likewise

	// Benders.
	CostBender     = 10 // one engaged
	CostBenderMove = 8  // engaging or letting go of a pedal or knee lever: feet and knees do it while the hands play
	CostBenderPalm = 40 // of a palm bender: the picking hand does it

	// The picking hand.
	CostSameFingerQuick = 500 // the same finger again in less than the level's Repeat
	CostSameFinger      = 120 // in less than twice that
	CostSameFingerSlow  = 15  // whenever
	CostThumbAgain      = 2   // the thumb repeats more easily: its cost is divided by this
	CostCross           = 110 // a finger plays beyond where another just played
	CostSkip            = 45  // each string skipped beyond two, going from one string to another
	CostAway            = 18  // each string that a finger is from its home
	CostRake            = 60  // each string beyond one that the thumb draws across
	CostRakeGap         = 250 // and each it must leave out

	// Which tones and strings to take, where a chord leaves the choice. A tune
	// leaves none, so the search for a tab never counts these.
	CostNoRoot   = 120 // the root is left out: the bass or the ear must supply it; still less than a slant that would have it
	CostNoFifth  = 80  // the perfect fifth, which the ear misses least
	CostNoTone   = 110 // another tone that may be left out: the ninth or eleventh of a thirteenth
	CostInverted = 30  // another tone than the root lowest
	CostGap      = 45  // each string skipped between two plucked together: the fingers spread, and it must stay silent
	CostThird    = 100 // each fret beyond two under one slant: a third pitch to find at once, which nobody chooses
	CostFew      = 40  // each string fewer than tones are wanted and fingers there are: a thinner chord

	// What rings.
	CostRingBroken = 30 // a note that could ring on with the next is stopped
	CostClash      = 20 // a step from the next note, left ringing by the same steel: it must be damped

	// Right-hand gestures that save a stroke.
	CostHammerRound  = 40  // on top, with a round steel, which speaks less clearly
	CostSlideSharp   = 5   // a slide with a sharp steel, which is less even
	CostHammer       = 10  // a hammer-on or pull-off: no pick, less sound
	CostSlurPlucked  = 900 // a note under a slur that is plucked all the same, which is listed
	CostGracePlucked = 900 // a note plucked after its grace: two plucks where the ear wants one
	CostJoin         = 32  // a step that the player joins unasked: less sound than a pluck
	CostJoinSlow     = 8   // in a slow tune, where sliding is how it sings
	CostJoinBeat     = 150 // and on a beat, which wants the pick
	CostPluckStep    = 10  // a step plucked on the string that still rings, which the pick stops: times 1/seconds
	CostGlide        = 10  // a glide into a note: the steel does it

	// Compromises. Each is dearer than any playable passage of a few moments.
	CostTopLost      = 60000 // the highest note of a moment is not played
	CostNoteLost     = 30000 // another note is not played
	CostCutShort     = 9000  // a held note is let go early
	CostPluckedAgain = 7000  // a tied note is plucked again
	CostGlideLost    = 5000  // a glide is not made: the note is plucked instead
)

// OpenLongMS is from how many milliseconds on a note on an open string is long.
const OpenLongMS = 900

// MinMS and MaxMS bound the time that costs are reckoned with, in
// milliseconds: below it no player can tell, above it there is time enough.
const (
	MinMS = 40
	MaxMS = 2000
)
