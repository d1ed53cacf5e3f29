// Package leads keeps the ways of holding one moment in the order of what it costs to come
// from them, and gives of them those that may come before a grip of the next.
//
// Entry points: Order, Stance.
package leads

import (
	"math"
	"slices"

	"lapwright/grip"
	"lapwright/rig"
)

// Unreachable is the cost of what can't be reached.
const Unreachable = math.MaxInt64

// stanceBits is how many bits of a place in the order say which stance it is. The others
// are its cost, so that sorting them as numbers sorts by cost, and those of one cost by
// stance. The dearest piece costs less than 2^37 (hundredths of a point).
const stanceBits = 24

// Stance returns the number of the stance at a place in an order.
func Stance(place int64) int { return int(place & (1<<stanceBits - 1)) }

// Order holds the stances of a moment that can be reached, the cheapest first. It is
// made anew for each moment, in the same memory.
type Order struct {
	all     []int64
	resting [][]int64 // by number of the hand: the stances of all with the hand there
	// ringing holds the stances of all that sound a note on a string, by the note's index
	// in its moment and the string, from when they are first asked for.
	ringing [grip.MaxNotes][rig.MaxStrings + 1]struct {
		known  bool
		places []int64
	}
}

// Sort orders stances by what it costs to come from them. Of the hands that stances of
// the next moment may leave resting, hands says how many there are, and handOf which of
// them each stance has; with none it is not looked at.
func (o *Order) Sort(costs []int64, handOf []int32, hands int) {
	o.all = o.all[:0]
	for k, c := range costs {
		if c != Unreachable {
			o.all = append(o.all, c<<stanceBits|int64(k))
		}
	}
	slices.Sort(o.all)
	for i := range o.ringing {
		for s := range o.ringing[i] {
			o.ringing[i][s].known = false
		}
	}
	for h := range hands {
		if h == len(o.resting) {
			o.resting = append(o.resting, nil)
		}
		o.resting[h] = o.resting[h][:0]
	}
	if hands == 0 {
		return
	}
	for _, place := range o.all {
		r := &o.resting[handOf[Stance(place)]]
		*r = append(*r, place)
	}
}

// Resting returns the stances that have their hand in a place, the cheapest first.
func (o *Order) Resting(hand int) []int64 { return o.resting[hand] }

// Before returns the stances that may come before a grip for what Due.RingsFrom says of
// it, the cheapest first: all, where nothing rings on. sounds says on which string a
// stance sounds a note of its moment.
func (o *Order) Before(b *grip.Grip, m *grip.Due, sounds func(stance int, note int8) int8) []int64 {
	note, str, ok := m.RingsFrom(b)
	if !ok {
		return o.all
	}
	r := &o.ringing[note][str]
	if !r.known {
		r.known, r.places = true, r.places[:0]
		for _, place := range o.all {
			if sounds(Stance(place), note) == str {
				r.places = append(r.places, place)
			}
		}
	}
	return r.places
}
