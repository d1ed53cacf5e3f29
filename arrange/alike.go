package arrange

import (
	"cmp"
	"encoding/binary"
	"slices"
	"strconv"

	"lapwright/grip"
	"lapwright/tune"
)

// alike makes bars that come again be played the same way, and half bars too
// where the rest of the bar is another. It looks at a way through the piece,
// takes of each set of bars with the same notes the one that is played most
// often so, of several the cheapest, and puts a price on playing the others
// otherwise. The search must then be run again. It reports whether there was
// anything to do.
func (s *search) alike(way []chosen) (changed bool, err error) {
	costs, err := s.finished(way).costs()
	if err != nil {
		return false, err
	}
	model := make([]int, len(way)) // the moment that each should be played like
	for i := range model {
		model[i] = i
	}
	differ := false
	var all []group
	for _, halves := range [2]bool{false, true} {
		for _, g := range s.samePhrases(halves) {
			best, unanimous := g.best(&s.lattice.work, way, model, costs)
			differ = differ || !unanimous
			like := slices.Clone(model[best : best+g.n])
			for _, from := range g.starts {
				copy(model[from:], like)
			}
			all = append(all, g)
		}
	}
	if !differ {
		return false, nil
	}
	priced := make([]bool, len(way))
	dearer := map[keptTo][]grip.Grip{}
	for _, g := range all { // whole bars come first
		price := s.o.prices().Unlike
		if g.half {
			price = s.o.prices().UnlikeHalf
		}
		for _, from := range g.starts {
			for i := from; i < from+g.n; i++ {
				if !priced[i] {
					priced[i] = true
					s.lattice.layers[i].keepTo(&way[model[i]], price, dearer)
					s.lattice.layers[i].fingers = s.o.prices().UnlikeFinger
				}
			}
		}
	}
	return true, nil
}

// keptTo names grips with a price on all but one of them. Layers that share their
// grips go on sharing them: a phrase that comes a hundred times is kept once.
type keptTo struct {
	grips, so *grip.Grip
	n         int
	price     int32
}

// keepTo puts a price on playing a layer otherwise than so.
func (l *layer) keepTo(so *chosen, price int32, dearer map[keptTo][]grip.Grip) {
	l.model = so
	if len(l.grips) == 0 {
		return
	}
	name := keptTo{&l.grips[0], so.grip, len(l.grips), price}
	if grips, ok := dearer[name]; ok {
		l.grips = grips
		return
	}
	l.grips = slices.Clone(l.grips)
	dearer[name] = l.grips
	for g := range l.grips {
		if !sameGrip(&l.grips[g], so.grip) {
			l.grips[g].Habit += price
			l.grips[g].Cost += price
		}
	}
}

// unlike returns what it costs in a layer to play a grip with other fingers than
// the same grip at the same place elsewhere.
func (l *layer) unlike(g *grip.Grip, h grip.Hand) int32 {
	if l.model != nil && l.model.hand != h && sameGrip(g, l.model.grip) {
		return l.fingers
	}
	return 0
}

// sameGrip reports whether two grips are the same to the player's hands.
func sameGrip(a, b *grip.Grip) bool {
	return a.Strings == b.Strings && a.Frets == b.Frets && a.Benders == b.Benders && a.Acts == b.Acts
}

// group is a set of phrases with the same notes: the moments at which they
// start, and how many moments each has.
type group struct {
	starts []int
	n      int
	half   bool
}

// best returns the start of the phrase to take as the model, and whether all are
// played alike already: in the way, but as its model where a moment has one.
func (g *group) best(work *Work, way []chosen, model []int, costs []float64) (start int, unanimous bool) {
	// How a phrase is played, as text, so that equal ones are counted and not
	// compared each with each.
	grips, hands := make([]string, len(g.starts)), make([]string, len(g.starts))
	timesGrips, timesHands := map[string]int{}, map[string]int{}
	var key []byte
	for i, from := range g.starts {
		work.Compared += int64(g.n)
		key = key[:0]
		for k := range g.n {
			key = appendKey(key, way[model[from+k]].grip)
		}
		grips[i] = string(key)
		for k := range g.n {
			h := &way[model[from+k]].hand
			key = append(key, byte(h.Thumb), byte(h.ThumbEnd), byte(h.Index), byte(h.Middle))
		}
		hands[i] = string(key)
		timesGrips[grips[i]]++
		timesHands[hands[i]]++
	}
	most, least := 0, 0.0
	for i, from := range g.starts {
		cost := 0.0
		for k := range g.n {
			cost += costs[model[from+k]]
		}
		byGrips := cmp.Compare(timesGrips[grips[i]], timesGrips[grips[most]])
		byHands := cmp.Compare(timesHands[hands[i]], timesHands[hands[most]])
		if i == 0 || cmp.Or(byGrips, byHands, cmp.Compare(least, cost)) > 0 {
			most, start, least = i, from, cost
		}
	}
	return start, timesHands[hands[most]] == len(g.starts)
}

// appendKey writes down what sameGrip compares.
func appendKey(key []byte, g *grip.Grip) []byte {
	for i := range g.Strings {
		key = append(key, byte(g.Strings[i]), byte(g.Frets[i]), byte(g.Acts[i]))
	}
	return binary.LittleEndian.AppendUint16(key, uint16(g.Benders))
}

// samePhrases finds the bars, or the halves of bars, that come again: the same
// pitches at the same places. How long the last note lasts and how the first is
// reached may differ. Half a bar needs two moments to be a phrase.
func (s *search) samePhrases(halves bool) []group {
	index := map[string]int{}
	var all []group
	var key []byte
	second := func(m *moment) bool { return halves && 2*m.at >= s.p.t.Bars[m.barIndex].Len }
	for i := 0; i < len(s.p.moments); {
		first := &s.p.moments[i]
		var start tune.Ticks
		if second(first) {
			start = s.p.t.Bars[first.barIndex].Len / 2
		}
		j := i
		key = key[:0]
		for ; j < len(s.p.moments) && s.p.moments[j].barIndex == first.barIndex && second(&s.p.moments[j]) == second(first); j++ {
			m := &s.p.moments[j]
			key = binary.AppendVarint(key, int64(m.at-start))
			key = strconv.AppendBool(key, m.grace)
			for _, w := range m.Wants {
				key = binary.AppendVarint(append(key, ' '), int64(w.Key))
				key = binary.AppendVarint(key, int64(w.Voice))
			}
			key = append(key, ';')
		}
		at, ok := index[string(key)]
		switch {
		case halves && j-i < 2:
		case ok:
			all[at].starts = append(all[at].starts, i)
		default:
			index[string(key)] = len(all)
			all = append(all, group{[]int{i}, j - i, halves})
		}
		i = j
	}
	return slices.DeleteFunc(all, func(g group) bool { return len(g.starts) < 2 })
}
