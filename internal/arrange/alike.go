package arrange

import (
	"fmt"
	"slices"
)

// costUnlike is what a stroke costs, in hundredths of a point, that is not
// played as the same stroke of the same bar elsewhere: a bar that comes again is
// learnt once.
const costUnlike = 250

// alike makes bars that come again be played the same way. It looks at a way
// through the piece, takes of each set of bars with the same notes the one that
// is played most often so, of several the cheapest, and puts a price on playing
// the others otherwise. The search must then be run again. It reports whether
// there was anything to do.
func (s *search) alike(way []chosen) bool {
	bars := s.sameBars()
	if len(bars) == 0 {
		return false
	}
	costs := s.explain(way)
	for _, group := range bars {
		best, most, least := 0, 0, 0.0
		for i, from := range group.starts {
			times, cost := 0, 0.0
			for _, other := range group.starts {
				if sameWay(way[from:from+group.n], way[other:other+group.n]) {
					times++
				}
			}
			for _, e := range costs[from : from+group.n] {
				cost += e.Cost
			}
			if i == 0 || times > most || times == most && cost < least {
				best, most, least = i, times, cost
			}
		}
		if most == len(group.starts) {
			continue
		}
		model := group.starts[best]
		for _, from := range group.starts {
			for k := range group.n {
				l := &s.layers[from+k]
				l.grips = slices.Clone(l.grips)
				for g := range l.grips {
					if !sameGrip(&l.grips[g], way[model+k].grip) {
						l.grips[g].habit += costUnlike
						l.grips[g].cost += costUnlike
					}
				}
			}
		}
	}
	return true
}

// sameGrip says whether two grips are the same to the player's hands.
func sameGrip(a, b *grip) bool { return a.strs == b.strs && a.frets == b.frets && a.set == b.set }

func sameWay(a, b []chosen) bool {
	for i := range a {
		if !sameGrip(a[i].grip, b[i].grip) {
			return false
		}
	}
	return true
}

// group is a set of bars with the same notes: the moments at which they start,
// and how many moments each has.
type group struct {
	starts []int
	n      int
}

// sameBars finds the bars that come again with the same notes. Their first
// moment may be reached in another way (a tie into it).
func (s *search) sameBars() []group {
	index := map[string]int{}
	var all []group
	for i := 0; i < len(s.p.moments); {
		j := i
		key := ""
		for ; j < len(s.p.moments) && s.p.moments[j].bar == s.p.moments[i].bar; j++ {
			m := &s.p.moments[j]
			key += fmt.Sprintf("%d %d %t", m.at, m.len, m.grace)
			for _, w := range m.wants {
				key += fmt.Sprintf(" %d.%d.%d.%d", w.key, w.kind, w.voice, w.len)
			}
			key += ";"
		}
		if g, ok := index[key]; ok {
			all[g].starts = append(all[g].starts, i)
		} else {
			index[key] = len(all)
			all = append(all, group{[]int{i}, j - i})
		}
		i = j
	}
	return slices.DeleteFunc(all, func(g group) bool { return len(g.starts) < 2 })
}
