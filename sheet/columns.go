package sheet

import (
	"cmp"
	"math"
	"slices"

	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/tab"
	"lapwright/tune"
)

// Distances in staff spaces that keep neighbours apart.
const (
	padStaff    = 0.45 // between the ink of two instants on the staff
	padTab      = 0.55 // between two tab numbers
	padGlide    = 2.0  // between two tab numbers that a glide joins
	padJoin     = 0.35 // on either side of the letter of a hammer or pull
	padChord    = 0.9
	padLabel    = 0.45
	padLyric    = 0.7
	padHyphen   = 1.5
	padBarline  = 1.1 // from a barline to what follows it
	padToBar    = 0.7 // from what is last in a bar to its barline
	headWidth   = 1.18
	graceGap    = 0.35
	wholeAtHalf = headWidth / 2 // from an instant's x to the middle of its noteheads
)

// space is the distance from one instant to the next at natural spacing for a
// note of the given length: 3.6 staff spaces for a quarter, times √2 for each
// doubling. That is the ratio of Gould, Behind Bars (2011), chapter 2, whose
// eighth, quarter, half and whole note take 2½, 3½, 5 and 7 (from memory).
func (s *score) space(d tune.Ticks) float64 {
	if d <= 0 {
		return 2
	}
	q := float64(d) / float64(tune.Whole/4)
	return min(3.6*math.Sqrt(q), 16) * s.st.loose
}

// setBar prepares everything of a bar that does not depend on where it stands
// in a line.
func (s *score) setBar(m *measure) {
	if m.skip {
		return
	}
	for _, n := range m.notes {
		n.node = m.node(n.at, m.graceIndex(n))
		n.node.notes = append(n.node.notes, n)
	}
	for i := range m.b.Chords {
		if c := &m.b.Chords[i]; c.At < m.b.Len || c.At == 0 {
			nd := m.node(c.At, 0)
			if nd.chord == nil {
				nd.chord = c
			}
		}
	}
	for _, x := range m.b.Signs {
		if x.At > 0 && x.At < m.b.Len {
			m.node(x.At, 0)
		}
	}
	for _, x := range m.b.Tempos {
		if x.At > 0 && x.At < m.b.Len {
			m.node(x.At, 0)
		}
	}
	for _, x := range m.b.Texts {
		if x.At > 0 && x.At < m.b.Len {
			m.node(x.At, 0)
		}
	}
	if len(m.nodes) == 0 {
		m.node(0, 0)
	}
	s.setBeams(m)
	s.setStems(m)
	for _, nd := range m.nodes {
		for _, n := range nd.notes {
			n.setSeconds()
		}
		nd.setDots()
		nd.setVoices()
	}
	s.setAccidentals(m)
	for _, nd := range m.nodes {
		nd.stackAccidentals()
		s.setReach(nd)
	}
	s.setIdeals(m)
}

// setStems chooses the stems' directions: with one voice, away from the head
// that lies farthest from the middle line, down when it is a draw; with
// several, up for the first of two and down for the second.
func (s *score) setStems(m *measure) {
	rank := map[int]int{}
	for _, n := range m.notes {
		if !n.rest {
			if _, ok := rank[n.voice]; !ok {
				rank[n.voice] = 0
			}
		}
	}
	order := make([]int, 0, len(rank))
	for v := range rank {
		order = append(order, v)
	}
	slices.Sort(order)
	for i, v := range order {
		rank[v] = i
	}
	for _, n := range m.notes {
		r, sounds := rank[n.voice]
		switch {
		case n.many && (sounds || len(rank) > 0):
			if !sounds {
				r = n.voice
			}
			n.up = r%2 == 0
		case n.grace >= 0:
			n.up = true
		case n.beam == nil:
			n.up = far(n.heads) < 0
		}
	}
	for _, n := range m.notes {
		if b := n.beam; b != nil && b.notes[0] == n {
			if n.grace >= 0 || n.many {
				b.up = n.up
			} else {
				var all []*head
				for _, k := range b.notes {
					all = append(all, k.heads...)
				}
				b.up = far(all) < 0
			}
			for _, k := range b.notes {
				k.up = b.up
			}
		}
	}
}

// far sums up which side of the middle line the heads lie on: the sign of the
// farthest, or of the sum when two are equally far; 0 is a draw.
func far(heads []*head) int {
	hi, lo, sum := 0, 0, 0
	for _, h := range heads {
		hi, lo, sum = max(hi, h.p), min(lo, h.p), sum+h.p
	}
	switch {
	case hi > -lo:
		return 1
	case -lo > hi:
		return -1
	}
	return min(max(sum, -1), 1)
}

// setSeconds moves heads that would overlap their neighbour to the other side
// of the stem.
func (n *note) setSeconds() {
	if n.rest || len(n.heads) < 2 {
		return
	}
	w := n.heads[0].symbol.Advance() * n.size
	step := w
	if n.stemmed() {
		step -= draw.Engraving.Stem * n.size
	}
	if n.up || !n.stemmed() {
		for i := 1; i < len(n.heads); i++ {
			if a, b := n.heads[i-1], n.heads[i]; b.p-a.p <= 1 && a.dx == 0 {
				b.dx = step
			}
		}
		return
	}
	for i := len(n.heads) - 2; i >= 0; i-- {
		if a, b := n.heads[i], n.heads[i+1]; b.p-a.p <= 1 && b.dx == 0 {
			a.dx = -step
		}
	}
}

// setVoices moves a voice aside where its ink would run into another's at the
// same instant: the voices with stems up keep their place before those with
// stems down. Rests then go up or down to their own voice's side until they are
// clear.
func (nd *node) setVoices() {
	var notes, rests []*note
	for _, n := range nd.notes {
		if n.rest {
			rests = append(rests, n)
		} else {
			notes = append(notes, n)
		}
	}
	slices.SortStableFunc(notes, func(a, b *note) int {
		switch {
		case a.up && !b.up:
			return -1
		case b.up && !a.up:
			return 1
		}
		return cmp.Compare(a.voice, b.voice)
	})
	var taken []draw.Rect
	for i, n := range notes {
		if n.sharesHead(notes[:i]) {
			taken = append(taken, n.ink()...)
			continue
		}
		for moved := true; moved; {
			moved = false
			for _, r := range n.ink() {
				for _, o := range taken {
					if r.Overlaps(o) {
						n.dx += o.X1 - r.X0 + 0.12
						moved = true
						break
					}
				}
				if moved {
					break
				}
			}
		}
		taken = append(taken, n.ink()...)
	}
	for i, n := range rests {
		n.restY = 2
		if sign.Rest(n.value) == draw.RestWhole {
			n.restY = 1
		}
		if n.hidden {
			continue
		}
		for _, o := range rests[:i] {
			if !o.hidden && o.value == n.value && o.len == n.len {
				n.hidden = true // one rest says it for both
			}
		}
		if n.hidden || !n.many {
			continue
		}
		sign := -1.0
		if !n.up {
			sign = 1
		}
		n.restY += 3 * sign
		for n.blocked(taken) {
			n.restY += sign
		}
		taken = append(taken, n.restBox())
	}
}

// ink lists the boxes of a note's heads, dots, stem and flag, from its node's x.
func (n *note) ink() []draw.Rect {
	var out []draw.Rect
	right := 0.0
	for _, h := range n.heads {
		b := h.symbol.Box()
		x := n.dx + h.dx
		if h.symbol == draw.NoteheadDoubleWhole {
			x -= 0.36
		}
		out = append(out, draw.Rect{X0: x, Y0: y(h.p) + b.Y0*n.size + 0.02, X1: x + b.X1*n.size, Y1: y(h.p) + b.Y1*n.size - 0.02})
		right = max(right, h.dx+h.symbol.Advance()*n.size)
	}
	if n.value.Dots > 0 {
		x := n.dx + right + 0.3*n.size + n.dotShift()
		for _, h := range n.heads {
			out = append(out, draw.Rect{X0: x - 0.1, Y0: y(h.dotP) - 0.2, X1: x + sign.DotsWidth(n.value, n.size), Y1: y(h.dotP) + 0.2})
		}
	}
	if !n.stemmed() {
		return out
	}
	at := n.node.x
	n.node.x = 0
	n.setStem()
	n.node.x = at
	half := draw.Engraving.Stem / 2 * n.size
	y0, y1 := n.stemTip, n.stemRoot()
	out = append(out, draw.Rect{X0: n.stemX - half, Y0: min(y0, y1), X1: n.stemX + half, Y1: max(y0, y1)})
	if n.beam == nil && n.tails() > 0 {
		f := sign.Flag(n.tails(), n.up)
		b := f.Box()
		fy := n.stemTip - f.FlagAnchor().Y*n.size
		out = append(out, draw.Rect{X0: n.stemX, Y0: fy + b.Y0*n.size, X1: n.stemX + b.X1*n.size, Y1: fy + b.Y1*n.size})
	}
	return out
}

// sharesHead reports whether a note stands in unison with one already placed and
// may share its head.
func (n *note) sharesHead(placed []*note) bool {
	for _, o := range placed {
		if o.up != n.up && o.dx == 0 && o.heads[0].p == n.heads[0].p && sameHeads(o, n) {
			return true
		}
	}
	return false
}

// restBox is the room that a rest takes, from its node's x.
func (n *note) restBox() draw.Rect {
	b := sign.Rest(n.value).Box()
	return draw.Rect{X0: b.X0 - 0.2, Y0: n.restY + b.Y0 - 0.2, X1: b.X1 + 0.2 + sign.DotsWidth(n.value, 1), Y1: n.restY + b.Y1 + 0.2}
}

func (n *note) blocked(taken []draw.Rect) bool {
	for _, r := range taken {
		if n.restBox().Overlaps(r) {
			return true
		}
	}
	return false
}

// sameHeads reports whether two notes of one pitch may share one head.
func sameHeads(u, d *note) bool {
	return len(u.heads) == 1 && len(d.heads) == 1 && u.heads[0].symbol == d.heads[0].symbol && u.value.Dots == d.value.Dots
}

// setDots finds a space for each dot: a head on a line has it in the space
// above, in a lower voice below; no two dots in one space.
func (nd *node) setDots() {
	taken := map[int]bool{}
	for _, n := range nd.notes {
		if n.rest || n.value.Dots == 0 {
			continue
		}
		for i := len(n.heads) - 1; i >= 0; i-- {
			h := n.heads[i]
			p := h.p
			if even(p) {
				p++
				if n.many && !n.up {
					p -= 2
				}
			}
			if taken[p] && even(h.p) {
				p = h.p - 1
			}
			taken[p] = true
			h.dotP = p
		}
	}
}

func even(p int) bool { return p%2 == 0 }

// stackAccidentals sets the accidentals of an instant to the left of its
// heads, the outermost first, each as near as it can stand without touching
// another (Gould, Behind Bars, chapter 3).
func (nd *node) stackAccidentals() {
	var heads []*head
	var taken []draw.Rect
	for _, n := range nd.notes {
		for _, h := range n.heads {
			x := n.dx + h.dx
			taken = append(taken, draw.Rect{X0: x, Y0: y(h.p) - 0.5*n.size, X1: x + h.symbol.Advance()*n.size, Y1: y(h.p) + 0.5*n.size})
			if h.acc != 0 {
				heads = append(heads, h)
			}
		}
	}
	slices.SortFunc(heads, func(a, b *head) int { return cmp.Compare(b.p, a.p) })
	for i, j := 0, len(heads)-1; i <= j; {
		for _, h := range [2]*head{heads[i], heads[j]} {
			nd.setAccidental(h, &taken)
			if i == j {
				break
			}
		}
		i++
		j--
	}
}

func (nd *node) setAccidental(h *head, taken *[]draw.Rect) {
	const gap = 0.22
	size := h.of.size
	left, right := accidentalReach(h, size)
	box := h.acc.Box()
	if h.brackets {
		box = box.Union(draw.AccidentalParensLeft.Box())
	}
	at := y(h.p)
	y0, y1 := at+box.Y0*size, at+box.Y1*size
	x := -gap // the right edge
	for moved := true; moved; {
		moved = false
		for _, r := range *taken {
			if r.X0 < x+gap && r.X1 > x-(right-left)-0.08 && r.Y0 < y1+0.05 && r.Y1 > y0-0.05 {
				// Flats may hang into the open upper right of one another only
				// when the boxes clear, which is the safe rule.
				x = r.X0 - gap - 1e-6 // never back to where it was
				moved = true
			}
		}
	}
	h.accX = x - right
	*taken = append(*taken, draw.Rect{X0: x - (right - left), Y0: y0, X1: x, Y1: y1})
}

// accidentalReach returns how far an accidental reaches left and right of its
// origin, brackets and all.
func accidentalReach(h *head, size float64) (left, right float64) {
	w := h.acc.Advance() * size
	if !h.brackets {
		return 0, w
	}
	b := draw.AccidentalParensLeft.Advance() * size * 0.95
	return -b, w + b
}

// setReach finds how far an instant reaches in every lane.
func (s *score) setReach(nd *node) {
	grow := func(lane int, left, right float64) {
		nd.left[lane] = max(nd.left[lane], left)
		nd.right[lane] = max(nd.right[lane], right)
		nd.has[lane] = true
	}
	if s.st.staff {
		for _, n := range nd.notes {
			s.reachNote(n, grow)
		}
	}
	if s.st.tab {
		for _, st := range nd.stops {
			for _, p := range st.plays {
				l, r := s.numberReach(p)
				grow(laneTab, l-wholeAtHalf, r+wholeAtHalf)
			}
			if st.stroke != nil && len(st.plays) > 0 {
				if l, r := s.steelReach(st.stroke.Placement); r > 0 {
					grow(laneTab, l-wholeAtHalf, r+wholeAtHalf)
				}
			}
			if st.lean != "" && !s.o.NoLean {
				w := draw.Sans.Width(st.lean) * s.st.letter / 2
				grow(laneLean, w-wholeAtHalf, w+wholeAtHalf)
			}
			if f := st.fingers(); len(f) > 0 && !s.o.NoFingers {
				w := 0.0
				for _, x := range f {
					w = max(w, draw.SansBold.Width(x)*s.st.letter/2)
				}
				grow(laneFinger, w-wholeAtHalf, w+wholeAtHalf)
			}
		}
		if s.st.rhythm {
			for _, n := range nd.notes {
				switch {
				case n.rest && !n.hidden:
					grow(laneFinger, 0.1, 1.4)
				case n.beam == nil && n.tails() > 0:
					grow(laneFinger, 0, wholeAtHalf+1)
				case n.value.Dots > 0:
					grow(laneFinger, 0, wholeAtHalf+0.9*float64(n.value.Dots))
				}
			}
		}
	}
	if nd.chord != nil {
		grow(laneChord, 0, s.chordWidth(nd.chord))
	}
	for _, n := range nd.notes {
		if n.grace >= 0 {
			continue
		}
		for _, l := range n.ev.Lyrics {
			row := s.verseRow(n.voice, l.Verse)
			if row < 0 || l.Text == "" {
				continue
			}
			w := draw.Serif.Width(l.Text) * s.st.lyric / 2
			right := w + wholeAtHalf
			if l.Hyphen {
				right += padHyphen - padLyric
			}
			grow(laneLyric+row, w-wholeAtHalf, right)
		}
	}
}

// reachNote grows the lanes by the room that a note takes on the staff.
func (s *score) reachNote(n *note, grow func(lane int, left, right float64)) {
	if n.rest {
		if n.hidden {
			return
		}
		w := sign.Rest(n.value).Advance()
		if n.value.BarRest {
			w = draw.RestWhole.Advance()
		}
		grow(laneStaff, -n.dx, n.dx+w+sign.DotsWidth(n.value, 1))
		return
	}
	left, right := 0.0, 0.0
	for _, h := range n.heads {
		x := n.dx + h.dx
		left = max(left, -x)
		right = max(right, x+h.symbol.Advance()*n.size)
		if h.symbol == draw.NoteheadDoubleWhole {
			left = max(left, 0.4)
		}
		if h.acc != 0 {
			l, _ := accidentalReach(h, n.size)
			left = max(left, -(h.accX + l))
		}
		if h.n.Scoop != 0 {
			left = max(left, 1.3)
		}
		if ledger := max(h.p, -h.p) >= 6; ledger && n.grace < 0 {
			left = max(left, draw.Engraving.LegerExtension-x)
			right = max(right, x+h.symbol.Advance()+draw.Engraving.LegerExtension)
		}
	}
	if n.ev != nil && n.grace < 0 {
		for _, k := range n.ev.Marks {
			if k == tune.Arpeggio {
				left += 1.1
			}
		}
	}
	right += sign.DotsWidth(n.value, n.size) + n.dotShift()
	if n.beam == nil && n.tails() > 0 && n.stemmed() {
		stem := n.dx
		if n.up {
			stem += headWidth * n.size
		}
		right = max(right, stem+draw.Flag8thUp.Advance()*n.size)
	}
	grow(laneStaff, left, right)
}

// dotShift returns how far the dots of a note stand aside for its own flag, which
// hangs down to where the dot of a head on a line would be.
func (n *note) dotShift() float64 {
	if n.value.Dots == 0 || n.beam != nil || n.tails() == 0 || !n.up || len(n.heads) == 0 || !even(n.top().p) {
		return 0
	}
	return (draw.Flag8thUp.Advance() - 0.2) * n.size
}

// setIdeals gives each instant its natural distance to the next.
func (s *score) setIdeals(m *measure) {
	for i, nd := range m.nodes {
		if nd.grace < 0 {
			nd.ideal = 0
			continue
		}
		next := m.b.Len
		for _, o := range m.nodes[i+1:] {
			if o.grace == 0 {
				next = o.at
				break
			}
		}
		gap := next - nd.at
		d := gap
		for _, n := range nd.notes {
			if n.grace < 0 && n.len > 0 {
				d = min(d, n.len)
			}
		}
		if d <= 0 {
			nd.ideal = 2
			continue
		}
		nd.ideal = s.space(d) * min(float64(gap)/float64(d), 4)
		if m.rests > 1 {
			nd.ideal = 12
		}
	}
}

// fingers returns the picking fingers of a stroke from string 1 down, T, I or M
// each, or nothing.
func (st *stop) fingers() []string {
	var out []string
	for _, p := range st.plays {
		if p.pluck.Finger != tab.NoFinger {
			out = append(out, p.pluck.Finger.String())
		}
	}
	return out
}
