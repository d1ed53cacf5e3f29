package sheet

import (
	"math"
	"strconv"

	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// notesHere lists the notes of the line, in order of time.
func (sy *system) notesHere() []*note {
	var out []*note
	for _, nd := range sy.nodes {
		out = append(out, nd.notes...)
	}
	return out
}

// setStems finds every stem and gives the line of every beam.
func (sy *system) setStems() map[*beam]slope {
	lines := map[*beam]slope{}
	for _, n := range sy.notesHere() {
		if !n.stemmed() {
			continue
		}
		if n.beam == nil {
			n.setStem()
			continue
		}
		if _, ok := lines[n.beam]; !ok {
			lines[n.beam] = n.beam.set()
		}
	}
	return lines
}

func (sy *system) drawNotes() {
	c := sy.c
	lines := sy.setStems()
	for _, n := range sy.notesHere() {
		if n.rest {
			if !n.hidden {
				sy.drawRest(n)
			}
			continue
		}
		keys := keysOf(n.bar, n.at, draw.Key{Name: "voice", Value: strconv.Itoa(n.voice)}, draw.Key{Name: "event", Value: strconv.Itoa(n.event)})
		if n.grace >= 0 {
			keys = append(keys, draw.Key{Name: "grace", Value: strconv.Itoa(n.grace)})
		}
		c.Begin("note", keys...)
		sy.drawHeads(n)
		sy.drawStem(n)
		c.End()
	}
	done := map[*beam]bool{}
	for _, n := range sy.notesHere() {
		if b := n.beam; b != nil && !done[b] {
			done[b] = true
			c.Begin("beam")
			b.draw(c, lines[b])
			c.End()
		}
	}
	for _, n := range sy.notesHere() {
		if n.grace == 0 {
			sy.graceSlash(n)
		}
	}
}

func (sy *system) drawHeads(n *note) {
	c := sy.c
	x0 := n.node.x + n.dx
	e := draw.Engraving
	// Ledger lines: one set for the heads on each side.
	for _, h := range n.heads {
		w := h.symbol.Advance() * n.size
		ext := e.LegerExtension * n.size
		for p := 6; p <= h.p; p += 2 {
			c.Line(x0+h.dx-ext, y(p), x0+h.dx+w+ext, y(p), e.LegerLine)
		}
		for p := -6; p >= h.p; p -= 2 {
			c.Line(x0+h.dx-ext, y(p), x0+h.dx+w+ext, y(p), e.LegerLine)
		}
	}
	shared := false
	for _, o := range n.node.notes {
		if o == n {
			break
		}
		if !o.rest && o.grace < 0 && n.grace < 0 && o.dx == n.dx && o.up != n.up && sameHeads(o, n) && o.heads[0].p == n.heads[0].p {
			shared = true
		}
	}
	for _, h := range n.heads {
		x := x0 + h.dx
		if h.symbol == draw.NoteheadDoubleWhole {
			x -= 0.36
		}
		c.Begin("head", draw.Key{Name: "pitch", Value: h.n.Name.String()})
		if !shared {
			c.Glyph(h.symbol, x, y(h.p), n.size)
		}
		c.End()
		if h.acc != 0 {
			sy.drawAccidental(h)
		}
		if n.value.Dots > 0 && !shared {
			sy.drawDots(n, h)
		}
		if h.n.Scoop != 0 {
			dy := 0.9
			if h.n.Scoop > 0 {
				dy = -0.9
			}
			c.Begin("scoop")
			c.Line(x-1.25, y(h.p)+dy, x-0.2, y(h.p)+dy*0.15, 0.14)
			c.End()
		}
	}
	for _, k := range n.ev.Marks {
		if k == tune.Arpeggio && n.grace < 0 {
			left := x0
			for _, h := range n.heads {
				left = min(left, x0+h.dx)
				if h.acc != 0 {
					left = min(left, n.node.x+h.accX)
				}
			}
			c.Begin("mark")
			c.Add(ink.Wave(left-0.7, y(n.top().p)-0.5, y(n.bottom().p)+0.5))
			c.End()
		}
	}
}

func (sy *system) drawAccidental(h *head) {
	c := sy.c
	size := h.of.size
	x := h.of.node.x + h.accX
	c.Begin("accidental")
	if h.brackets {
		b := draw.AccidentalParensLeft.Advance() * size * 0.95
		c.Glyph(draw.AccidentalParensLeft, x-b, y(h.p), size)
		c.Glyph(draw.AccidentalParensRight, x+h.acc.Advance()*size-0.05*size, y(h.p), size)
	}
	c.Glyph(h.acc, x, y(h.p), size)
	c.End()
}

func (sy *system) drawDots(n *note, h *head) {
	// Dots of a chord stand in one column, clear of displaced heads.
	right := 0.0
	for _, o := range n.heads {
		right = max(right, o.dx+o.symbol.Advance()*n.size)
	}
	x := n.node.x + n.dx + right + 0.3*n.size + n.dotShift()
	sy.c.Begin("dot")
	for range n.value.Dots {
		sy.c.Glyph(draw.AugmentationDot, x, y(h.dotP), n.size)
		x += 0.55 * n.size
	}
	sy.c.End()
}

func (sy *system) drawStem(n *note) {
	if !n.stemmed() {
		return
	}
	c := sy.c
	c.Begin("stem")
	c.Line(n.stemX, n.stemRoot(), n.stemX, n.stemTip, draw.Engraving.Stem*n.size)
	c.End()
	if n.beam == nil && n.tails() > 0 {
		f := sign.Flag(n.tails(), n.up)
		a := f.FlagAnchor()
		half := draw.Engraving.Stem / 2 * n.size
		c.Begin("flag")
		c.Glyph(f, n.stemX-half, n.stemTip-a.Y*n.size, n.size)
		c.End()
	}
}

// graceSlash draws the stroke through the stem of a crushed note.
func (sy *system) graceSlash(n *note) {
	if !n.slash || !n.stemmed() {
		return
	}
	x, t := n.stemX, n.stemTip
	sign := 1.0
	if !n.up {
		sign = -1
	}
	sy.c.Begin("slash")
	sy.c.Line(x-0.55, t+sign*1.5, x+0.75, t+sign*0.45, 0.1)
	sy.c.End()
}

// draw lays the beams of a group along its line.
func (b *beam) draw(c *ink.Canvas, line slope) {
	size := b.notes[0].size
	thick := draw.Engraving.Beam * size
	step := (draw.Engraving.Beam + draw.Engraving.BeamGap) * size
	inwards := 1.0 // from the stems' ends towards the heads
	if !b.up {
		inwards = -1
	}
	half := draw.Engraving.Stem / 2 * size
	for _, p := range b.pieces() {
		x0, x1 := b.notes[p.from].stemX-half, b.notes[p.to].stemX+half
		if p.half {
			if p.left {
				x0 = x1 - 1.1*size
			} else {
				x1 = x0 + 1.1*size
			}
		}
		off := inwards * step * float64(p.level-1)
		y0, y1 := line.height(x0)+off, line.height(x1)+off
		c.Add(ink.Polygon(draw.Point{X: x0, Y: y0}, draw.Point{X: x1, Y: y1}, draw.Point{X: x1, Y: y1 + inwards*thick}, draw.Point{X: x0, Y: y0 + inwards*thick}))
	}
}

func (sy *system) drawRest(n *note) {
	c := sy.c
	c.Begin("rest", keysOf(n.bar, n.at)...)
	defer c.End()
	sp := sy.spanOf(n.bar)
	if n.bar.rests > 1 {
		sy.drawManyRests(n.bar, sp)
		return
	}
	sym := sign.Rest(n.value)
	at := n.restY
	x := n.node.x + n.dx
	if n.value.BarRest && len(sp) > 0 {
		x = (sp[0].x0+sp[len(sp)-1].x1)/2 - sym.Advance()/2
	}
	// Out of the staff a whole or half rest needs a line to hang from or sit on.
	if (sym == draw.RestWhole || sym == draw.RestHalf) && (at < 0 || at > 4) {
		w := sym.Advance()
		c.Line(x-0.35, at, x+w+0.35, at, draw.Engraving.LegerLine)
	}
	r := c.Glyph(sym, x, at, 1)
	if n.value.Dots > 0 {
		dx := r.X1 + 0.3
		for range n.value.Dots {
			c.Glyph(draw.AugmentationDot, dx, at-0.5, 1)
			dx += 0.55
		}
	}
}

// drawManyRests draws the thick bar and the number of a rest of many bars.
func (sy *system) drawManyRests(m *measure, sp []span) {
	c := sy.c
	x0, x1 := sp[0].x0+1.2, sp[0].x1-1.2
	c.Line(x0, 2, x1, 2, 1)
	c.Line(x0, 1, x0, 3, 0.16)
	c.Line(x1, 1, x1, 3, 0.16)
	t := strconv.Itoa(m.rests)
	w := sign.DigitsWidth(t)
	x := (x0+x1)/2 - w/2
	for i := range len(t) {
		c.Glyph(sign.Digit(t[i]), x, -1.6, 1)
		x += sign.Digit(t[i]).Advance()
	}
}

// spanOf returns the parts of a bar in this line.
func (sy *system) spanOf(m *measure) []span {
	var out []span
	for _, sp := range sy.spans {
		if sp.m == m {
			out = append(out, sp)
		}
	}
	return out
}

// has reports whether an instant stands in this line.
func (sy *system) has(nd *node) bool {
	return nd.line == sy.index
}

// drawTies draws the ties that begin or end in this line.
func (sy *system) drawTies() {
	for _, n := range sy.notesHere() {
		if n.rest || n.grace >= 0 {
			continue
		}
		for i, h := range n.heads {
			if h.n.Tie {
				sy.tieOut(n, i, h)
			}
			if from := sy.s.tieFrom(h); from != nil && !sy.has(from.of.node) {
				sy.tie(tieUp(from.of, index(from.of.heads, from)), sy.contentLeft()-0.3, n.node.x+n.dx+h.dx-0.12, h)
			}
		}
	}
}

func index(heads []*head, h *head) int {
	for i, o := range heads {
		if o == h {
			return i
		}
	}
	return 0
}

func (sy *system) tieOut(n *note, i int, h *head) {
	right := n.node.x + n.dx + h.dx + h.symbol.Advance() + 0.12
	if n.value.Dots > 0 {
		right += sign.DotsWidth(n.value, 1) * 0.9
	}
	end := sy.contentRight() - 0.1
	if next := sy.s.eventAfter(n); next != nil {
		for _, o := range next.heads {
			if o.n.Name.Key() == h.n.Name.Key() && sy.has(next.node) {
				end = next.node.x + next.dx + o.dx - 0.12
				if o.acc != 0 {
					end = next.node.x + o.accX - 0.1
				}
			}
		}
	}
	sy.tie(tieUp(n, i), right, end, h)
}

// tieUp reports whether the tie of a note's i-th head (from below) curves upwards:
// away from the stem for one note; in a chord the upper half up and the lower
// half down; in two voices, to the voice's own side.
func tieUp(n *note, i int) bool {
	k := len(n.heads)
	switch {
	case n.many:
		return n.up
	case k == 1 || 2*i+1 == k:
		if !n.stemmed() {
			return n.heads[i].p >= 0
		}
		return !n.up
	}
	return 2*i+1 > k
}

func (sy *system) tie(up bool, x0, x1 float64, h *head) {
	sign := 1.0
	if up {
		sign = -1
	}
	at := y(h.p) + sign*0.32
	if len(h.of.heads) == 1 {
		// A single note's tie starts nearer the middle of the heads.
		at = y(h.p) + sign*0.62
		x0 -= 0.35
		x1 += 0.35
		if h.of.value.Dots > 0 {
			x0 -= 0.4
		}
	}
	d := x1 - x0
	if d < 0.8 {
		x0, x1 = (x0+x1)/2-0.4, (x0+x1)/2+0.4
		d = 0.8
	}
	height := min(max(0.28+0.07*d, 0.4), 1.1)
	sy.c.Begin("tie")
	sy.c.Add(ink.Bow(x0, at, x1, at, sign*height, draw.Engraving.TieEnd, draw.Engraving.TieMiddle))
	sy.c.End()
}

// drawStaffGlides draws a line from each gliding head to the head it glides to.
func (sy *system) drawStaffGlides() {
	s := sy.s
	for _, n := range sy.notesHere() {
		if n.rest {
			continue
		}
		for _, h := range n.heads {
			if h.play == nil && !h.n.Glide {
				continue
			}
			var to *head
			if h.play != nil {
				if q := s.after[h.play]; h.play.pluck.Glide && q != nil {
					to = q.head
				}
			} else if next := s.eventAfter(n); next != nil {
				// The note at the same place counted from the top.
				if i := len(next.heads) - (len(n.heads) - index(n.heads, h)); i >= 0 {
					to = next.heads[i]
				}
			}
			if to == nil {
				continue
			}
			x0 := n.node.x + n.dx + h.dx + h.symbol.Advance()*n.size + 0.25 + sign.DotsWidth(n.value, n.size)
			if sy.has(to.of.node) {
				x1 := to.of.node.x + to.of.dx + to.dx - 0.25
				if to.acc != 0 {
					l, _ := accidentalReach(to, to.of.size)
					x1 = to.of.node.x + to.accX + l - 0.2
				}
				sy.glideLine(x0, y(h.p), x1, y(to.p))
				continue
			}
			sy.glideLine(x0, y(h.p), sy.contentRight()-0.2, (y(h.p)+y(to.p))/2)
		}
	}
	for _, n := range sy.notesHere() {
		for _, h := range n.heads {
			if h.play == nil {
				continue
			}
			if b := s.before[h.play]; b != nil && b.pluck.Glide && b.head != nil && !sy.has(b.head.of.node) {
				x1 := n.node.x + n.dx + h.dx - 0.25
				sy.glideLine(max(sy.contentLeft()-0.2, x1-2.5), (y(h.p)+y(b.head.p))/2, x1, y(h.p))
			}
		}
	}
}

func (sy *system) glideLine(x0, y0, x1, y1 float64) {
	if x1-x0 < 0.5 {
		return
	}
	if y0 == y1 {
		return
	}
	// Keep the line out of the heads' own height.
	d := math.Copysign(0.18, y1-y0)
	sy.c.Begin("glide")
	sy.c.Ghost(draw.Rule{X1: x0, Y1: y0 + d, X2: x1, Y2: y1 - d, Width: 0.14})
	sy.c.End()
}
