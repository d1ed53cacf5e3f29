package grip

import (
	"math"

	"lapwright/pitch"
	"lapwright/tune"
)

// Kind says how a wanted note comes about.
type Kind uint8

const (
	Begun   Kind = iota // begins here
	Glided              // begins here, reached by a glide
	Slurred             // begins here under a slur, so that it need not be plucked
	Tied                // goes on from the moment before, taken up by a tie
	Held                // goes on from the moment before, under its own length
	Offered             // may begin here, as harmony under a melody
	Stepped             // begins here a step from the only note before, so that the player may join it without a slur
	Graced              // begins here after a grace, with which it is one pluck
)

// Single reports whether a note of that kind, alone in its moment, begins there
// and may be plucked like any other.
func (k Kind) Single() bool { return k == Begun || k == Slurred || k == Stepped || k == Graced }

// WidestJoin is the widest step, in semitones, that is joined without a slur or
// from a grace: what the steel slides and hammers cleanly (common practice, no
// source).
const WidestJoin = 3

// MostJoins is how many notes running may be joined that no slur of the tune asks
// for: the string loses its sound.
const MostJoins = 2

// Note is one note that a moment should sound.
type Note struct {
	Ref   tune.Ref
	Key   int16
	Kind  Kind
	Long  bool // long enough that an open string would be missed for its shading
	Slow  bool // in a slow tune, where a long note is listened to
	Beat  bool // on a beat, which wants the pick
	From  int8 // which want of the moment before it goes on, glides or is joined from, −1 for none
	Voice int
	Len   tune.Ticks
	Name  pitch.Name // of an offered note
}

// Offer is one way to fill up under a melody note: which of the moment's
// offered notes sound, by their indexes in its wants, and what that costs.
type Offer struct {
	Notes uint16
	Cost  int32
}

// Due is what must sound at one instant.
type Due struct {
	Wants []Note
	// Offers are the ways to add harmony, single what leaving it out costs.
	Offers []Offer
	Single int32
	Pace
}

// Alone reports whether one note is due, which begins there, whatever may be
// offered under it.
func (m *Due) Alone() bool {
	return len(m.Wants) > 0 && m.Wants[0].Kind.Single() &&
		(len(m.Wants) == 1 || m.Wants[1].Kind == Offered)
}

// Pace is the time since the moment before, and what the hands can do in it.
type Pace struct {
	MS      int32   // within MinMS and MaxMS: costs are reckoned in whole milliseconds
	Seconds float64 // the same in seconds
	perMM   int32   // what a tenth of a millimetre of travel costs, times 1000
	reach   int32   // tenths of a millimetre that the level's speed covers
	Leave   int32   // what leaving a position costs
	glides  int16   // the widest glide that there is time for, semitones
	Hammer  bool    // there is time to hammer on or pull off
	again   int32   // what it costs to pluck a step on the string that still rings
}

// NewPace reckons with dt seconds since the moment before.
func NewPace(dt float64, lim Limits) Pace {
	var m Pace
	p := lim.Costs()
	m.MS = int32(math.Round(1000 * min(max(dt, 0), MaxMS/1000)))
	m.MS = min(max(m.MS, MinMS), MaxMS)
	m.Seconds = float64(m.MS) / 1000
	m.perMM = p.PerMM + 1000*p.PerMMSec/m.MS
	m.reach = int32(lim.Speed) * m.MS / 100
	m.Leave = p.Move + 1000*p.MoveQuick/m.MS
	m.glides = int16(lim.GlideRate * m.Seconds)
	m.again = 1000 * p.PluckStep / m.MS
	m.Hammer = lim.Hammer > 0 && m.Seconds >= lim.Hammer
	return m
}
