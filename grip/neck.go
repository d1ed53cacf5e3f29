package grip

import (
	"math"
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
	places                           map[steel.Placement]*Place
	Hands                            []Plucking         // every way to pluck that has come up
	handOf                           map[Hand]int32     // and where in Hands it is
	ways                             map[uint16][]int32 // the hands for a set of strings
	cache                            map[string][]Grip  // by what is due
	key                              []byte             // scratch for cache
	pair                             map[pairKey]*Place
	openCost                         int32   // an open string, by the rig's habit
	hammerCost, slideCost, slantCost int32   // a hammer-on or pull-off, a slide, a slant, by the steel's edge
	frets                            []int32 // fret at or below each millimetre from the nut
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

type pairKey struct{ a, b, fa, fb int8 }

// bendSet is a set of benders that can be engaged at once, and what it makes of
// the open strings.
type bendSet struct {
	set  rig.BenderSet
	open [rig.MaxStrings]int16
	each []uint16 // strings that each bender of it moves
}

// Place is a placement and what the search needs to know of it.
type Place struct {
	steel.Placement
	ok      bool
	Hand    int32  // where the bar hand is: mm·10 from nut or capo, between the two ends
	Lean    int32  // degrees·10
	aim     int32  // 1024·L/(L − x): how much narrower than at the nut the place is where it is in tune
	Touches uint16 // strings under it, bit s−1
	// fret and Cents give for every string the nearest whole fret of its
	// contact and how far it is off there; fret 0 is an open string.
	fret  [rig.MaxStrings]int8
	Cents [rig.MaxStrings]float32
}

// NewNeck takes the measure of a rig for a player with some limits, who leaves a
// region of it. With a capo use the rig that rig.WithCapo gives.
func NewNeck(r *rig.Rig, lim Limits, o Region) *Neck {
	n := &Neck{
		Rig: r, Geometry: steel.New(r), Limits: lim, prices: lim.Costs(), Region: o, Strings: len(r.Strings), thin: int32(Thin(len(r.Strings))),
		places: map[steel.Placement]*Place{}, handOf: map[Hand]int32{}, ways: map[uint16][]int32{},
		cache: map[string][]Grip{}, pair: map[pairKey]*Place{},
	}
	n.High = min(n.Limits.Fret, r.Frets)
	n.low = 1
	if o.High > 0 {
		n.High = min(n.High, o.High)
	}
	if o.Low > 0 {
		n.low = max(n.low, o.Low)
	}
	n.MaxAngle = n.Limits.Angle
	if o.Square {
		n.MaxAngle = 0
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

// placeOf looks a placement up, working it out the first time.
func (n *Neck) placeOf(p steel.Placement) *Place {
	if pl, ok := n.places[p]; ok {
		return pl
	}
	pl := &Place{Placement: p}
	n.places[p] = pl
	pl.ok = n.Geometry.Check(p) == nil
	pl.Hand = -1
	if !pl.ok || p.Kind == steel.Lifted {
		return pl
	}
	angle := n.Geometry.Angle(p)
	if p.Slanted() && (math.Abs(angle) > n.MaxAngle ||
		p.Kind == steel.Reverse && !n.Limits.Reverse || p.Kind == steel.Split && !n.Limits.Split) {
		pl.ok = false
		return pl
	}
	pl.Hand = int32(math.Round(5 * float64(n.Geometry.X(p.FirstFret)+n.Geometry.X(p.LastFret))))
	pl.aim = int32(math.Round(1024 * n.Geometry.L / (n.Geometry.L - float64(pl.Hand)/10)))
	pl.Lean = int32(math.Round(10 * angle))
	for s := 1; s <= n.Strings; s++ {
		c := n.Geometry.Contact(p, s)
		if c <= 0 {
			continue
		}
		pl.Touches |= 1 << (s - 1)
		whole := math.Round(c)
		pl.fret[s-1] = int8(whole)
		pl.Cents[s-1] = float32(100 * (c - whole))
	}
	return pl
}

// slant returns the slant through whole frets fa on string a and fb on string b,
// a < b, fa ≠ fb; nil when it can't be laid.
func (n *Neck) slant(a, b, fa, fb int8) *Place {
	if abs8(fa-fb) > int8(n.Limits.SlantSpan) {
		return nil
	}
	k := pairKey{a, b, fa, fb}
	if pl, ok := n.pair[k]; ok {
		return pl
	}
	kind := steel.Forward
	if fa < fb {
		kind = steel.Reverse
	}
	pl := n.placeOf(steel.Placement{Kind: kind, First: a, Last: b, FirstFret: float64(fa), LastFret: float64(fb)})
	if !pl.ok {
		pl = nil
	}
	n.pair[k] = pl
	return pl
}

func abs8(a int8) int8 {
	if a < 0 {
		return -a
	}
	return a
}
