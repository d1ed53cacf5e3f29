package grip

import (
	"math"

	"lapwright/rig"
)

// Borrow appends the slants that moment m's only note can share with a
// neighbour. Those from index extra on may be there already.
func (n *Neck) Borrow(grips []Grip, extra int, m, beside *Due, theirs []Grip) []Grip {
	add := func(pl *Place, b *bendSet, s int8, f int8) {
		g := Grip{Place: pl, Benders: b.set}
		g.Strings[0], g.Frets[0], g.Acts[0] = s, f, Pluck
		g.plucked, g.harmony = 1<<(s-1), m.Single
		for i := extra; i < len(grips); i++ {
			if o := &grips[i]; o.Place == pl && o.Benders == b.set && o.Strings[0] == s {
				return
			}
		}
		n.price(&g, m.Wants)
		grips = append(grips, g)
	}
	key := m.Wants[0].Key
	if beside.Alone() {
		b := &n.sets[0]
		for s := int8(1); int(s) <= n.Strings; s++ {
			f := key - b.open[s-1]
			if int(f) < n.low || int(f) > n.High {
				continue
			}
			for o := int8(1); int(o) <= n.Strings; o++ {
				of := beside.Wants[0].Key - b.open[o-1]
				if int(of) < n.low || int(of) > n.High {
					continue
				}
				var pl *Place
				if s < o {
					pl = n.places.slant(s, o, int8(f), int8(of))
				} else {
					pl = n.places.slant(o, s, int8(of), int8(f))
				}
				if pl != nil {
					add(pl, b, s, int8(f))
				}
			}
		}
	}
	for i := range theirs {
		t := &theirs[i]
		if !t.Slanted() {
			continue
		}
		b := n.bendSet(t.Benders)
		for s := int8(1); int(s) <= n.Strings; s++ {
			f := key - b.open[s-1]
			if f < 1 || int16(t.fret[s-1]) != f ||
				math.Abs(float64(t.Cents[s-1])) > n.Limits.Cents+CentsSlack || !b.allServe(1<<(s-1)) {
				continue
			}
			add(t.Place, b, s, int8(f))
		}
	}
	return grips
}

// bendSet finds a set of benders among those in use.
func (n *Neck) bendSet(set rig.BenderSet) *bendSet {
	for i := range n.sets {
		if n.sets[i].set == set {
			return &n.sets[i]
		}
	}
	return &n.sets[0]
}

// allServe reports whether every bender of the set moves a string of used.
func (b *bendSet) allServe(used uint16) bool {
	for _, moves := range b.each {
		if moves&used == 0 {
			return false
		}
	}
	return true
}
