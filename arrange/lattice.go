package arrange

import (
	"slices"

	"lapwright/arrange/leads"
	"lapwright/grip"
	"lapwright/steel"
)

// layer is one moment in the search: its grips, the stances they can be held
// in, and for every stance and way to pluck it the cheapest way to get there.
type layer struct {
	grips   []grip.Grip
	stances []stance
	first   []int32 // first[s] is the node of stance s with its first way; one more at the end
	cost    []int64 // by node; out of reach is unreachable; nil once the next layer has been reckoned from it and nothing else asks
	reached bool    // some node is within reach
	// model is how the same place is played elsewhere, nil for none: other ways
	// have a price, other fingers one by themselves.
	model   *chosen
	fingers int32
	back    []int32 // by node: the node before, −1 at the start
}

// stance is a grip together with where the bar hand is: on the strings, or in
// the air where it last was.
type stance struct {
	grip int32
	hand int32 // tenths of a millimetre from nut or capo, −1 when the bar was never laid
}

const unreachable = leads.Unreachable

// Work counts what a search did.
type Work struct {
	Moments     int
	Grips       int   // over all moments
	States      int   // stances with ways to pluck, over all moments
	Transitions int64 // pairs of stances weighed
	Pruned      int   // states that could not lie on the cheapest way and were passed over
	Compared    int64 // moments of phrases that come again, looked at for how they are played
}

// lattice holds every way through a problem: its layers, and for each stance the
// cheapest way there.
type lattice struct {
	scene
	layers []layer
	work   Work
	keep   bool // keep every state: for alternatives
	// scratch for one pair of layers
	local   []int32 // hand number → its number in the layer
	handsB  []int32
	least   []int64     // by (stance of A, hand of B): cheapest over the ways of A
	leastAt []int32     // and its node
	floor   []int64     // by stance of A: the least of its row
	order   leads.Order // stances of A by floor
	hands   []int32     // see stayed
	handOf  []int32     // by stance of A: its hand's index in hands
	spare   []int64     // costs of a layer that nobody asks for any more
}

// run fills the layers. The grips must be there.
func (la *lattice) run() error {
	la.work.Moments = len(la.layers)
	for i := range la.layers {
		if err := la.w.moment(); err != nil {
			return err
		}
		l := &la.layers[i]
		la.work.Grips += len(l.grips)
		l.reached = false
		if i == 0 {
			la.stances(l, nil)
			for j := range l.cost {
				l.back[j] = -1
			}
			for k := range l.stances {
				g := &l.grips[l.stances[k].grip]
				for w, h := range g.Hands {
					if startable(g) {
						l.reached = true
						l.cost[int(l.first[k])+w] = int64(g.Cost + la.own(l, g, h))
					}
				}
			}
			continue
		}
		la.stances(l, &la.layers[i-1])
		la.advance(&la.layers[i-1], l, &la.p.moments[i-1].Due, &la.p.moments[i].Due)
		if !la.keep {
			la.spare, la.layers[i-1].cost = la.layers[i-1].cost, nil
		}
		if !la.keep && i+1 < len(la.layers) {
			la.prune(i)
		}
	}
	return nil
}

// startable reports whether a grip can come first: nothing goes on from nowhere.
func startable(g *grip.Grip) bool {
	for _, a := range g.Acts {
		if a.RingsOn() {
			return false
		}
	}
	return true
}

// stances lays out the states of a layer: one for each grip, but for each grip
// with the steel lifted one for each place where the hand may have stayed.
func (la *lattice) stances(l, before *layer) {
	lifted := 0
	for gi := range l.grips {
		if l.grips[gi].Kind == steel.Lifted {
			lifted++
		}
	}
	hands := la.stayed(lifted > 0, before)
	n := len(l.grips) - lifted + lifted*len(hands)
	l.stances, l.first = grown(l.stances, n)[:0], grown(l.first, n+1)[:0]
	nodes := int32(0)
	for gi := range l.grips {
		g := &l.grips[gi]
		if g.Kind != steel.Lifted {
			l.stances = append(l.stances, stance{int32(gi), g.Hand})
			l.first = append(l.first, nodes)
			nodes += int32(len(g.Hands))
			continue
		}
		for _, h := range hands {
			l.stances = append(l.stances, stance{int32(gi), h})
			l.first = append(l.first, nodes)
			nodes += int32(len(g.Hands))
		}
	}
	l.first = append(l.first, nodes)
	l.cost, la.spare = grown(la.spare, int(nodes)), nil
	l.back = grown(l.back, int(nodes))
	for j := range l.cost {
		l.cost[j] = unreachable
	}
	la.work.States += int(nodes)
}

// stayed returns where the hand may have stayed since the layer before, when the steel
// may be lifted now.
func (la *lattice) stayed(lifted bool, before *layer) []int32 {
	la.hands = la.hands[:0]
	if !lifted {
		return nil
	}
	if before == nil {
		la.hands = append(la.hands, -1)
		return la.hands
	}
	la.handOf = grown(la.handOf, len(before.stances))
	for k := range before.stances {
		h := before.stances[k].hand
		at := slices.Index(la.hands, h) // of some twenty places
		if at < 0 {
			at = len(la.hands)
			la.hands = append(la.hands, h)
		}
		la.handOf[k] = int32(at)
	}
	return la.hands
}

// numberHands numbers the hands of layer B from 0.
func (la *lattice) numberHands(l *layer) {
	for len(la.local) < len(la.n.Hands) {
		la.local = append(la.local, -1)
	}
	la.handsB = la.handsB[:0]
	for gi := range l.grips {
		for _, h := range l.grips[gi].Hands {
			if la.local[h] < 0 {
				la.local[h] = int32(len(la.handsB))
				la.handsB = append(la.handsB, h)
			}
		}
	}
}

// advance reckons layer b from layer a.
func (la *lattice) advance(a, b *layer, ma, mb *grip.Due) {
	la.numberHands(b)
	nb := len(la.handsB)
	steps := la.n.StepsAt(mb.Seconds)
	la.least = grown(la.least, len(a.stances)*nb)
	la.leastAt = grown(la.leastAt, len(a.stances)*nb)
	la.floor = grown(la.floor, len(a.stances))
	for k := range a.stances {
		row, rowAt := la.least[k*nb:(k+1)*nb], la.leastAt[k*nb:(k+1)*nb]
		for y := range row {
			row[y] = unreachable
		}
		for w, h := range a.grips[a.stances[k].grip].Hands {
			node := a.first[k] + int32(w)
			c := a.cost[node]
			if c == unreachable {
				continue
			}
			after := steps.After(h)
			for y, hb := range la.handsB {
				if t := c + int64(after[hb]); t < row[y] {
					row[y], rowAt[y] = t, node
				}
			}
		}
		la.floor[k] = slices.Min(row)
	}
	la.order.Sort(la.floor, la.handOf, len(la.hands))
	sounds := func(k int, note int8) int8 { return a.grips[a.stances[k].grip].Strings[note] }
	nth := 0 // of the stances of one grip
	for k := range b.stances {
		sb := &b.stances[k]
		if nth++; k == 0 || sb.grip != b.stances[k-1].grip {
			nth = 0
		}
		gb := &b.grips[sb.grip]
		base := int(b.first[k])
		var from []int64
		if gb.Kind == steel.Lifted {
			from = la.order.Resting(nth) // as stances has laid them out
		} else {
			from = la.order.Before(gb, mb, sounds)
		}
		worst := int64(unreachable) // of the ways to pluck gb, as far as is known
		for _, place := range from {
			ka := leads.Stance(place)
			// No step costs less than 0, so a stance whose floor is no better
			// than what there is for every way can't help, nor can those after it.
			if la.floor[ka] >= worst {
				break
			}
			sa := &a.stances[ka]
			if !mb.Leads(&a.grips[sa.grip], gb) {
				continue
			}
			la.work.Transitions++
			st, ok := la.n.Step(sa.hand, &a.grips[sa.grip], gb, ma, mb)
			if !ok {
				continue
			}
			add := int64(st.Sum())
			worst = 0
			for w, h := range gb.Hands {
				y := ka*nb + int(la.local[h])
				if t := la.least[y] + add; t < b.cost[base+w] {
					b.cost[base+w], b.back[base+w] = t, la.leastAt[y]
				}
				worst = max(worst, b.cost[base+w])
			}
		}
		for w, h := range gb.Hands {
			if b.cost[base+w] != unreachable {
				b.reached = true
				b.cost[base+w] += int64(gb.Cost + la.own(b, gb, h))
			}
		}
	}
	for _, h := range la.handsB {
		la.local[h] = -1
	}
}

// own returns what it costs by itself to play a grip of a layer with a hand,
// beside what the grip costs.
func (la *lattice) own(l *layer, g *grip.Grip, h int32) int32 {
	return la.n.Hands[h].Cost + l.unlike(g, la.n.Hands[h].Hand)
}

// prune drops states of layer i that can't lie on the cheapest way. Let m be
// the cheapest state and U the most that any step from m into the next layer
// costs, when every such step is possible. A state whose cost is above m's by
// more than U is beaten by m at every state of the next layer, because its own
// steps cost nothing less than 0. It is not tried when the next moment has notes
// that go on, or grips with the steel lifted, since those remember more than the
// grip.
func (la *lattice) prune(i int) {
	l, next := &la.layers[i], &la.layers[i+1]
	m := &la.p.moments[i+1]
	for j := range m.Wants {
		if m.Wants[j].From >= 0 {
			return
		}
	}
	for gi := range next.grips {
		if next.grips[gi].Kind == steel.Lifted {
			return
		}
	}
	best, at := int64(unreachable), 0
	for node, c := range l.cost {
		if c < best {
			best, at = c, node
		}
	}
	if best == unreachable {
		return
	}
	k := l.stanceOf(int32(at))
	st := &l.stances[k]
	ga := &l.grips[st.grip]
	after := la.n.StepsAt(m.Seconds).After(ga.Hands[at-int(l.first[k])])
	most := int64(0)
	for gi := range next.grips {
		g := &next.grips[gi]
		step, _ := la.n.Step(st.hand, ga, g, &la.p.moments[i].Due, &m.Due)
		for _, h := range g.Hands {
			most = max(most, int64(step.Sum()+after[h]))
		}
	}
	for node, c := range l.cost {
		if c != unreachable && c > best+most {
			l.cost[node] = unreachable
			la.work.Pruned++
		}
	}
}

// stanceOf returns the stance that a node belongs to.
func (l *layer) stanceOf(node int32) int {
	lo, hi := 0, len(l.stances)
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if l.first[mid] <= node {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// chosen is one moment of a finished way.
type chosen struct {
	grip *grip.Grip
	hand grip.Hand // which fingers
	own  int32     // what the fingers cost for being away from their homes
	odd  int32     // and for being others than elsewhere
	at   int32     // where the bar hand is
}

// cheapest returns the cheapest way and its cost, or false when a layer is out
// of reach, with the index of the first such layer.
func (la *lattice) cheapest() (way []chosen, cost int64, stuck int) {
	for i := range la.layers {
		if !la.layers[i].reached {
			return nil, 0, i
		}
	}
	if len(la.layers) == 0 {
		return nil, 0, -1
	}
	last := &la.layers[len(la.layers)-1]
	best, at := int64(unreachable), int32(0)
	for node, c := range last.cost {
		if c < best {
			best, at = c, int32(node)
		}
	}
	return la.trace(at), best, -1
}

// trace follows a node of the last layer back to the start.
func (la *lattice) trace(node int32) []chosen {
	way := make([]chosen, len(la.layers))
	for i := len(la.layers) - 1; i >= 0; i-- {
		way[i] = la.chosenAt(i, node)
		node = la.layers[i].back[node]
	}
	return way
}

func grown[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/2)
	}
	return s[:n]
}
