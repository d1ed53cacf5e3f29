package spacing

import (
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/sheet/score"
	"lapwright/tune"
)

// spacer sets out scores of the same bars, one under the other, across lines of the
// given width.
type spacer struct {
	*score.Score // the uppermost, whose barlines, keys and times stand for all
	all          []*score.Score
	width        float64
}

// Set breaks a score into lines of the given width, in staff spaces, and says how.
func Set(s *score.Score, width float64) ([]*System, Breaks) {
	lines, breaks := SetTogether([]*score.Score{s}, width)
	var out []*System
	for _, line := range lines {
		out = append(out, line[0])
	}
	return out, breaks
}

// SetTogether breaks scores of the same bars into the same lines, so that what sounds
// together stands under one another: for each line a system of each. There must be one
// score at least, and each bar must be as long, in the same key and time, in all.
func SetTogether(all []*score.Score, width float64) ([][]*System, Breaks) {
	sp := &spacer{all[0], all, width}
	lines, breaks := sp.lines(sp.segments())
	var out [][]*System
	for i, line := range lines {
		var next *seg
		if i+1 < len(lines) {
			next = lines[i+1][0]
		}
		out = append(out, sp.place(line, next, i))
	}
	return out, breaks
}

// slot is one instant of a bar: the node of each score, nil where a score has none.
type slot []*score.Node

// slots lists the instants of a bar in order.
func (s *spacer) slots(bar int) []slot {
	var out []slot
	for k, sc := range s.all {
		i := 0
		for _, nd := range sc.Bars[bar].Nodes {
			for i < len(out) && out[i].before(nd) {
				i++
			}
			if i == len(out) || !out[i].at(nd) {
				out = slices.Insert(out, i, make(slot, len(s.all)))
			}
			out[i][k] = nd
		}
	}
	return out
}

// any returns a node of the instant.
func (x slot) any() *score.Node {
	for _, nd := range x {
		if nd != nil {
			return nd
		}
	}
	return nil
}

// before and at report whether an instant lies before that of a node, or is the same.
func (x slot) before(nd *score.Node) bool {
	a := x.any()
	return a.At < nd.At || a.At == nd.At && a.Grace < nd.Grace
}

func (x slot) at(nd *score.Node) bool {
	a := x.any()
	return a.At == nd.At && a.Grace == nd.Grace
}

// ideal is the distance from instant i of a bar to the next at natural spacing: what
// the score has for itself, and for several scores what their shortest note asks.
func (s *spacer) ideal(bar int, all []slot, i int) float64 {
	if len(s.all) == 1 || all[i].any().Grace < 0 {
		return all[i].any().Ideal
	}
	next := s.Bars[bar].Bar.Len
	for _, x := range all[i+1:] {
		if x.any().Grace == 0 {
			next = x.any().At
			break
		}
	}
	var notes []*score.Note
	for _, nd := range all[i] {
		if nd != nil {
			notes = append(notes, nd.Notes...)
		}
	}
	return s.Ideal(notes, next-all[i].any().At)
}

// seg is a bar, or a part of a bar that is too long for one line.
type seg struct {
	m     *score.Measure // of the uppermost score
	slots []slot         // its instants
	from  int            // where they begin among the bar's
	first bool           // begins its bar
	last  bool           // ends its bar
	links []link
	nat   float64 // length at natural spacing
	min   float64 // shortest length without collisions
	ideal float64 // the stretchable part of nat
}

// link is the distance between two neighbouring places of a segment: its left
// edge, its instants and its right edge.
type link struct{ min, ideal float64 }

func (l link) stretched(force float64) float64 { return max(l.min, l.ideal*force) }

// rod is the least distance between two places that need not be neighbours.
type rod struct {
	a, b int
	d    float64
}

// segment measures instants from … to−1 of a bar.
func (s *spacer) segment(m *score.Measure, all []slot, from, to int) *seg {
	g := &seg{m: m, slots: all[from:to], from: from, first: from == 0, last: to == len(all)}
	n := len(g.slots)
	g.links = make([]link, n+1)
	for i := range g.slots {
		g.links[i+1].ideal = s.ideal(m.Index, all, from+i)
	}
	var rods []rod
	pads := func(lane int) (between, start, end float64) {
		switch {
		case lane == score.LaneStaff:
			return score.PadStaff, score.PadBarline, score.PadToBar
		case lane == score.LaneTab:
			return score.PadTab, score.PadBarline, score.PadToBar
		case lane == score.LaneChord:
			return score.PadChord, 0, 0.3
		case lane >= score.LaneLyric:
			return score.PadLyric, 0.3, 0.4
		}
		return score.PadLabel, 0.3, 0.3
	}
	for i := range len(s.all) * score.Lanes {
		k, lane := i/score.Lanes, i%score.Lanes
		between, start, end := pads(lane)
		if !g.first {
			start = min(start, 0.3)
		}
		prev := -1
		for i, x := range g.slots {
			nd := x[k]
			if nd == nil || !nd.Has[lane] {
				continue
			}
			switch {
			case prev < 0:
				lead := start
				if lane == score.LaneTab && !g.first && nd.Joins() {
					lead = s.JoinWidth() // the number that it comes from is on the line before
				}
				rods = append(rods, rod{0, i + 1, nd.Left[lane] + lead})
			default:
				pad := between
				if g.slots[prev][k].Grace < 0 && lane <= score.LaneTab {
					pad = score.GraceGap
				}
				switch {
				case lane == score.LaneTab && nd.Joins():
					pad = max(score.PadGlide, s.JoinWidth())
				case lane == score.LaneTab && g.slots[prev][k].Glides():
					pad = score.PadGlide
				}
				rods = append(rods, rod{prev + 1, i + 1, g.slots[prev][k].Right[lane] + nd.Left[lane] + pad})
			}
			prev = i
		}
		if prev >= 0 {
			rods = append(rods, rod{prev + 1, n + 1, g.slots[prev][k].Right[lane] + end})
		}
	}
	// Every instant needs some room of its own, even one with nothing on it.
	for i := range g.slots {
		rods = append(rods, rod{i + 1, i + 2, 0.4})
	}
	rods = append(rods, rod{0, 1, 0.3})
	inorder.Stable(rods, func(a, b rod) int { return (a.b - a.a) - (b.b - b.a) })
	for _, r := range rods {
		g.stretchTo(r)
	}
	for _, l := range g.links {
		g.nat += l.stretched(1)
		g.min += l.min
		g.ideal += l.ideal
	}
	return g
}

// stretchTo raises the least lengths under a rod until it fits, the wider
// links more than the narrow ones.
func (g *seg) stretchTo(r rod) {
	sum, weight := 0.0, 0.0
	for _, l := range g.links[r.a:r.b] {
		sum += l.min
		weight += l.ideal + 0.1
	}
	short := r.d - sum
	if short <= 0 {
		return
	}
	for i := r.a; i < r.b; i++ {
		g.links[i].min += short * (g.links[i].ideal + 0.1) / weight
	}
}

// segments cuts the score into what lines are made of. A bar that would fill
// more than most of a line is cut between instants.
func (s *spacer) segments() []*seg {
	var out []*seg
	for _, m := range s.Bars {
		if m.Skip {
			continue
		}
		all := s.slots(m.Index)
		g := s.segment(m, all, 0, len(all))
		room := s.width - s.startBlock(g).w - 2
		if g.min <= room {
			out = append(out, g)
			continue
		}
		var ends, cuts []int
		for from := 0; from < len(all); {
			to := from + 1
			for to < len(all) && s.segment(m, all, from, to+1).min < room*0.45 {
				to++
			}
			for to < len(all) && (all[to].any().Grace < 0 || all[to-1].any().Grace < 0) {
				to++ // graces stay with what they stand before
			}
			if to < len(all) {
				cuts = append(cuts, to)
			}
			ends = append(ends, to)
			from = to
		}
		s.recut(m.Index, all, cuts)
		from := 0
		for _, to := range ends {
			out = append(out, s.segment(m, all, from, to))
			from = to
		}
	}
	return out
}

// recut makes a bar of every score ready again that is cut at the given instants.
func (s *spacer) recut(bar int, all []slot, cuts []int) {
	for k, sc := range s.all {
		m := sc.Bars[bar]
		var own []int
		for _, c := range cuts {
			n := 0 // its nodes before the cut
			for _, x := range all[:c] {
				if x[k] != nil {
					n++
				}
			}
			if n > 0 && n < len(m.Nodes) && !slices.Contains(own, n) {
				own = append(own, n)
			}
		}
		sc.Recut(m, own)
	}
}

// Breaks says how the lines of a piece were broken.
type Breaks struct {
	Lines   []LineFill
	Demerit float64 // the sum that was made least
}

// LineFill is one line of the piece.
type LineFill struct {
	FirstBarIndex int     // index into Tune.Bars
	Bars          int     // how many bars begin in it
	Ratio         float64 // stretch (positive) or squeeze (negative) against natural spacing; 1 is the most that looks well
	Badness       float64 // 100·|Ratio|³
}

const forbidden = 1e12

// maxSqueeze is the ratio at which a line is as short as it can be: things are
// as near one another as they may come.
const maxSqueeze = -1 / 0.6

// ratio returns how far a line of natural length nat, least length least and
// stretchable length ideal is stretched or squeezed to fill width. Below
// maxSqueeze it does not fit.
func ratio(width, nat, least, ideal float64) float64 {
	switch d := width - nat; {
	case d >= 0:
		if ideal <= 0 {
			return 10
		}
		return d / (0.6 * ideal)
	case nat-least > 1e-9:
		return d / (0.6 * (nat - least))
	}
	return -10
}

// badness is the cube law of Knuth and Plass, Breaking Paragraphs into Lines,
// Software: Practice and Experience 11 (1981): 100·|r|³.
func badness(r float64) float64 { return 100 * math.Abs(r*r*r) }

// BreakLines finds the breaks of least total cost over the whole piece: the
// total-fit method of Knuth and Plass. There are n items; cost(a, b) is the
// cost of a line with items a … b−1, and +Inf when they do not fit, which then
// holds for every longer line from a too. It gives the first item of each line.
// A single item always makes a line, at the cost forbidden when it does not fit.
func BreakLines(n int, cost func(a, b int) float64) (starts []int, total float64) {
	best := make([]float64, n+1)
	from := make([]int, n+1)
	for i := 1; i <= n; i++ {
		best[i] = math.Inf(1)
	}
	for a := range n {
		for b := a + 1; b <= n; b++ {
			c := cost(a, b)
			if math.IsInf(c, 1) {
				if b > a+1 {
					break
				}
				c = forbidden
			}
			if v := best[a] + c; v < best[b] {
				best[b], from[b] = v, a
			}
		}
	}
	for i := n; i > 0; i = from[i] {
		starts = append(starts, from[i])
	}
	slices.Reverse(starts)
	return starts, best[n]
}

// lines breaks segments into systems of the given width.
func (s *spacer) lines(segs []*seg) ([][]*seg, Breaks) {
	n := len(segs)
	sum := make([][3]float64, n+1) // natural, least, stretchable, with the barlines inside the line
	for i, g := range segs {
		sum[i+1] = sum[i]
		sum[i+1][0] += g.nat
		sum[i+1][1] += g.min
		sum[i+1][2] += g.ideal
		if i+1 < n && g.last {
			w := s.midBlock(g, segs[i+1]).w
			sum[i+1][0] += w
			sum[i+1][1] += w
		}
	}
	starts := make([]float64, n)
	ends := make([]float64, n)
	for i, g := range segs {
		starts[i] = s.startBlock(g).w
		var next *seg
		if i+1 < n {
			next = segs[i+1]
		}
		ends[i] = s.endBlock(g, next).w
		if next != nil && g.last {
			ends[i] -= s.midBlock(g, next).w // the sums have it
		}
	}
	measure := func(a, b int) float64 {
		fixed := starts[a] + ends[b-1]
		r := ratio(s.width, sum[b][0]-sum[a][0]+fixed, sum[b][1]-sum[a][1]+fixed, sum[b][2]-sum[a][2])
		if b == n && r > 0 && a > 0 {
			r = max(0, r-1.2) // the last line may be loose, or short
		}
		return r
	}
	cost := func(a, b int) float64 {
		r := measure(a, b)
		if r < maxSqueeze {
			return math.Inf(1)
		}
		d := (1 + badness(r)) * (1 + badness(r))
		g := segs[b-1]
		switch m := s.Last(g.m); {
		case b == n:
			if b-a == 1 && n > 3 {
				d += 3e4 // a lone last bar
			}
		case !g.last:
			d += 1e6 // inside a bar
		case m.Bar.Right.Repeat > 0 || m.Bar.Right.Style == tune.DoubleBarline || m.Bar.Right.Style == tune.FinalBarline || m.Bar.EndingEnds:
			d -= 400
		case m.Bar.LineBreak:
			d -= 250
		}
		if b < n && segs[b].m.Bar.Endings != nil && !endsRepeat(s.Last(g.m)) {
			d += 400 // keep the first ending with what leads to it
		}
		return d
	}
	first, total := BreakLines(n, cost)
	var out [][]*seg
	report := Breaks{Demerit: total}
	for i, a := range first {
		b := n
		if i+1 < len(first) {
			b = first[i+1]
		}
		out = append(out, segs[a:b])
		r := measure(a, b)
		bars := 0
		for _, g := range segs[a:b] {
			if g.first {
				bars += max(g.m.Rests, 1)
			}
		}
		report.Lines = append(report.Lines, LineFill{FirstBarIndex: segs[a].m.Index, Bars: bars, Ratio: r, Badness: badness(r)})
	}
	return out, report
}

func endsRepeat(m *score.Measure) bool { return m.Bar.Right.Repeat > 0 }

// force finds the stretch at which the links of a line fill the given length:
// a bisection, since every link grows with the force. It reports the length
// that it reached.
func force(segs []*seg, length float64) (f, reached float64) {
	total := func(f float64) float64 {
		sum := 0.0
		for _, g := range segs {
			for _, l := range g.links {
				sum += l.stretched(f)
			}
		}
		return sum
	}
	lo, hi := 0.0, 1.0
	for total(hi) < length && hi < 1e4 {
		hi *= 2
	}
	for range 60 {
		mid := (lo + hi) / 2
		if total(mid) < length {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, total(lo)
}
