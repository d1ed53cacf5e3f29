package grip

// Prices are what all that is chosen between costs. Every cost is a whole number of
// hundredths of a point, so that sums are exact whatever their order. A point is about what it costs a player to move the steel
// 20 mm in a third of a second and find the pitch again. Each price has its reason and
// its unit beside its value, in standard.
type Prices struct {
	// The bar hand.
	Move, MoveQuick, PerMM, PerMMSec, TooFast, PerDegree, Lean, Lift, LiftHigh, Hop, Contrary int32
	ContraryFar                                                                               int32
	// How it lies.
	SlantRound, Forward, Reverse, Split, PerLean, PerCent, Nose, BesideFar, BesideNear, Up int32
	BesideHigh, High, VeryHigh, Thick, Dull, OpenSlow, OpenSparing, OpenAvoided, OpenLong  int32
	Harmonic, Palm                                                                         int32
	// Benders.
	Bender, BenderMove, BenderPalm int32
	// The picking hand.
	SameFingerQuick, SameFinger, SameFingerSlow, ThumbAgain, Cross, Skip, Away, Rake, RakeGap int32
	// Which tones and strings to take, where a chord leaves the choice. A tune
	// leaves none, so the search for a tab never counts these.
	NoRoot, NoFifth, NoTone, Inverted, Gap, Third, Few int32
	// What rings.
	RingBroken, Clash int32
	// Right-hand gestures that save a stroke.
	HammerRound, SlideSharp, Hammer, SlurPlucked, GracePlucked, Join, JoinSlow, JoinBeat int32
	PluckStep, Glide                                                                     int32
	// Compromises. Each is dearer than any playable passage of a few moments.
	TopLost, NoteLost, CutShort, PluckedAgain, GlideLost int32
}

// standard are the prices by which the program arranges. They were set
// by reading arrangements as a player would (docs/arranging.md tells which);
// TestEveryPriceDecides holds for each a case that comes out otherwise when it is changed by
// half, and TestChoices pins what they must decide together.
var standard = Prices{
	// The bar hand.
	Move:      35,  // leaving a position at all: the pitch must be found again by eye and ear; times L/(L − x) of the new place, since what is in tune there is so much narrower
	MoveQuick: 8,   // and the more so the less time there is: times 1/seconds
	PerMM:     100, // travel, hundredths of what a millimetre costs
	PerMMSec:  80,  // travel against time, hundredths of a millimetre a second: 0.8·mm/s
	TooFast:   30,  // each millimetre beyond what the level's speed covers in the time
	PerDegree: 4,   // changing the lean, a degree
	Lean:      60,  // changing the lean at all
	Lift:      45,  // lifting the steel off, or laying it on again
	LiftHigh:  170, // each fret above the 3rd where that happens: the open string is then far from the tune's sound, the way back is blind
	Hop:       20,  // the steel goes between lying over the strings and touching only some

	Contrary:    80,  // the steel goes one way while the melody goes the other: what is heard of the move is wrong
	ContraryFar: 330, // and each fret of it beyond two, which nobody overhears

	// How it lies.
	SlantRound:  60,  // less for any of them with a round steel, which leans without rolling off the strings
	Forward:     150, // a forward slant: two pitches to find at once
	Reverse:     240, // against the wrist
	Split:       320, // and round the nose
	PerLean:     2,   // each degree of lean
	PerCent:     15,  // each cent that a string is off
	Nose:        70,  // the tip alone
	BesideFar:   60,  // open strings beyond the nose: the steel is drawn back
	BesideNear:  130, // open strings on the player's side: the heel is held up
	Up:          4,   // each fret above the 5th: nearer the nut the strings sound fuller and the frets are wide
	BesideHigh:  25,  // an open string beside stopped ones, for each fret of theirs above the 3rd: the sounds part company
	High:        12,  // each fret above the 12th: the frets grow narrow and the strings short
	VeryHigh:    30,  // each fret above the 19th, on top
	Thick:       25,  // a melody note on the lowest third of the strings, for each string it lies in there: wound strings speak slowly and low; twice for each string that a note of the harmony lies in the lower half, where thirds are muddy
	Dull:        10,  // a melody note on the lower half of the strings, for each fret above the 7th: a short thick string is dull
	OpenSlow:    700, // a long note on an open string in a slow tune, for who has a vibrato: everybody listens to it
	OpenSparing: 25,  // an open string where the rig's habit is to take few
	OpenAvoided: 380, // and where it is to take none
	OpenLong:    60,  // an open string for a long note likewise: no vibrato, no shading of the pitch
	Harmonic:    400, // a natural harmonic for a note that nothing else reaches
	Palm:        600, // a palm harmonic likewise

	// Benders.
	Bender:     10, // one engaged
	BenderMove: 8,  // engaging or letting go of a pedal or knee lever: feet and knees do it while the hands play
	BenderPalm: 40, // of a palm bender: the picking hand does it

	// The picking hand.
	SameFingerQuick: 500, // the same finger again in less than the level's Repeat
	SameFinger:      120, // in less than twice that
	SameFingerSlow:  15,  // whenever
	ThumbAgain:      2,   // the thumb repeats more easily: its cost is divided by this
	Cross:           110, // a finger plays beyond where another just played
	Skip:            45,  // each string skipped beyond two, going from one string to another
	Away:            18,  // each string that a finger is from its home
	Rake:            60,  // each string beyond one that the thumb draws across
	RakeGap:         250, // and each it must leave out

	// Which tones and strings to take, where a chord leaves the choice. A tune
	// leaves none, so the search for a tab never counts these.
	NoRoot:   120, // the root is left out: the bass or the ear must supply it; still less than a slant that would have it
	NoFifth:  80,  // the perfect fifth, which the ear misses least
	NoTone:   110, // another tone that may be left out: the ninth or eleventh of a thirteenth
	Inverted: 30,  // another tone than the root lowest
	Gap:      45,  // each string skipped between two plucked together: the fingers spread, and it must stay silent
	Third:    100, // each fret beyond two under one slant: a third pitch to find at once, which nobody chooses
	Few:      40,  // each string fewer than tones are wanted and fingers there are: a thinner chord

	// What rings.
	RingBroken: 30, // a note that could ring on with the next is stopped
	Clash:      20, // a step from the next note, left ringing by the same steel: it must be damped

	// Right-hand gestures that save a stroke.
	HammerRound:  40,  // on top, with a round steel, which speaks less clearly
	SlideSharp:   5,   // a slide with a sharp steel, which is less even
	Hammer:       10,  // a hammer-on or pull-off: no pick, less sound
	SlurPlucked:  900, // a note under a slur that is plucked all the same, which is listed
	GracePlucked: 900, // a note plucked after its grace: two plucks where the ear wants one
	Join:         32,  // a step that the player joins unasked: less sound than a pluck
	JoinSlow:     8,   // in a slow tune, where sliding is how it sings
	JoinBeat:     150, // and on a beat, which wants the pick
	PluckStep:    10,  // a step plucked on the string that still rings, which the pick stops: times 1/seconds
	Glide:        10,  // a glide into a note: the steel does it

	// Compromises. Each is dearer than any playable passage of a few moments.
	TopLost:      60000, // the highest note of a moment is not played
	NoteLost:     30000, // another note is not played
	CutShort:     9000,  // a held note is let go early
	PluckedAgain: 7000,  // a tied note is plucked again
	GlideLost:    5000,  // a glide is not made: the note is plucked instead
}

// Standard returns the prices by which the program arranges.
func Standard() Prices { return standard }

// OpenLongMS is from how many milliseconds on a note on an open string is long.
const OpenLongMS = 900

// MinMS and MaxMS bound the time that costs are reckoned with, in
// milliseconds: below it no player can tell, above it there is time enough.
const (
	MinMS = 40
	MaxMS = 2000
)
