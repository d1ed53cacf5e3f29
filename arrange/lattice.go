package arrange

import (
	"cmp"
	"math"
	"slices"

	"lapwright/grip"
	"lapwright/inorder"
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

const unreachable = math.MaxInt64

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
	local    []int32 // hand number → its number in the layer
	handsA   []int32
	handsB   []int32
	nodeHand []int32 // by node of A: its hand's number in the layer
	steps    []int32 // handStep by (hand of A, hand of B)
	least    []int64 // by (stance of A, hand of B): cheapest over the ways of A
	leastAt  []int32 // and its node
	floor    []int64 // by stance of A: the least of its row
	order    []int32 // stances of A by floor
	hands    []int32 // see stayed
	spare    []int64 // costs of a layer that nobody asks for any more
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
		if a == grip.On || a == grip.Glide || a == grip.Hammer || a == grip.Pull {
			return false
		}
	}
	return true
}

// stances lays out the states of a layer: one for each grip, but for each grip
// with the steel lifted one for each place where the hand may have stayed.
func (la *lattice) stances(l, before *layer) {
	l.stances = l.stances[:0]
	hands := la.stayed(l, before)
	nodes := int32(0)
	l.first = l.first[:0]
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

// stayed returns where the hand may have stayed before a layer in which the steel may be
// lifted.
func (la *lattice) stayed(l, before *layer) []int32 {
	la.hands = la.hands[:0]
	lifted := false
	for g := range l.grips {
		lifted = lifted || l.grips[g].Kind == steel.Lifted
	}
	if !lifted {
		return nil
	}
	if before == nil {
		la.hands = append(la.hands, -1)
		return la.hands
	}
	for k := range before.stances {
		if h := before.stances[k].hand; !slices.Contains(la.hands, h) { // some twenty places
			la.hands = append(la.hands, h)
		}
	}
	return la.hands
}

// localHands numbers the hands of a layer from 0 and gives them.
func (la *lattice) localHands(l *layer, hands []int32) []int32 {
	for len(la.local) < len(la.n.Hands) {
		la.local = append(la.local, -1)
	}
	hands = hands[:0]
	for gi := range l.grips {
		for _, h := range l.grips[gi].Hands {
			if la.local[h] < 0 {
				la.local[h] = int32(len(hands))
				hands = append(hands, h)
			}
		}
	}
	return hands
}

// advance reckons layer b from layer a.
func (la *lattice) advance(a, b *layer, ma, mb *grip.Due) {
	la.handsA = la.localHands(a, la.handsA)
	la.nodeHand = grown(la.nodeHand, len(a.cost))
	for k := range a.stances {
		for w, h := range a.grips[a.stances[k].grip].Hands {
			la.nodeHand[int(a.first[k])+w] = la.local[h]
		}
	}
	for _, h := range la.handsA {
		la.local[h] = -1
	}
	la.handsB = la.localHands(b, la.handsB)
	nb := len(la.handsB)
	la.steps = grown(la.steps, len(la.handsA)*nb)
	for x, ha := range la.handsA {
		for y, hb := range la.handsB {
			la.steps[x*nb+y] = la.n.HandStep(la.n.Hands[ha].Hand, la.n.Hands[hb].Hand, mb.Seconds)
		}
	}
	la.least = grown(la.least, len(a.stances)*nb)
	la.leastAt = grown(la.leastAt, len(a.stances)*nb)
	for k := range a.stances {
		row, rowAt := la.least[k*nb:(k+1)*nb], la.leastAt[k*nb:(k+1)*nb]
		for y := range row {
			row[y] = unreachable
		}
		for node := a.first[k]; node < a.first[k+1]; node++ {
			c := a.cost[node]
			if c == unreachable {
				continue
			}
			steps := la.steps[int(la.nodeHand[node])*nb:]
			for y := range row {
				if t := c + int64(steps[y]); t < row[y] {
					row[y], rowAt[y] = t, node
				}
			}
		}
	}
	la.sortStances(len(a.stances), nb)
	for k := range b.stances {
		sb := &b.stances[k]
		gb := &b.grips[sb.grip]
		base := int(b.first[k])
		worst := int64(unreachable) // of the ways to pluck gb, as far as is known
		for _, ka32 := range la.order {
			ka := int(ka32)
			// No step costs less than 0, so a stance whose floor is no better
			// than what there is for every way can't help, nor can those after it.
			if la.floor[ka] >= worst {
				break
			}
			sa := &a.stances[ka]
			if gb.Kind == steel.Lifted && sa.hand != sb.hand || !mb.Leads(&a.grips[sa.grip], gb) {
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

// sortStances orders the reachable stances of layer A by the least of their row.
func (la *lattice) sortStances(n, nb int) {
	la.floor = grown(la.floor, n)
	la.order = la.order[:0]
	for k := range n {
		la.floor[k] = slices.Min(la.least[k*nb : (k+1)*nb])
		if la.floor[k] != unreachable {
			la.order = append(la.order, int32(k))
		}
	}
	inorder.Stable(la.order, func(x, y int32) int { return cmp.Compare(la.floor[x], la.floor[y]) })
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
	ha := la.n.Hands[ga.Hands[at-int(l.first[k])]].Hand
	most := int64(0)
	for gi := range next.grips {
		g := &next.grips[gi]
		step, _ := la.n.Step(st.hand, ga, g, &la.p.moments[i].Due, &m.Due)
		for _, h := range g.Hands {
			most = max(most, int64(step.Sum()+la.n.HandStep(ha, la.n.Hands[h].Hand, m.Seconds)))
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
