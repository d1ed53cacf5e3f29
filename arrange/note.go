package arrange

import (
	"math"

	"lapwright/pitch"
	"lapwright/tune"
)

// kind says how a wanted note comes about.
type kind uint8

const (
	begun   kind = iota // begins here
	glided              // begins here, reached by a glide
	slurred             // begins here under a slur, so that it need not be plucked
	tied                // goes on from the moment before, taken up by a tie
	held                // goes on from the moment before, under its own length
	offered             // may begin here, as harmony under a melody
)

// want is one note that a moment should sound.
type want struct {
	ref   tune.Ref
	key   int16
	kind  kind
	long  bool // long enough that an open string would be missed for its shading
	from  int8 // which want of the moment before it goes on or glides from, −1 for none
	voice int
	len   tune.Ticks
	name  pitch.Name // of an offered note
}

// offer is one way to fill up under a melody note: which of the moment's
// offered notes sound, by their indexes in its wants, and what that costs.
type offer struct {
	notes uint16
	cost  int32
}

// due is what must sound at one instant.
type due struct {
	wants []want
	// offers are the ways to add harmony, single what leaving it out costs.
	offers []offer
	single int32
	pace
}

// alone says whether one note is due, which begins there, whatever may be
// offered under it.
func (m *due) alone() bool {
	return len(m.wants) > 0 && (m.wants[0].kind == begun || m.wants[0].kind == slurred) &&
		(len(m.wants) == 1 || m.wants[1].kind == offered)
}

// pace is the time since the moment before, and what the hands can do in it.
type pace struct {
	ms     int32   // within leastMS and mostMS: costs are reckoned in whole milliseconds
	dt     float64 // the same in seconds
	perMM  int32   // what a tenth of a millimetre of travel costs, times 1000
	reach  int32   // tenths of a millimetre that the level's speed covers
	search int32   // what leaving a position costs
	glides int16   // the widest glide that there is time for, semitones
	hammer bool    // there is time to hammer on or pull off
}

// newPace reckons with dt seconds since the moment before.
func newPace(dt float64, lim Limits) pace {
	var m pace
	m.ms = int32(math.Round(1000 * min(max(dt, 0), mostMS/1000)))
	m.ms = min(max(m.ms, leastMS), mostMS)
	m.dt = float64(m.ms) / 1000
	m.perMM = 100*costPerMM + 1000*costPerMMSec/m.ms
	m.reach = int32(lim.Speed) * m.ms / 100
	m.search = costMove + 1000*costMoveQuick/m.ms
	m.glides = int16(lim.GlideRate * m.dt)
	m.hammer = lim.Hammer > 0 && m.dt >= lim.Hammer
	return m
}
