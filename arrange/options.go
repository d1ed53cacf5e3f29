package arrange

import (
	"fmt"
	"slices"

	"lapwright/grip"
	"lapwright/pitch"
)

// Options are the wishes of the person who asks. The zero value leaves
// everything to the search.
type Options struct {
	// Key fixes the key of the tab by its tonic, which is spelled as it is here
	// where that takes no more than seven sharps or flats; nil leaves it free, or
	// as it is when Octave is set.
	Key *pitch.Class
	// Mode is the mode that goes with Key in the mind of the person who asks; one
	// that is not the tune's is refused, since moving a tune changes no mode.
	Mode *pitch.Mode
	// Octave fixes by how many octaves the tune is moved: alone by just that,
	// beside Key on top of the change of key, which moves it by −6 to +5
	// semitones. nil leaves it free.
	Octave *int
	// Capo fixes the capo's fret; nil leaves a sliding one free and
	// a clamp-on one as it is.
	Capo *int
	// Grade is how far the student has come. It decides the limits, and what Touch and
	// Harmony leave to it.
	Grade Grade
	// Whole keeps the whole tune in the first grade too, in place of an outline.
	Whole bool
	// Level asks for another player's limits than the grade's; the zero value leaves
	// them to it.
	Level grip.Level
	// Pins that belong to a setting (Pin.In) hold there alone. The latest of those
	// that Key, Octave, Capo and In allow also settles what these leave free.
	Pins []Pin
	// In fixes key, octave and capo at once, as they are in a Result; nil leaves
	// them to Key, Octave and Capo.
	In *Setting
	// Closed forbids open strings, Square forbids slants and splits.
	Closed, Square bool
	// Touch is what the player adds; the zero value leaves it to the grade.
	Touch Touch
	// Vibrato marks it on stopped notes that are long enough for the level.
	Vibrato bool
	// Low and High bound the frets at which the bar is laid and natural harmonics
	// are touched; 0 is no bound.
	Low, High int
	// Harmony adds notes under a single-line melody; the zero value leaves it to the
	// grade.
	Harmony Harmony
	// Shape is a way of playing to follow; nil for none.
	Shape *Shape
	// other limits than the grade's and other prices than the usual; nil for those. Tests
	// set them.
	other *grip.Limits
	own   *prices
}

// Touch says how much of how notes begin, and of what sounds beside them, is left to
// the player.
type Touch uint8

// The touches.
const (
	GradeTouch Touch = iota // what goes with the grade
	PlainTouch              // every note is plucked but those under a slur or a glide and those after a grace
	LightTouch              // steps of the tune may be joined unasked; no pitch is added
	FullTouch               // and sounds may be added: slides in, vibrato, rolls under long notes
)

// touches are the names of the touches.
var touches = [...]string{GradeTouch: "", PlainTouch: "plain", LightTouch: "light", FullTouch: "full"}

// String returns the touch's name, "" for what goes with the grade.
func (t Touch) String() string { return touches[t] }

// ParseTouch reads a touch's name; "" is what goes with the grade.
func ParseTouch(s string) (Touch, error) {
	if t := slices.Index(touches[:], s); t >= 0 {
		return Touch(t), nil
	}
	return 0, fmt.Errorf("unknown touch %q: it is plain, light or full", s)
}

// limits returns what the player can do.
func (o *Options) limits() grip.Limits {
	if o.other != nil {
		return *o.other
	}
	return grip.LimitsOf(o.Player())
}

// Player returns whose limits hold: Level's, or those that go with the grade.
func (o *Options) Player() grip.Level {
	if o.Level != grip.Steady {
		return o.Level
	}
	return o.Grade.Level()
}

// Setting is a choice of key, octave and capo.
type Setting struct {
	Semitones int // how far the tune is moved, octaves included
	Capo      int // the capo's fret
}

// Octaves returns n as Options.Octave wants it.
func Octaves(n int) *int { return &n }
