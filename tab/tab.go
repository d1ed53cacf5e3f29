package tab

import (
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
)

// Tab is a tune placed on a rig.
type Tab struct {
	// Tune is the written music as it is played: already transposed, with what is
	// Added to it and without what is LeftOut. Whole gives the tune itself.
	Tune *tune.Tune
	// Rig is the instrument with its capo applied (rig.WithCapo): frets count
	// from the capo, and Rig.Capo.At says where it is.
	Rig         *rig.Rig
	Transposed  int // semitones the tune was moved by, 0 for none
	Strokes     []Stroke
	Compromises []Compromise
	Added       []Added   // in written order
	LeftOut     []LeftOut // in written order
	// Performed is how Tune sounds in time, where that is known; nil has it worked
	// out anew (Performance).
	Performed *tune.Performance
}

// Performance returns how the tab's tune sounds in time.
func (t *Tab) Performance() *tune.Performance {
	if t.Performed != nil && t.Performed.Tune == t.Tune {
		return t.Performed
	}
	return tune.Perform(t.Tune)
}

// Stroke is one written moment: the steel is laid and strings are played.
type Stroke struct {
	BarIndex  int        // index into Tune.Bars
	At        tune.Ticks // from the start of the bar
	Len       tune.Ticks // until the last note of this stroke ends, within the bar
	Grace     bool
	Placement steel.Placement
	Benders   rig.BenderSet
	Plucks    []Pluck // by string, string 1 first; empty when every note is a compromise
}

// Pluck is one note on one string.
type Pluck struct {
	Ref    tune.Ref
	String int // 1-based
	// Fret is the contact of the steel in frets from nut or capo; 0 is open. For a
	// natural harmonic, which is played with the steel lifted, it is the fret
	// nearest the node that is touched (NodeFret). A chop has none: 0.
	Fret   float64
	Attack Attack
	Finger Finger
	Len    tune.Ticks // written length of this note, ties not joined
	// Glide says that the steel carries this string's sound into its next pluck.
	Glide bool
	// Scoop is where the glide into this note begins, in frets from Fret.
	Scoop float64
	// Node is the harmonic's number for harmonics (2 at the octave node), else 0.
	// A natural harmonic counts from the open string, a palm harmonic from the
	// string as the steel stops it.
	Node    int8
	Vibrato bool
	Damp    bool // stopped when its length is over, rather than left to ring
}

// Attack is how a note begins.
type Attack uint8

// The attacks.
const (
	Picked       Attack = iota
	Tied                // held on, not begun again
	Glided              // reached by moving the steel under a ringing string
	Hammered            // the steel comes down on a ringing string
	PulledOff           // the steel leaves a ringing string
	Harmonic            // natural: touched at a node of the open string
	PalmHarmonic        // touched with the palm at a node above the steel
	BentTo              // reached by a bender engaged or released under a ringing string
	Chopped             // struck while the palm lies on the strings: no pitch is heard
)

// Carried reports whether the sound of the string goes on into the note, at another
// pitch, without a stroke of its own: glided into or bent to.
func (a Attack) Carried() bool { return a == Glided || a == BentTo }

// Finger of the picking hand.
type Finger uint8

// The picking fingers.
const (
	NoFinger Finger = iota
	Thumb
	Index
	Middle
)

// String returns "T", "I", "M" or "".
func (f Finger) String() string { return [...]string{"", "T", "I", "M"}[f] }

// String returns the attack in words.
func (a Attack) String() string {
	return [...]string{"picked", "held on", "glided into", "hammered on", "pulled off", "harmonic", "palm harmonic", "bent to", "chopped"}[a]
}
