package arrange

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
)

// Choice is one way to play one moment, with the rest arranged around it as
// well as can be.
type Choice struct {
	Words string  // "string 2 at fret 5"
	Extra float64 // points that the whole costs more than at its cheapest
	Now   bool    // it is part of the cheapest way
	Pin   Pin     // what to pin to have it
}

// Choices answers "what else could I do here": all grips of the moment at a
// place in a bar (as printed: tune.Place), cheapest first,
// each with what the whole piece then costs more, and no other than those that
// can be had by their pin. Key, octave and capo are
// those that Arrange would choose.
func Choices(ctx context.Context, t *tune.Tune, r *rig.Rig, o Options, number int, at tune.Ticks) ([]Choice, error) {
	q, err := newRequest(newWatch(ctx), t, r, o)
	if err != nil {
		return nil, err
	}
	now, err := q.arrange()
	if err != nil {
		return nil, err
	}
	in := now.Setting()
	s, err := q.newSearch(in)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(s.p.moments, func(m moment) bool {
		n, place := s.p.t.Place(m.barIndex, m.at)
		return n == number && place == at
	})
	if low, high := t.NumberRange(); number < low || number > high {
		return nil, refuse("there is no bar \"%d\": bars run from %d to %d", number, low, high)
	}
	if i < 0 {
		return nil, &fault.Fault{Bar: fmt.Sprint(number), Beat: at.String(), Msg: "nothing begins here"}
	}
	s.lattice.keep = true
	_, least, err := s.find()
	if err != nil {
		return nil, err
	}
	togo, err := s.lattice.toGo(i)
	if err != nil {
		return nil, err
	}
	l, m := &s.lattice.layers[i], &s.p.moments[i]
	best := make([]int64, len(l.grips))
	for g := range best {
		best[g] = unreachable
	}
	l.each(func(node int, st *stance, _ *grip.Grip, _ int32) {
		if l.cost[node] != unreachable && togo[node] != unreachable {
			best[st.grip] = min(best[st.grip], l.cost[node]+togo[node])
		}
	})
	var out []Choice
	seen := map[string]bool{}
	for _, gi := range order(best) {
		if best[gi] == unreachable {
			break
		}
		g := &l.grips[gi]
		words := s.n.words(g, m)
		if seen[words] {
			continue
		}
		seen[words] = true
		set := g.Benders
		c := Choice{
			Words: words, Extra: float64(best[gi]-least) / 100, Now: best[gi] == least,
			Pin: Pin{FromBarNumber: number, At: &at, Benders: &set, Whole: true, In: &in},
		}
		for j := range m.Wants {
			if g.Strings[j] > 0 {
				c.Pin.Grip = append(c.Pin.Grip, Stop{int(g.Strings[j]), int(g.Frets[j])})
			}
		}
		if s.n.cheapestPinned(l, m, best, &c.Pin) == gi {
			out = append(out, c)
		}
	}
	return out, nil
}

// cheapestPinned returns the index of the grip that a pin leads to, −1 for none.
func (n *neck) cheapestPinned(l *layer, m *moment, best []int64, p *Pin) int {
	least := -1
	for gi := range l.grips {
		if best[gi] != unreachable && p.allows(n, &l.grips[gi], m) && (least < 0 || best[gi] < best[least]) {
			least = gi
		}
	}
	return least
}

// order returns the indexes of costs from the least up.
func order(costs []int64) []int {
	out := make([]int, len(costs))
	for i := range out {
		out[i] = i
	}
	inorder.Stable(out, func(a, b int) int { return cmp.Compare(costs[a], costs[b]) })
	return out
}

// toGo returns for every node of layer i the least that the rest of the piece
// costs from there.
func (la *lattice) toGo(i int) ([]int64, error) {
	last := len(la.layers) - 1
	after := make([]int64, len(la.layers[last].cost))
	for j := last - 1; j >= i; j-- {
		if err := la.w.moment(); err != nil {
			return nil, err
		}
		a, b := &la.layers[j], &la.layers[j+1]
		ma, mb := &la.p.moments[j].Due, &la.p.moments[j+1].Due
		steps := la.n.StepsAt(mb.Seconds)
		here := make([]int64, len(a.cost))
		a.each(func(from int, sa *stance, ga *grip.Grip, ha int32) {
			here[from] = unreachable
			b.each(func(to int, sb *stance, gb *grip.Grip, hb int32) {
				if after[to] == unreachable || gb.Kind == steel.Lifted && sa.hand != sb.hand {
					return
				}
				st, ok := la.n.Step(sa.hand, ga, gb, ma, mb)
				if !ok {
					return
				}
				c := after[to] + int64(gb.Cost+la.own(b, gb, hb)) + int64(st.Sum()) + int64(steps.After(ha)[hb])
				here[from] = min(here[from], c)
			})
		})
		after = here
	}
	return after, nil
}
