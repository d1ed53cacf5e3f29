package score

import (
	"cmp"
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/tab"
	"lapwright/tune"
)

// setter makes the bars of a score ready: stems, beams, accidentals, and how far
// each instant reaches.
type setter struct{ *Score }

// Distances in staff spaces that keep neighbours apart.
const (
	PadStaff   = 0.45 // between the ink of two instants on the staff
	PadTab     = 0.55 // between two tab numbers
	PadGlide   = 2.0  // between two tab numbers that a glide joins
	padJoin    = 0.35 // on either side of the letter of a hammer or pull
	PadChord   = 0.9
	PadLabel   = 0.45
	PadLyric   = 0.7
	padHyphen  = 1.5
	PadBarline = 1.1 // from a barline to what follows it
	PadToBar   = 0.7 // from what is last in a bar to its barline
	HeadWidth  = 1.18
	GraceGap   = 0.35
	HeadMiddle = HeadWidth / 2 // from an instant's x to the middle of its noteheads
	SystemLine = 0.08          // where the line stands that joins the staves of a system
)

// space is the distance from one instant to the next at natural spacing for a
// note of a length above 0: 3.6 staff spaces for a quarter, times √2 for each
// doubling. That is the ratio of Gould, Behind Bars (2011), chapter 2, whose
// eighth, quarter, half and whole note take 2½, 3½, 5 and 7 (from memory).
func (s *setter) space(d tune.Ticks) float64 {
	q := float64(d) / float64(tune.Whole/4)
	return min(3.6*math.Sqrt(q), 16) * s.Style.loose
}

// setBar prepares everything of a bar that does not depend on where it stands
// in a line.
func (s *setter) setBar(m *Measure) {
	if m.Skip {
		return
	}
	for _, n := range m.Notes {
		n.Node = m.node(n.At, m.graceIndex(n))
		n.Node.Notes = append(n.Node.Notes, n)
	}
	for i := range m.Bar.Chords {
		if c := &m.Bar.Chords[i]; c.At < m.Bar.Len || c.At == 0 {
			nd := m.node(c.At, 0)
			if nd.Chord == nil {
				nd.Chord = c
			}
		}
	}
	for _, x := range m.Bar.Signs {
		if x.At > 0 && x.At < m.Bar.Len {
			m.node(x.At, 0)
		}
	}
	for _, x := range m.Bar.Tempos {
		if x.At > 0 && x.At < m.Bar.Len {
			m.node(x.At, 0)
		}
	}
	for _, x := range m.Bar.Texts {
		if x.At > 0 && x.At < m.Bar.Len {
			m.node(x.At, 0)
		}
	}
	if len(m.Nodes) == 0 {
		m.node(0, 0)
	}
	s.setAccidentals(m)
	s.setColumns(m)
	s.setIdeals(m)
}

// setColumns joins a bar's beams and places what stands at each instant.
func (s *setter) setColumns(m *Measure) {
	s.setBeams(m)
	s.setStems(m)
	for _, nd := range m.Nodes {
		for _, n := range nd.Notes {
			n.setSeconds()
		}
		nd.setDots()
		nd.setVoices()
		nd.stackAccidentals()
		s.setReach(nd)
	}
}

// setStems chooses the stems' directions: with one voice, away from the head
// that lies farthest from the middle line, down when it is a draw; with
// several, up for the first of two and down for the second.
func (s *setter) setStems(m *Measure) {
	rank := map[int]int{}
	for _, n := range m.Notes {
		if !n.Rest {
			if _, ok := rank[n.Voice]; !ok {
				rank[n.Voice] = 0
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
	for _, n := range m.Notes {
		r, sounds := rank[n.Voice]
		switch {
		case n.Many:
			if !sounds {
				r = n.Voice
			}
			n.Up = r%2 == 0
		case n.Grace >= 0:
			n.Up = true
		case n.Beam == nil:
			n.Up = far(n.Heads) < 0
		}
	}
	for _, n := range m.Notes {
		if b := n.Beam; b != nil {
			if n.Grace >= 0 || n.Many {
				b.Up = n.Up
			} else {
				var all []*Head
				for _, k := range b.Notes {
					all = append(all, k.Heads...)
				}
				b.Up = far(all) < 0
			}
			for _, k := range b.Notes {
				k.Up = b.Up
			}
		}
	}
}

// far sums up which side of the middle line the heads lie on: the sign of the
// farthest, or of the sum when two are equally far; 0 is a draw.
func far(heads []*Head) int {
	hi, lo, sum := 0, 0, 0
	for _, h := range heads {
		hi, lo, sum = max(hi, h.Place), min(lo, h.Place), sum+h.Place
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
func (n *Note) setSeconds() {
	if len(n.Heads) < 2 {
		return
	}
	w := n.Heads[0].Symbol.Advance() * n.Size
	step := w
	if n.Stemmed() {
		step -= draw.Engraving.Stem * n.Size
	}
	if n.Up || !n.Stemmed() {
		for i := 1; i < len(n.Heads); i++ {
			if a, b := n.Heads[i-1], n.Heads[i]; b.Place-a.Place <= 1 && a.DX == 0 {
				b.DX = step
			}
		}
		return
	}
	for i := len(n.Heads) - 2; i >= 0; i-- {
		if a, b := n.Heads[i], n.Heads[i+1]; b.Place-a.Place <= 1 && b.DX == 0 {
			a.DX = -step
		}
	}
}

// setVoices moves a voice aside where its ink would run into another's at the
// same instant: the voices with stems up keep their place before those with
// stems down. Rests then go up or down to their own voice's side until they are
// clear.
func (nd *Node) setVoices() {
	var notes, rests []*Note
	for _, n := range nd.Notes {
		if n.Rest {
			rests = append(rests, n)
		} else {
			notes = append(notes, n)
		}
	}
	side := map[bool]int{true: 0, false: 1} // of a stem that goes up
	inorder.Stable(notes, func(a, b *Note) int {
		return cmp.Or(cmp.Compare(side[a.Up], side[b.Up]), cmp.Compare(a.Voice, b.Voice))
	})
	var taken []draw.Rect
	for i, n := range notes {
		if slices.ContainsFunc(notes[:i], n.SharesHead) {
			taken = append(taken, n.ink()...)
			continue
		}
		for moved := true; moved; {
			moved = false
			for _, r := range n.ink() {
				for _, o := range taken {
					if r.Overlaps(o) {
						n.DX += o.X1 - r.X0 + 0.12
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
		n.RestY = 2
		if sign.Rest(n.Value) == draw.RestWhole {
			n.RestY = 1
		}
		if n.Hidden {
			continue
		}
		for _, o := range rests[:i] {
			if !o.Hidden && o.Value == n.Value && o.len == n.len {
				n.Hidden = true // one rest says it for both
			}
		}
		if n.Hidden || !n.Many {
			continue
		}
		sign := -1.0
		if !n.Up {
			sign = 1
		}
		n.RestY += 3 * sign
		for n.blocked(taken) {
			n.RestY += sign
		}
		taken = append(taken, n.restBox())
	}
}

// ink lists the boxes of a note's heads, dots, stem and flag, from its node's x.
func (n *Note) ink() []draw.Rect {
	var out []draw.Rect
	right := 0.0
	for _, h := range n.Heads {
		b := h.Symbol.Box()
		x := n.DX + h.DX
		if h.Symbol == draw.NoteheadDoubleWhole {
			x -= 0.36
		}
		out = append(out, draw.Rect{X0: x, Y0: Y(h.Place) + b.Y0*n.Size + 0.02, X1: x + b.X1*n.Size, Y1: Y(h.Place) + b.Y1*n.Size - 0.02})
		right = max(right, h.DX+h.Symbol.Advance()*n.Size)
	}
	if n.Value.Dots > 0 {
		x := n.DX + right + 0.3*n.Size + n.DotShift()
		for _, h := range n.Heads {
			out = append(out, draw.Rect{X0: x - 0.1, Y0: Y(h.DotP) - 0.2, X1: x + sign.DotsWidth(n.Value, n.Size), Y1: Y(h.DotP) + 0.2})
		}
	}
	if !n.Stemmed() {
		return out
	}
	at := n.Node.X
	n.Node.X = 0
	n.SetStem()
	n.Node.X = at
	half := draw.Engraving.Stem / 2 * n.Size
	y0, y1 := n.StemTip, n.StemRoot()
	out = append(out, draw.Rect{X0: n.StemX - half, Y0: min(y0, y1), X1: n.StemX + half, Y1: max(y0, y1)})
	if n.Beam == nil && n.Tails() > 0 {
		f := sign.Flag(n.Tails(), n.Up)
		b := f.Box()
		fy := n.StemTip - f.FlagAnchor().Y*n.Size
		out = append(out, draw.Rect{X0: n.StemX, Y0: fy + b.Y0*n.Size, X1: n.StemX + b.X1*n.Size, Y1: fy + b.Y1*n.Size})
	}
	return out
}

// SharesHead reports whether a note has one head with another of its column: in
// unison, with stems on either side, in heads of one kind.
func (n *Note) SharesHead(o *Note) bool {
	if len(n.Heads) != 1 || len(o.Heads) != 1 || o.Up == n.Up || o.DX != n.DX || o.Value.Dots != n.Value.Dots {
		return false
	}
	return o.Heads[0].Symbol == n.Heads[0].Symbol && o.Heads[0].Place == n.Heads[0].Place
}

// restBox is the room that a rest takes, from its node's x.
func (n *Note) restBox() draw.Rect {
	b := sign.Rest(n.Value).Box()
	return draw.Rect{X0: b.X0 - 0.2, Y0: n.RestY + b.Y0 - 0.2, X1: b.X1 + 0.2 + sign.DotsWidth(n.Value, 1), Y1: n.RestY + b.Y1 + 0.2}
}

func (n *Note) blocked(taken []draw.Rect) bool {
	for _, r := range taken {
		if n.restBox().Overlaps(r) {
			return true
		}
	}
	return false
}

// setDots finds a space for each dot: a head on a line has it in the space
// above, in a lower voice below; no two dots in one space.
func (nd *Node) setDots() {
	taken := map[int]bool{}
	for _, n := range nd.Notes {
		if n.Rest || n.Value.Dots == 0 {
			continue
		}
		for i := len(n.Heads) - 1; i >= 0; i-- {
			h := n.Heads[i]
			p := h.Place
			if even(p) {
				p++
				if n.Many && !n.Up {
					p -= 2
				}
			}
			if taken[p] && even(h.Place) {
				p = h.Place - 1
			}
			taken[p] = true
			h.DotP = p
		}
	}
}

func even(p int) bool { return p%2 == 0 }

// stackAccidentals sets the accidentals of an instant to the left of its
// heads, the outermost first, each as near as it can stand without touching
// another (Gould, Behind Bars, chapter 3).
func (nd *Node) stackAccidentals() {
	var heads []*Head
	var taken []draw.Rect
	for _, n := range nd.Notes {
		for _, h := range n.Heads {
			x := n.DX + h.DX
			taken = append(taken, draw.Rect{X0: x, Y0: Y(h.Place) - 0.5*n.Size, X1: x + h.Symbol.Advance()*n.Size, Y1: Y(h.Place) + 0.5*n.Size})
			if h.Accidental != 0 {
				heads = append(heads, h)
			}
		}
	}
	inorder.Stable(heads, func(a, b *Head) int { return cmp.Compare(b.Place, a.Place) })
	for i, j := 0, len(heads)-1; i <= j; {
		for _, h := range [2]*Head{heads[i], heads[j]} {
			nd.setAccidental(h, &taken)
			if i == j {
				break
			}
		}
		i++
		j--
	}
}

func (nd *Node) setAccidental(h *Head, taken *[]draw.Rect) {
	const gap = 0.22
	size := h.Of.Size
	left, right := AccidentalReach(h, size)
	box := h.Accidental.Box()
	if h.Brackets {
		box = box.Union(draw.AccidentalParensLeft.Box())
	}
	at := Y(h.Place)
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
	h.AccidentalX = x - right
	*taken = append(*taken, draw.Rect{X0: x - (right - left), Y0: y0, X1: x, Y1: y1})
}

// AccidentalReach returns how far an accidental reaches left and right of its
// origin, brackets and all.
func AccidentalReach(h *Head, size float64) (left, right float64) {
	w := h.Accidental.Advance() * size
	if !h.Brackets {
		return 0, w
	}
	b := draw.AccidentalParensLeft.Advance() * size * 0.95
	return -b, w + b
}

// setReach finds how far an instant reaches in every lane.
func (s *setter) setReach(nd *Node) {
	grow := func(lane int, left, right float64) {
		nd.Left[lane] = max(nd.Left[lane], left)
		nd.Right[lane] = max(nd.Right[lane], right)
		nd.Has[lane] = true
	}
	if s.Style.Staff {
		for _, n := range nd.Notes {
			s.reachNote(n, grow)
		}
	}
	if s.Style.Tab {
		for _, st := range nd.Stops {
			for _, p := range st.Plays {
				l, r := s.numberReach(p)
				if !s.Style.Staff && st.Rolled() {
					l += RollRoom
				}
				grow(LaneTab, l-HeadMiddle, r+HeadMiddle)
			}
			if st.Stroke != nil && len(st.Plays) > 0 {
				if l, r := s.steelReach(st.Stroke.Placement); r > 0 {
					grow(LaneTab, l-HeadMiddle, r+HeadMiddle)
				}
			}
			if st.Lean != "" && !s.Options.NoLean {
				w := draw.Sans.Width(st.Lean) * s.Style.Letter / 2
				grow(laneLean, w-HeadMiddle, w+HeadMiddle)
			}
			if f := st.Fingers(); len(f) > 0 && !s.Options.NoFingers {
				w := 0.0
				for _, x := range f {
					w = max(w, draw.SansBold.Width(x)*s.Style.Letter/2)
				}
				grow(laneFinger, w-HeadMiddle, w+HeadMiddle)
			}
		}
		if s.Style.Rhythm {
			for _, n := range nd.Notes {
				switch {
				case n.Rest && !n.Hidden:
					grow(laneFinger, 0.1, 1.4)
				case n.Beam == nil && n.Tails() > 0:
					grow(laneFinger, 0, HeadMiddle+1)
				case n.Value.Dots > 0:
					grow(laneFinger, 0, HeadMiddle+0.9*float64(n.Value.Dots))
				}
			}
		}
	}
	if nd.Chord != nil {
		grow(LaneChord, 0, s.ChordWidth(nd.Chord))
	}
	for _, n := range nd.Notes {
		if n.Grace >= 0 {
			continue
		}
		for _, l := range n.Event.Lyrics {
			row := s.verseRow(n.Voice, l.Verse)
			if row < 0 || l.Text == "" {
				continue
			}
			w := draw.Serif.Width(l.Text) * s.Style.Lyric / 2
			right := w + HeadMiddle
			if l.Hyphen {
				right += padHyphen - PadLyric
			}
			grow(LaneLyric+row, w-HeadMiddle, right)
		}
	}
}

// reachNote grows the lanes by the room that a note takes on the staff.
func (s *setter) reachNote(n *Note, grow func(lane int, left, right float64)) {
	if n.Rest {
		if n.Hidden {
			return
		}
		w := sign.Rest(n.Value).Advance()
		if n.Value.BarRest {
			w = draw.RestWhole.Advance()
		}
		grow(LaneStaff, 0, w+sign.DotsWidth(n.Value, 1))
		return
	}
	left, right := 0.0, 0.0
	for _, h := range n.Heads {
		x := n.DX + h.DX
		left = max(left, -x)
		right = max(right, x+h.Symbol.Advance()*n.Size)
		if h.Symbol == draw.NoteheadDoubleWhole {
			left = max(left, 0.4)
		}
		if h.Accidental != 0 {
			l, _ := AccidentalReach(h, n.Size)
			left = max(left, -(h.AccidentalX + l))
		}
		if h.Note.Scoop != 0 {
			left = max(left, 1.3)
		}
		if ledger := max(h.Place, -h.Place) >= 6; ledger && n.Grace < 0 {
			left = max(left, draw.Engraving.LegerExtension-x)
			right = max(right, x+h.Symbol.Advance()+draw.Engraving.LegerExtension)
		}
	}
	if n.Grace < 0 {
		for _, k := range n.Event.Marks {
			if k == tune.Arpeggio {
				left += RollRoom
			}
		}
	}
	right += sign.DotsWidth(n.Value, n.Size) + n.DotShift()
	if n.Beam == nil && n.Tails() > 0 && n.Stemmed() {
		stem := n.DX
		if n.Up {
			stem += HeadWidth * n.Size
		}
		right = max(right, stem+draw.Flag8thUp.Advance()*n.Size)
	}
	grow(LaneStaff, left, right)
}

// DotShift returns how far the dots of a note stand aside for its own flag, which
// hangs down to where the dot of a head on a line would be.
func (n *Note) DotShift() float64 {
	if n.Value.Dots == 0 || n.Beam != nil || n.Tails() == 0 || !n.Up || len(n.Heads) == 0 || !even(n.Top().Place) {
		return 0
	}
	return (draw.Flag8thUp.Advance() - 0.2) * n.Size
}

// setIdeals gives each instant its natural distance to the next.
func (s *setter) setIdeals(m *Measure) {
	for i, nd := range m.Nodes {
		if nd.Grace < 0 {
			nd.Ideal = 0
			continue
		}
		next := m.Bar.Len
		for _, o := range m.Nodes[i+1:] {
			if o.Grace == 0 {
				next = o.At
				break
			}
		}
		gap := next - nd.At
		nd.Ideal = s.Ideal(nd.Notes, gap)
		if m.Rests > 1 {
			nd.Ideal = 12
		}
	}
}

// Ideal returns the distance at natural spacing from an instant with notes to the next,
// which comes after a gap in time.
func (s *Score) Ideal(notes []*Note, gap tune.Ticks) float64 {
	d := gap
	for _, n := range notes {
		if n.len > 0 { // a grace has none
			d = min(d, n.len)
		}
	}
	if d <= 0 {
		return 2
	}
	set := &setter{s}
	return set.space(d) * min(float64(gap)/float64(d), 4)
}

// Fingers returns the picking fingers of a stroke from string 1 on, T, I or M each,
// or nothing.
func (st *Stop) Fingers() []string {
	var out []string
	for _, p := range st.Plays {
		if p.Pluck.Finger != tab.NoFinger {
			out = append(out, p.Pluck.Finger.String())
		}
	}
	return out
}

// Recut makes a bar ready again that is cut at the given instants: no beam crosses
// a cut, so that some notes get flags, which take room, and some stems turn.
func (s *Score) Recut(m *Measure, cuts []int) {
	m.cuts = append(m.cuts, cuts...)
	for _, n := range m.Notes {
		n.Beam, n.DX = nil, 0
		for _, h := range n.Heads {
			h.DX = 0
		}
	}
	for _, nd := range m.Nodes {
		nd.Has, nd.Left, nd.Right = [Lanes]bool{}, [Lanes]float64{}, [Lanes]float64{}
	}
	(&setter{s}).setColumns(m)
}
