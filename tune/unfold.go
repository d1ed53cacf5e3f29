package tune

import (
	"fmt"
	"slices"
	"unicode"

	"lapwright/fault"
)

// Pass is one playing of a written bar.
type Pass struct {
	BarIndex int   // index into Tune.Bars
	Start    Ticks // from the start of the piece, in sounding order
}

// The bounds on an unfolded piece. A piece of more passes, or longer than
// MaxWholes, is a fault: no real music comes near them and hostile repeats do.
const (
	MaxPasses    = 100_000
	MaxPartDepth = 16 // brackets within brackets in a part order
)

// Unfold returns the bars in the order in which they sound.
//
// The rules, all common practice:
//   - A repeat goes back to the last sign that opens one, else to the bar after
//     the last repeat, else to the start of the part or piece. Repeats do not
//     nest.
//   - Of a group of adjacent endings each pass plays the ending that lists it;
//     the section is played once for every number listed. A repeat sign at
//     the end of the last of several endings adds no pass. A single
//     ending with a repeat sign is left out on the last pass.
//   - With a PartOrder ("AAB", "A(AB)3", "A2.B"), bars before the first part are
//     played first, then each part as ordered, its own repeats included.
//   - Segno and Coda stand at the start of their bar (of the next one when
//     placed at the end of a bar); every other sign acts when its bar, with its
//     repeats, has been played. Each jump is taken once. After a jump
//     repeats are not taken and the last ending is played; Fine then ends the
//     piece and ToCoda then goes to the Coda, unless the jump named the other.
//
// A sign that can't be followed is passed over and becomes a fault; when the
// piece would be longer than the bounds the written order is given.
func Unfold(t *Tune) ([]Pass, fault.List) {
	var faults fault.List
	w := &walker{t: t, faults: &faults}
	w.road = w.layRoad()
	w.groups = endingGroups(t, &faults)
	if passes, ok := w.walk(); ok {
		return passes, faults
	}
	faults.Add(&fault.Fault{Msg: fmt.Sprintf("with its repeats the piece is longer than %d bars or %d whole notes", MaxPasses, MaxWholes)})
	passes := make([]Pass, 0, min(len(t.Bars), MaxPasses))
	var at Ticks
	for i := range t.Bars {
		if len(passes) == MaxPasses || at > MaxWholes*Whole {
			break
		}
		passes = append(passes, Pass{i, at})
		at += t.Bars[i].Len
	}
	return passes, faults
}

// stretch is a run of bars [lo, hi) that repeats stay inside.
type stretch struct{ lo, hi int }

// walker plays a tune bar by bar.
type walker struct {
	t      *Tune
	faults *fault.List
	road   []stretch
	groups map[int]*endingGroup // by every bar that begins an ending

	out    []Pass
	at     Ticks
	pos    place           // the bar to play next
	back   place           // where a repeat goes
	pass   int             // of the section that begins at back
	jumped SignKind        // the jump last taken, 0 for none
	done   map[[2]int]bool // signs followed, or told of, by bar and index
}

// layRoad returns the stretches of bars in the order that the parts ask for.
func (w *walker) layRoad() []stretch {
	t := w.t
	whole := []stretch{{0, len(t.Bars)}}
	if t.PartOrder == "" {
		return whole
	}
	order, err := ParsePartOrder(t.PartOrder)
	if err != nil {
		w.faults.Add(&fault.Fault{Msg: err.Error()})
		return whole
	}
	parts := map[string]stretch{}
	first, last := -1, ""
	for i := range t.Bars {
		label := t.Bars[i].Part
		if label == "" {
			continue
		}
		if first < 0 {
			first = i
		}
		if s, ok := parts[last]; ok {
			parts[last] = stretch{s.lo, i}
		}
		if _, ok := parts[label]; ok {
			w.faults.Add(barFault(w.t, i, fmt.Sprintf("part %q begins a second time, so its place in the part order is unclear", label)))
			last = ""
			continue
		}
		parts[label] = stretch{i, -1}
		last = label
	}
	if s, ok := parts[last]; ok {
		parts[last] = stretch{s.lo, len(t.Bars)}
	}
	var road []stretch
	if first > 0 {
		road = append(road, stretch{0, first})
	}
	missing := map[rune]bool{}
	for _, r := range order {
		s, ok := parts[string(r)]
		if !ok {
			if !missing[r] {
				w.faults.Add(&fault.Fault{Msg: fmt.Sprintf("the part order %q names part %q, which is not there", t.PartOrder, string(r))})
			}
			missing[r] = true
			continue
		}
		road = append(road, s)
	}
	if len(missing) > 0 || len(road) == 0 {
		return whole
	}
	return road
}

// ParsePartOrder spells out a part order such as "AB2(CD)3" as one label a
// playing: "ABBCDCDCD". Dots and spaces only separate. It fails on anything
// else, on unmatched brackets, on brackets more than MaxPartDepth deep and on
// orders of more than MaxPasses parts.
func ParsePartOrder(s string) ([]rune, error) {
	type open struct{ start int }
	var (
		out   []rune
		stack []open
		group = -1 // start in out of what a count would repeat; −1 for nothing
	)
	runes := []rune(s)
	for i := 0; i < len(runes); i++ {
		r := runes[i]
		switch {
		case r == '.' || unicode.IsSpace(r):
			group = -1
		case r == '(':
			if len(stack) == MaxPartDepth {
				return nil, fmt.Errorf("the part order has brackets more than %d deep", MaxPartDepth)
			}
			stack = append(stack, open{len(out)})
			group = -1
		case r == ')':
			if len(stack) == 0 {
				return nil, fmt.Errorf("the part order %q closes a bracket that it did not open", fault.Clip(s))
			}
			group = stack[len(stack)-1].start
			stack = stack[:len(stack)-1]
		case r >= '0' && r <= '9':
			n, j := 0, i
			for j < len(runes) && runes[j] >= '0' && runes[j] <= '9' {
				n = min(n*10+int(runes[j]-'0'), MaxPasses+1)
				j++
			}
			if group < 0 || n == 0 {
				return nil, fmt.Errorf("the part order %q has a count %q with nothing to repeat", fault.Clip(s), fault.Clip(string(runes[i:j])))
			}
			if (len(out)-group)*n+group > MaxPasses {
				return nil, fmt.Errorf("the part order %q plays more than %d parts", fault.Clip(s), MaxPasses)
			}
			once := slices.Clone(out[group:])
			for range n - 1 {
				out = append(out, once...)
			}
			i, group = j-1, -1
		case unicode.IsLetter(r):
			group = len(out)
			out = append(out, r)
			if len(out) > MaxPasses {
				return nil, fmt.Errorf("the part order plays more than %d parts", MaxPasses)
			}
		default:
			return nil, fmt.Errorf("the part order %q has %q, which is neither a part, a count nor a bracket", fault.Clip(s), string(r))
		}
	}
	if len(stack) > 0 {
		return nil, fmt.Errorf("the part order %q opens a bracket that it does not close", fault.Clip(s))
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("the part order %q names no part", fault.Clip(s))
	}
	return out, nil
}

// endingGroup is a run of adjacent endings.
type endingGroup struct {
	endings []ending
	numbers []int // every pass number listed, ascending
	open    bool  // a single ending with a repeat sign: skipped on a last pass more
}

type ending struct {
	first, last int // bars, inclusive
	numbers     []int
}

// passes is how often the section before the endings is played.
func (g *endingGroup) passes() int {
	if g.open {
		return len(g.numbers) + 1
	}
	return len(g.numbers)
}

// after returns the bar after the last of the endings.
func (g *endingGroup) after() int { return g.endings[len(g.endings)-1].last + 1 }

// pick returns the ending to play on a pass (from 1), or nil for none.
func (g *endingGroup) pick(pass int) *ending {
	if pass > len(g.numbers) {
		if g.open {
			return nil
		}
		pass = len(g.numbers)
	}
	for i := range g.endings {
		if slices.Contains(g.endings[i].numbers, g.numbers[pass-1]) {
			return &g.endings[i]
		}
	}
	return nil
}

// endingGroups finds the runs of adjacent endings, by every bar that begins one.
func endingGroups(t *Tune, faults *fault.List) map[int]*endingGroup {
	groups := map[int]*endingGroup{}
	var g *endingGroup
	for i := 0; i < len(t.Bars); i++ {
		if len(t.Bars[i].Endings) == 0 {
			g = nil
			continue
		}
		last := i
		for last+1 < len(t.Bars) && !t.Bars[last].EndingEnds && t.Bars[last].Right.Repeat == 0 && len(t.Bars[last+1].Endings) == 0 && t.Bars[last+1].Left.Repeat == 0 {
			last++
		}
		if g == nil || t.Bars[i].Left.Repeat > 0 {
			g = &endingGroup{}
		}
		groups[i] = g
		g.endings = append(g.endings, ending{i, last, t.Bars[i].Endings})
		for _, n := range t.Bars[i].Endings {
			if slices.Contains(g.numbers, n) {
				faults.Add(barFault(t, i, fmt.Sprintf("ending %d comes twice, so it is not clear which to play", n)))
				continue
			}
			g.numbers = append(g.numbers, n)
		}
		slices.Sort(g.numbers)
		g.open = len(g.endings) == 1 && t.Bars[last].Right.Repeat > 0
		i = last
	}
	return groups
}

func barFault(t *Tune, bar int, msg string) *fault.Fault {
	return &fault.Fault{Bar: fmt.Sprint(t.Bars[bar].Number), Msg: msg}
}

// place is a spot on the road: a stretch and a bar in it.
type place struct{ leg, bar int }

// section begins a new one at the bar to play next.
func (w *walker) section() { w.back, w.pass = w.pos, 1 }

// walk plays the road to its end; false when that would pass the bounds.
func (w *walker) walk() ([]Pass, bool) {
	if len(w.road) == 0 {
		return nil, true
	}
	w.done = map[[2]int]bool{}
	w.pos.bar = w.road[0].lo
	w.section()
	// A step can play nothing when it passes over endings, so steps are bounded
	// apart from passes.
	for range 4 * MaxPasses {
		for w.pos.leg < len(w.road) && w.pos.bar >= w.road[w.pos.leg].hi {
			w.pos.leg++
			if w.pos.leg < len(w.road) {
				w.pos.bar = w.road[w.pos.leg].lo
			}
			w.section()
		}
		if w.pos.leg >= len(w.road) {
			return w.out, true
		}
		ends, ok := w.step()
		if !ok {
			return nil, false
		}
		if ends {
			return w.out, true
		}
	}
	return nil, false
}

// step plays one bar, or one ending, and finds what comes after. It ends the
// piece at a Fine; ok is false when the piece passes the bounds.
func (w *walker) step() (ends, ok bool) {
	if w.t.Bars[w.pos.bar].Left.Repeat > 0 && w.pos != w.back {
		w.section()
	}
	g := w.groups[w.pos.bar]
	last := w.pos.bar
	if g != nil {
		turn := w.pass
		if w.jumped != 0 {
			turn = g.passes()
		}
		e := g.pick(turn)
		if e == nil {
			// The group has been played as often as it asks.
			w.pos.bar = g.after()
			w.section()
			return false, true
		}
		w.pos.bar, last = e.first, min(e.last, w.road[w.pos.leg].hi-1)
	}
	for i := w.pos.bar; i <= last; i++ {
		if len(w.out) >= MaxPasses || w.at > MaxWholes*Whole {
			return false, false
		}
		w.out = append(w.out, Pass{i, w.at})
		w.at += w.t.Bars[i].Len
		if w.again(i, g) {
			continue // signs wait for the last time round
		}
		to, leaps, stops := w.follow(i)
		if stops {
			return true, true
		}
		if leaps {
			w.pos = to
			w.section()
			return false, true
		}
	}
	w.goOn(last, g)
	return false, true
}

// again reports whether the section is to be repeated from the end of a bar.
func (w *walker) again(bar int, g *endingGroup) bool {
	right := w.t.Bars[bar].Right.Repeat
	switch {
	case right == 0 || w.jumped != 0:
		return false
	case g != nil:
		return w.pass < g.passes()
	}
	return w.pass <= right
}

// follow obeys the signs of a bar that has been played: it says where they lead,
// or that the piece stops.
func (w *walker) follow(bar int) (to place, leaps, stops bool) {
	for j, s := range w.t.Bars[bar].Signs {
		id := [2]int{bar, j}
		switch {
		case s.Kind == Fine:
			if w.jumped != 0 && w.jumped != DaCapoAlCoda && w.jumped != DalSegnoAlCoda {
				return place{}, false, true
			}
		case s.Kind == ToCoda:
			if w.jumped == 0 || w.jumped == DaCapoAlFine || w.jumped == DalSegnoAlFine || w.done[id] {
				continue
			}
			w.done[id] = true
			if to, ok := w.find(Coda, place{w.pos.leg, bar}); ok {
				return to, true, false
			}
			w.faults.Add(barFault(w.t, bar, "goes to a coda that is not there"))
		case s.Kind >= DaCapo && !w.done[id]:
			w.done[id] = true
			to, ok := place{0, w.road[0].lo}, true
			if s.Kind == DalSegno || s.Kind == DalSegnoAlFine || s.Kind == DalSegnoAlCoda {
				to, ok = w.find(Segno, place{})
			}
			switch {
			case !ok:
				w.faults.Add(barFault(w.t, bar, "goes back to a segno that is not there"))
			case to.leg > w.pos.leg || to.leg == w.pos.leg && to.bar > bar:
				w.faults.Add(barFault(w.t, bar, "goes back to a segno that comes later"))
			default:
				w.jumped = s.Kind
				return to, true, false
			}
		}
	}
	return place{}, false, false
}

// goOn sets the bar after one that has been played to its end, when no sign
// leads elsewhere.
func (w *walker) goOn(last int, g *endingGroup) {
	switch {
	case w.jumped == 0 && (g != nil && w.pass < g.passes() || g == nil && w.again(last, nil)):
		w.pos, w.pass = w.back, w.pass+1
	case g != nil:
		w.pos.bar = max(last+1, g.after())
		w.section()
	default:
		w.pos.bar = last + 1
		if w.t.Bars[last].Right.Repeat > 0 {
			w.section()
		}
	}
}

// find returns the first place on the road, not before from, with a sign.
func (w *walker) find(kind SignKind, from place) (place, bool) {
	for leg := from.leg; leg < len(w.road); leg++ {
		lo := w.road[leg].lo
		if leg == from.leg {
			lo = max(lo, from.bar)
		}
		for i := lo; i < w.road[leg].hi; i++ {
			for _, s := range w.t.Bars[i].Signs {
				if s.Kind != kind {
					continue
				}
				if s.At >= w.t.Bars[i].Len && i+1 < w.road[leg].hi {
					return place{leg, i + 1}, true
				}
				return place{leg, i}, true
			}
		}
	}
	return place{}, false
}
