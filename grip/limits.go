package grip

import "fmt"

// Level is how far a player has come.
type Level uint8

// The levels. Steady is the zero value and the usual one.
const (
	Steady Level = iota
	FirstYear
	Seasoned
)

// String returns the level's name.
func (l Level) String() string { return [...]string{"steady", "first year", "seasoned"}[l] }

// ParseLevel reads a level's name; "first-year" will do too.
func ParseLevel(s string) (Level, error) {
	switch s {
	case "steady":
		return Steady, nil
	case "first year", "first-year":
		return FirstYear, nil
	case "seasoned":
		return Seasoned, nil
	}
	return 0, fmt.Errorf("unknown level %q: it is first-year, steady or seasoned", s)
}

// Limits is what a player can do, in physical units. A rig's own limits (its
// highest fret, its steel, its MaxSlant) hold beside them.
type Limits struct {
	Angle     float64 // most lean of the steel, degrees
	SlantSpan int     // most frets between the two ends of a slant
	Reverse   bool    // reverse slants
	Split     bool    // splits
	Cents     float64 // most that a wanted string may be off under a slant
	Fret      int     // highest fret played
	Speed     float64 // fastest travel of the steel that still lands in tune, mm/s
	Benders   int     // most benders engaged at once
	Repeat    float64 // shortest time for the same finger twice in a row, seconds
	Harmonics int     // highest natural harmonic (2 is at the 12th fret); 0 for none
	Palm      bool    // palm harmonics
	Vibrato   float64 // shortest note that gets vibrato, seconds; 0 for none
	Hammer    float64 // least time for a hammer-on or pull-off, seconds; 0 for none
	GlideRate float64 // most semitones a second in a glide between notes
	Prices    *Prices // what it costs the player; nil is Standard's
}

// Costs returns what things cost a player.
func (l *Limits) Costs() *Prices {
	if l.Prices == nil {
		return &standard
	}
	return l.Prices
}

// limits holds the table. Where no other reason stands beside a value it is
// common practice, no source: what teachers ask of students at each stage.
var limits = [...]Limits{
	FirstYear: {
		Angle:     0, // no slants: first the square steel in tune
		Cents:     15,
		Fret:      15,
		Speed:     400,
		Benders:   1,
		Repeat:    0.25,
		Harmonics: 2, // at the 12th fret
		Hammer:    0.20,
		GlideRate: 20,
	},
	Steady: {
		Angle:     50,
		SlantSpan: 2,
		Reverse:   true,
		Cents:     12, // about twice what a listener can tell (5 cents), on one string of a chord
		Fret:      24,
		Speed:     900,
		Benders:   2,
		Repeat:    0.16,
		Harmonics: 3,
		Palm:      true,
		Vibrato:   0.5,
		Hammer:    0.12,
		GlideRate: 40,
	},
	Seasoned: {
		Angle:     60,
		SlantSpan: 3,
		Reverse:   true,
		Split:     true,
		Cents:     10,
		Fret:      36,
		Speed:     1500,
		Benders:   3,
		Repeat:    0.12,
		Harmonics: 5,
		Palm:      true,
		Vibrato:   0.4,
		Hammer:    0.09,
		GlideRate: 80,
	},
}

// Known reports whether there is such a level.
func (l Level) Known() bool { return int(l) < len(limits) }

// LimitsOf returns the limits of a level.
func LimitsOf(l Level) Limits { return limits[l] }
