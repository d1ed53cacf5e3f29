package grip

import (
	"math/bits"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/wire"
)

// MaxNotes is how many notes are considered at once: a moment's others are
// given up before the search, the inner ones first.
const MaxNotes = 6

// Neck is one rig as one player can use it, with everything about it that the
// search asks for often.
type Neck struct {
	Rig                              *rig.Rig
	Geometry                         *steel.Geometry
	Limits                           Limits
	prices                           *Prices // what all costs
	Region                           Region
	Strings                          int     // how many the rig has
	thin                             int32   // the last string above the lowest third
	High                             int     // highest fret for the steel
	low                              int     // lowest fret for the steel
	MaxAngle                         float64 // degrees; 0 where the steel is never leaned
	sets                             []bendSet
	places                           places
	Hands                            []Plucking           // every way to pluck that has come up
	handOf                           map[Hand]int32       // and where in Hands it is
	ways                             map[uint16][]int32   // the hands for a set of strings
	handSteps                        map[int32]*HandSteps // by what a finger costs that played just before
	cache                            map[string][]Grip    // by what is due
	key                              []byte               // scratch for cache
	openCost                         int32                // an open string, by the rig's habit
	hammerCost, slideCost, slantCost int32                // a hammer-on or pull-off, a slide, a slant, by the steel's edge
	frets                            []int32              // fret at or below each millimetre from the nut
}

// Region is what the person who asks leaves of the neck. The zero value leaves
// all of it.
type Region struct {
	Closed, Square bool // no open strings; no slants and no splits
	// Low and High bound the frets at which the steel is laid and natural harmonics
	// are touched; 0 is no bound.
	Low, High int
}

// Holds reports whether a fret lies within the bounds.
func (r Region) Holds(fret int) bool { return fret >= r.Low && (r.High == 0 || fret <= r.High) }

// bendSet is a set of benders that can be engaged at once, and what it makes of
// the open strings.
type bendSet struct {
	set  rig.BenderSet
	open [rig.MaxStrings]int16
	each []uint16 // strings that each bender of it moves
}

// NewNeck takes the measure of a rig for a player with some limits, who leaves a
// region of it. With a capo use the rig that rig.WithCapo gives.
func NewNeck(r *rig.Rig, lim Limits, o Region) *Neck {
	n := &Neck{
		Rig: r, Geometry: steel.New(r), Limits: lim, prices: lim.Costs(), Region: o, Strings: len(r.Strings), thin: int32(Thin(len(r.Strings))),
		handOf: map[Hand]int32{}, ways: map[uint16][]int32{}, handSteps: map[int32]*HandSteps{}, cache: map[string][]Grip{},
	}
	n.High = min(n.Limits.Fret, r.Frets)
	n.low = max(1, o.Low)
	if o.High > 0 {
		n.High = min(n.High, o.High)
	}
	n.MaxAngle = n.Limits.Angle
	if o.Square {
		n.MaxAngle = 0
	}
	n.places = places{
		geometry: n.Geometry, limits: n.Limits, maxAngle: n.MaxAngle, strings: n.Strings,
		known: map[steel.Placement]*Place{}, pair: map[pairKey]*Place{},
	}
	for set := range 1 << len(r.Benders) {
		if bits.OnesCount(uint(set)) > n.Limits.Benders {
			continue
		}
		b := bendSet{set: rig.BenderSet(set)}
		for s := 1; s <= n.Strings; s++ {
			b.open[s-1] = int16(r.OpenKey(s, b.set))
		}
		for i := range r.Benders {
			if !b.set.Has(i) {
				continue
			}
			var moves uint16
			for _, m := range r.Benders[i].Moves {
				moves |= 1 << (m.String - 1)
			}
			b.each = append(b.each, moves)
		}
		n.sets = append(n.sets, b)
	}
	for mm := range int(r.Scale) {
		n.frets = append(n.frets, int32(n.Geometry.Fret(wire.MM(mm))+1e-6))
	}
	n.HandWays(0)
	return n
}

// TakeHabits has grips priced by the habits of the rig too, which belong to playing
// tunes: chords by themselves are sought without them.
func (n *Neck) TakeHabits() {
	n.openCost = n.prices.OpenPrice(n.Rig)
	if n.Rig.Habits.EdgeOn(n.Rig.Body) == rig.RoundEdge {
		n.hammerCost, n.slantCost = n.prices.HammerRound, -n.prices.SlantRound
	} else {
		n.slideCost = n.prices.SlideSharp
	}
}

// OpenPrice returns what an open string costs by a rig's habits.
func (p *Prices) OpenPrice(r *rig.Rig) int32 {
	switch r.Habits.OpenOn(r.Body) {
	case rig.OpenSparing:
		return p.OpenSparing
	case rig.OpenAvoided:
		return p.OpenAvoided
	}
	return 0
}

// Compass returns the lowest and the highest key number that any string
// reaches, open, stopped or bent.
func (n *Neck) Compass() (lowest, highest int) {
	lowest = int(n.sets[0].open[0])
	for i := range n.sets {
		for s := range n.Strings {
			lowest = min(lowest, int(n.sets[i].open[s]))
			highest = max(highest, int(n.sets[i].open[s])+n.High)
		}
	}
	return lowest, highest
}

// Thin returns the last string that suits a melody, of so many: four of six, five of
// eight, six of ten (common practice, no source).
func Thin(strings int) int { return (strings + 2) / 2 }
