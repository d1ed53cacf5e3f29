package rig

import (
	"lapwright/pitch"
	"lapwright/wire"
)

// MaxStrings and MaxBenders bound what a rig may have.
const (
	MaxStrings = 16
	MaxBenders = 16
)

// Body is the kind of instrument, which decides its default limits and voice.
type Body string

// The kinds of body.
const (
	SquareNeckResonator Body = "square-neck resonator"
	Tricone             Body = "tricone"
	HollowNeckAcoustic  Body = "hollow-neck acoustic"
	RoundNeckAcoustic   Body = "round-neck acoustic"
	LapSteel            Body = "lap steel"
	PedalSteel          Body = "pedal steel"
)

// Electric reports whether a body is heard through a pickup, where a volume pedal can
// be.
func (b Body) Electric() bool { return b == LapSteel || b == PedalSteel }

// Rig is one instrument as it is set up. A Rig from Parse or Builtin is valid;
// treat it as read-only and copy with Clone before changing it.
type Rig struct {
	Name    string // short name used on the command line, such as "reso-open-g"
	Title   string // what a person calls it
	Tuning  string // the tuning's name, such as "high open G"; may be empty
	Body    Body
	Styles  []string // styles it is usually used for; may be empty
	Scale   wire.MM  // nut to bridge (from the capo once WithCapo is applied)
	Frets   int      // highest position of the steel that is of use, counted from the nut
	Strings []String // Strings[0] is string 1
	// NutSpread and BridgeSpread are the distances between the centres of the
	// outermost strings at each end; strings between are evenly spaced.
	NutSpread, BridgeSpread wire.MM
	// Action is the height of the strings above the neck; 0 when unknown.
	Action  wire.MM
	Steel   Steel
	Habits  Habits
	Benders []Bender // Benders[i] is engaged by bit i of a BenderSet
	Capo    Capo
	// Reference is the frequency of A4 in hertz, 440 unless the file says otherwise.
	Reference pitch.Hz
	// LoadLimit is the most total pull the instrument may carry; 0 when the
	// file gives none, and the default for the body then applies.
	LoadLimit       wire.Newtons
	LoadLimitSource string // "maker", or where else the figure is from
	// GaugesUnknown says that nobody has told the gauges: those of Strings are a
	// usual set, good enough to sound it and to lay a tune on it, and no ground for
	// saying what it pulls.
	GaugesUnknown bool
}

// String is one string of a rig.
type String struct {
	Open pitch.Name // its pitch with the steel lifted, no bender and no capo
	Wire wire.String
}

// Steel is what the player's hand holds in place of frets.
type Steel struct {
	Length   wire.MM // the part that can lie on strings
	Diameter wire.MM
	Mass     float64 // grams; 0 when unknown
	// Bullet is true for a rounded nose, which allows single strings and
	// splits with the nose.
	Bullet bool
	// MaxSlant is the most the player leans it, in degrees from square.
	MaxSlant float64
}

// Habits is how instruments of a kind are played, whatever the tune. The arranger
// weighs by it and asks for no other kind; see OpenOn, EdgeOn and RollsOn for what
// holds where nothing is said.
type Habits struct {
	Open  OpenHabit
	Edge  EdgeHabit
	Rolls RollHabit
}

// OpenHabit says how open strings are taken; "" leaves it to the body.
type OpenHabit string

// The ways to take open strings.
const (
	OpenWelcome OpenHabit = "welcome" // they ring through quick tunes
	OpenSparing OpenHabit = "sparing" // now and then
	OpenAvoided OpenHabit = "avoided" // the steel stays on the strings
)

// EdgeHabit is the shape of the steel's working edge; "" leaves it to the body.
type EdgeHabit string

// The edges.
const (
	SharpEdge EdgeHabit = "sharp" // hammers and pulls cleanly
	RoundEdge EdgeHabit = "round" // slides and slants better
)

// RollHabit says whether chords are rolled under long notes; "" leaves it to the body.
type RollHabit string

// The ways to fill a long note.
const (
	RollsWelcome RollHabit = "welcome" // the instrument's notes die away, and rolls keep it sounding
	RollsAvoided RollHabit = "avoided" // a note is left to sing
)

// RollsOn returns whether chords are rolled under long notes on a body: as is said,
// else as is usual for it (common practice, no source).
func (h Habits) RollsOn(body Body) RollHabit {
	switch {
	case h.Rolls != "":
		return h.Rolls
	case body == PedalSteel || body == LapSteel:
		return RollsAvoided
	}
	return RollsWelcome
}

// OpenOn returns how open strings are taken on a body: as is said, else as is
// usual for its body (common practice, no source).
func (h Habits) OpenOn(body Body) OpenHabit {
	switch {
	case h.Open != "":
		return h.Open
	case body == PedalSteel:
		return OpenAvoided
	case body == LapSteel:
		return OpenSparing
	}
	return OpenWelcome
}

// EdgeOn returns the edge of the steel used with a body: as is said, else as is usual for its
// body (common practice, no source).
func (h Habits) EdgeOn(body Body) EdgeHabit {
	switch {
	case h.Edge != "":
		return h.Edge
	case body.Electric():
		return RoundEdge
	}
	return SharpEdge
}

// Bender raises or lowers strings by fixed steps.
type Bender struct {
	Name  string // "palm 1", "pedal A", "left knee left"
	Mark  string // one letter, shown after the fret number in tab: "A"
	Kind  BenderKind
	Moves []Move
}

// BenderKind says which limb works a bender.
type BenderKind string

// The kinds of bender.
const (
	Palm  BenderKind = "palm"
	Pedal BenderKind = "pedal"
	Knee  BenderKind = "knee"
)

// Move is what a bender does to one string.
type Move struct {
	String    int // 1-based
	Semitones int // up positive
}

// BenderSet is a set of engaged benders: bit i is Rig.Benders[i].
type BenderSet uint16

// Has reports whether bender i is in the set.
func (s BenderSet) Has(i int) bool { return s>>uint(i)&1 == 1 }

// Capo is the capo that a rig may carry. Either kind stops all strings at one fret,
// and nothing sounds behind it. A sliding one is at another fret in a moment; one that
// clamps on is screwed on for a whole piece (common practice, no source), so that it
// is offered (package arrange) and never put on unasked. Neither moves while a tune is
// played. At is its present fret, 0 when it is off; Highest is
// the highest fret it may be at, 0 when the rig has none.
type Capo struct {
	Clamp   bool // it clamps on; else it slides
	Highest int
	At      int
}

// The words for the two kinds of capo.
const (
	SlidingCapo = "sliding"
	ClampOnCapo = "clamp"
)

// Kind says which kind it is; "" where there is none.
func (c Capo) Kind() string {
	switch {
	case c.Highest == 0:
		return ""
	case c.Clamp:
		return ClampOnCapo
	}
	return SlidingCapo
}

// Changes reports whether the bender raises or lowers string str (1-based).
func (b *Bender) Changes(str int) bool {
	for _, m := range b.Moves {
		if m.String == str && m.Semitones != 0 {
			return true
		}
	}
	return false
}

// OpenKey returns the key number of string s (1-based) with the steel lifted and
// the given benders engaged. Benders that raise the same string pull the same
// lever at the bridge, so the farthest raise counts and not their sum, and so
// with those that lower; a raise and a lowering together add (common practice,
// no source).
func (r *Rig) OpenKey(s int, set BenderSet) int {
	up, down := 0, 0
	for i, b := range r.Benders {
		if set.Has(i) {
			for _, m := range b.Moves {
				if m.String == s {
					up, down = max(up, m.Semitones), min(down, m.Semitones)
				}
			}
		}
	}
	return r.Strings[s-1].Open.Key() + up + down
}

// HighestKey returns the highest key number that string s (1-based) sounds with
// the steel lifted, whatever benders are engaged.
func (r *Rig) HighestKey(s int) int {
	up := 0
	for _, b := range r.Benders {
		for _, m := range b.Moves {
			if m.String == s {
				up = max(up, m.Semitones)
			}
		}
	}
	return r.Strings[s-1].Open.Key() + up
}

// Clone copies a rig so that the copy can be changed.
func (r *Rig) Clone() *Rig {
	out := *r
	out.Styles = append([]string(nil), r.Styles...)
	out.Strings = append([]String(nil), r.Strings...)
	out.Benders = append([]Bender(nil), r.Benders...)
	for i := range out.Benders {
		out.Benders[i].Moves = append([]Move(nil), r.Benders[i].Moves...)
	}
	return &out
}
