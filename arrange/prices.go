package arrange

// prices are what the choices of this room cost, in hundredths of a point: key, octave
// and capo for each note of the tune, the others each time that they come. What a grip
// and the way from one to the next cost is package grip's.
type prices struct {
	// Key, octave and capo: see the rule in fit.go.
	KeepKey, KeepCapo, FarOctave, KeepOctave, Broken, Wider int32
	// Phrases that come again.
	Unlike, UnlikeHalf, UnlikeFinger int32
	// Harmony under a melody.
	HarmonyLeft, HarmonyScale, HarmonyWide, HarmonyHalf, FullLeft, FullThin int32
	// Leaving a shape that is asked for.
	OtherString, OtherOpen, OtherLean, OtherAttack int32
}

// usual are the prices that hold; TestEveryPriceDecides has a case for each.
var usual = prices{
	KeepKey:    150,  // another key than the tune's
	KeepCapo:   100,  // a sliding capo put on
	FarOctave:  200,  // an octave other than as written or one lower
	KeepOctave: 150,  // lower, where the melody carries as written
	Broken:     6000, // a tie, hold or glide that breaks, of the whole; four times that for a lost note
	Wider:      20,   // each fret that an outline's position is wider than four

	Unlike:       600, // on other strings, at other frets, with other benders than the same bar elsewhere: a phrase is learnt once
	UnlikeHalf:   350, // likewise, where only half the bar is the same
	UnlikeFinger: 150, // with other fingers: more than it costs to use a finger again at an easy pace, less than at speed

	HarmonyLeft:  700, // a note that asks for harmony is left single; half of that where the key asks for it
	HarmonyScale: 90,  // a note of the scale where the chord has none in reach
	HarmonyWide:  70,  // a fourth for a third, a fifth for a sixth, a wider chord; better than a note outside the chord
	HarmonyHalf:  450, // one note of the chord for two
	FullLeft:     160, // a strong beat without its chord
	FullThin:     40,  // each note fewer than three under it

	OtherString: 60, // another string than the shape has
	OtherOpen:   40, // stopped for open, or open for stopped
	OtherLean:   60, // slanted for square, or square for slanted
	OtherAttack: 90, // another way to begin the note
}

// prices returns the prices that hold.
func (o *Options) prices() *prices {
	if o.own == nil {
		return &usual
	}
	return o.own
}
