package arrange

import (
	"context"
	"slices"

	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
)

// MaxBest bounds how many arrangements Best gives.
const MaxBest = 1000

// Best returns the k cheapest ways, cheapest first, in the key, octave and capo
// that Arrange would choose: fewer when there are not so many. Ways differ in a
// grip or in a finger somewhere; for ways that sound and feel different ask
// Alternatives.
func Best(ctx context.Context, t *tune.Tune, r *rig.Rig, o Options, k int) ([]*Result, error) {
	if k < 1 || k > MaxBest {
		return nil, refuse("\"%d\" arrangements were asked for; from 1 to %d can be given", k, MaxBest)
	}
	q, err := newRequest(newWatch(ctx), t, r, o)
	if err != nil {
		return nil, err
	}
	first, err := q.arrange()
	if err != nil {
		return nil, err
	}
	s, err := q.newSearch(first.Setting())
	if err != nil {
		return nil, err
	}
	if _, _, err := s.find(); err != nil {
		return nil, err
	}
	var out []*Result
	ways, err := s.lattice.best(k)
	if err != nil {
		return nil, err
	}
	for _, w := range ways {
		res, err := s.result(w.way, w.cost, first.Transposed)
		if err != nil {
			return nil, err
		}
		out = append(out, res)
	}
	return out, nil
}

// ranked is a way with its cost.
type ranked struct {
	way  []chosen
	cost int64
}

// arrival is one way to reach a node: from the r-th cheapest way to a node of
// the layer before.
type arrival struct {
	cost int64
	node int32
	rank int32
}

// best finds the k cheapest ways. At every node it keeps the k cheapest ways to
// get there, which is enough: a way that passes a node by its (k+1)-th cheapest
// beginning is beaten k times over.
func (la *lattice) best(k int) ([]ranked, error) {
	all := make([][][]arrival, len(la.layers))
	for i := range la.layers {
		if err := la.w.moment(); err != nil {
			return nil, err
		}
		l := &la.layers[i]
		if i == 0 {
			la.stances(l, nil)
			all[0] = make([][]arrival, len(l.cost))
			l.each(func(node int, _ *stance, g *grip.Grip, h int32) {
				if startable(g) {
					all[0][node] = []arrival{{int64(g.Cost + la.own(l, g, h)), -1, 0}}
				}
			})
			continue
		}
		before := &la.layers[i-1]
		la.stances(l, before)
		all[i] = make([][]arrival, len(l.cost))
		ma, mb := &la.p.moments[i-1].Due, &la.p.moments[i].Due
		steps := la.n.StepsAt(mb.Seconds)
		l.each(func(node int, sb *stance, gb *grip.Grip, hb int32) {
			own := int64(gb.Cost + la.own(l, gb, hb))
			var arrivals []arrival
			before.each(func(from int, sa *stance, ga *grip.Grip, ha int32) {
				if len(all[i-1][from]) == 0 || gb.Kind == steel.Lifted && sa.hand != sb.hand {
					return
				}
				st, ok := la.n.Step(sa.hand, ga, gb, ma, mb)
				if !ok {
					return
				}
				add := own + int64(st.Sum()) + int64(steps.After(ha)[hb])
				for rank, a := range all[i-1][from] {
					arrivals = append(arrivals, arrival{a.cost + add, int32(from), int32(rank)})
				}
			})
			inorder.Stable(arrivals, byCost)
			all[i][node] = slices.Clone(arrivals[:min(k, len(arrivals))])
		})
	}
	if len(la.layers) == 0 {
		return nil, nil
	}
	var ends []arrival
	for node := range all[len(all)-1] {
		for rank, a := range all[len(all)-1][node] {
			ends = append(ends, arrival{a.cost, int32(node), int32(rank)})
		}
	}
	inorder.Stable(ends, byCost)
	var out []ranked
	for _, e := range ends[:min(k, len(ends))] {
		out = append(out, ranked{la.follow(all, e), e.cost})
	}
	return out, nil
}

func byCost(a, b arrival) int {
	switch {
	case a.cost < b.cost:
		return -1
	case a.cost > b.cost:
		return 1
	}
	return 0
}

// follow traces one of the k cheapest ways back.
func (la *lattice) follow(all [][][]arrival, e arrival) []chosen {
	way := make([]chosen, len(la.layers))
	for i := len(la.layers) - 1; i >= 0; i-- {
		way[i] = la.chosenAt(i, e.node)
		a := all[i][e.node][e.rank]
		e = arrival{0, a.node, a.rank}
	}
	return way
}

// each calls f for every node of a layer.
func (l *layer) each(f func(node int, st *stance, g *grip.Grip, h int32)) {
	for k := range l.stances {
		g := &l.grips[l.stances[k].grip]
		for w, h := range g.Hands {
			f(int(l.first[k])+w, &l.stances[k], g, h)
		}
	}
}

// chosenAt returns a node of a layer as part of a way.
func (la *lattice) chosenAt(i int, node int32) chosen {
	l := &la.layers[i]
	k := l.stanceOf(node)
	g := &l.grips[l.stances[k].grip]
	h := la.n.Hands[g.Hands[node-l.first[k]]]
	return chosen{g, h.Hand, h.Cost, l.unlike(g, h.Hand), l.stances[k].hand}
}
