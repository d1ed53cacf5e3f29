package pitch

// Chord is a chord symbol taken apart.
type Chord struct {
	Root    Class
	Quality string // canonical suffix: "", "m", "7", "maj7", "m7b5", "6", "sus4" …
	Bass    Class  // the lowest note; equal to Root when there is no slash
	Tones   []Tone // the chord's tones from the root up
}

// Tone is one tone of a chord: its interval above the root, and how a player
// would call it ("R", "3", "b7", "13").
type Tone struct {
	Interval Interval
	Label    string
}
