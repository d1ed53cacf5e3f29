package arrange

import (
	"math"

	"lapwright/rig"
)

// borrow appends the slants that moment m's only note can share with a
// neighbour. Those from index extra on may be there already.
func (n *board) borrow(grips []grip, extra int, m, beside *due, theirs []grip) []grip {
	add := func(pl *place, b *bendSet, s int8, f int8) {
		g := grip{place: pl, set: b.set}
		g.strs[0], g.frets[0], g.acts[0] = s, f, pluck
		g.plucked, g.harmony = 1<<(s-1), m.single
		for i := extra; i < len(grips); i++ {
			if grips[i].same(&g) {
				return
			}
		}
		n.price(&g, m.wants)
		grips = append(grips, g)
	}
	key := m.wants[0].key
	if beside.alone() {
		b := &n.sets[0]
		for s := int8(1); int(s) <= n.n; s++ {
			f := key - b.open[s-1]
			if int(f) < n.low || int(f) > n.high {
				continue
			}
			for o := int8(1); int(o) <= n.n; o++ {
				of := beside.wants[0].key - b.open[o-1]
				if o == s || of == f || int(of) < n.low || int(of) > n.high {
					continue
				}
				var pl *place
				if s < o {
					pl = n.slant(s, o, int8(f), int8(of))
				} else {
					pl = n.slant(o, s, int8(of), int8(f))
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
		b := n.bendSet(t.set)
		for s := int8(1); int(s) <= n.n; s++ {
			f := key - b.open[s-1]
			if t.touches>>(s-1)&1 == 0 || f < 1 || int16(t.fret[s-1]) != f ||
				math.Abs(float64(t.cents[s-1])) > n.lim.Cents+centsSlack || !b.allServe(1<<(s-1)) {
				continue
			}
			add(t.place, b, s, int8(f))
		}
	}
	return grips
}

// bendSet finds a set of benders among those in use.
func (n *board) bendSet(set rig.BenderSet) *bendSet {
	for i := range n.sets {
		if n.sets[i].set == set {
			return &n.sets[i]
		}
	}
	return &n.sets[0]
}

// allServe says whether every bender of the set moves a string of used.
func (b *bendSet) allServe(used uint16) bool {
	for _, moves := range b.each {
		if moves&used == 0 {
			return false
		}
	}
	return true
}
