package arrange

import (
	"slices"

	"lapwright/grip"
	"lapwright/tab"
	"lapwright/tune"
)

// holdOver leaves of the layers what plays the notes that ties over jumps lead to
// where a way that was found has them ring already. It reports whether that changed
// anything.
func (s *search) holdOver(way []chosen) bool {
	ties := s.p.perf.TiesOverJumps()
	if len(ties) == 0 {
		return false
	}
	where := map[tune.Ref][2]int{}
	for i := range s.p.moments {
		for j, w := range s.p.moments[i].Wants {
			if w.Kind != grip.Held {
				where[w.Ref] = [2]int{i, j}
			}
		}
	}
	changed := false
	for _, tie := range ties {
		from, ok := where[tie.Held]
		to, ok2 := where[tie.Begun]
		if !ok || !ok2 {
			continue
		}
		was, is := way[from[0]].grip, way[to[0]].grip
		rings := func(g *grip.Grip) bool {
			str := was.Strings[from[1]]
			return str > 0 && g.Strings[to[1]] == str && g.Node == was.Node && tab.SameStop(
				s.n.Geometry.Key(was.Placement, int(str), was.Benders), s.n.Geometry.Key(g.Placement, int(str), g.Benders))
		}
		if was.Strings[from[1]] == 0 || rings(is) {
			continue
		}
		l := &s.lattice.layers[to[0]]
		kept := slices.DeleteFunc(slices.Clone(l.grips), func(g grip.Grip) bool { return !rings(&g) })
		if len(kept) > 0 {
			l.grips = kept
			changed = true
		}
	}
	return changed
}

// better settles a result again with the ties over jumps held, and returns the
// better of both.
func (s *search) better(res *Result, way []chosen, again func() (*search, error)) (*Result, error) {
	if len(tab.HoldOverJumps(res.Tab)) == 0 {
		return res, nil
	}
	other, err := again()
	if err != nil {
		return nil, err
	}
	if !other.holdOver(way) {
		return res, nil
	}
	held, cost, err := other.find()
	if err != nil {
		if s.w.ctx.Err() != nil {
			return nil, s.w.ctx.Err()
		}
		return res, nil // held on, the tune can't be played at all
	}
	out, err := other.result(held, cost, res.Transposed)
	if err != nil {
		return nil, err
	}
	if len(out.Tab.Compromises) < len(res.Tab.Compromises) && out.Tab.Lost() <= res.Tab.Lost() {
		return out, nil
	}
	return res, nil
}
