package sheet

import (
	"math"
	"strconv"

	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// slur is a curve over the notes from … to.
type slur struct{ from, to *note }

// readSlurs pairs the beginnings and ends of slurs in each voice; a slur that
// ends takes the one that began last.
func (s *score) readSlurs() {
	for v := range s.t.Voices {
		var open []*note
		for _, m := range s.bars {
			for _, n := range m.notes {
				if n.voice != v || n.grace >= 0 {
					continue
				}
				for range n.ev.SlurEnds {
					if k := len(open); k > 0 {
						if open[k-1] != n && !n.rest && !open[k-1].rest {
							s.slurs = append(s.slurs, slur{open[k-1], n})
						}
						open = open[:k-1]
					}
				}
				for range n.ev.Slurs {
					open = append(open, n)
				}
			}
		}
	}
	// Graces are slurred to what they stand before.
	for _, m := range s.bars {
		for i, n := range m.notes {
			if n.grace != 0 {
				continue
			}
			for _, k := range m.notes[i:] {
				if k.grace < 0 {
					if !k.rest && k.heads != nil && n.heads != nil && n.bottom().p != k.bottom().p {
						s.slurs = append(s.slurs, slur{n, k})
					}
					break
				}
			}
		}
	}
}

// drawSlurs draws the parts of slurs that lie in this line.
func (sy *system) drawSlurs() {
	for _, sl := range sy.s.slurs {
		if sl.from.node.line <= sy.index && sl.to.node.line >= sy.index {
			sy.drawSlur(sl)
		}
	}
}

func (sy *system) drawSlur(sl slur) {
	up := sy.slurUp(sl)
	sign := 1.0
	if up {
		sign = -1
	}
	if sl.from.grace >= 0 {
		sy.graceSlur(sl, sign)
		return
	}
	end := func(n *note) (x, at float64) {
		h := n.bottom()
		if up {
			h = n.top()
		}
		x = n.node.x + n.dx + h.dx + h.symbol.Advance()*n.size/2
		at = y(h.p) + sign*0.85
		if n.stemmed() && n.up == up {
			at = n.stemTip + sign*0.35
			x = n.stemX
		}
		return x, at
	}
	x0, y0 := end(sl.from)
	x1, y1 := end(sl.to)
	if sl.from.node.line < sy.index {
		x0 = sy.contentLeft() - 0.4
		y0 = y1
	}
	if sl.to.node.line > sy.index {
		x1 = sy.contentRight() - 0.2
		if sl.from.node.line == sy.index {
			y1 = y0
		}
	}
	if sl.from.node.line < sy.index && sl.to.node.line > sy.index {
		y0 = sy.edgeOver(x0, x1, up) + sign*0.4
		y1 = y0
	}
	if x1-x0 < 1 {
		x0, x1 = x0-0.3, x1+0.3
	}
	d := x1 - x0
	height := min(max(0.5+0.06*d, 0.7), 2.2)
	// Lift the curve over everything between its ends.
	for _, b := range sy.c.Boxes {
		if b.X0 > x1-0.6 || b.X1 < x0+0.6 {
			continue
		}
		edge := b.Y1
		if up {
			edge = b.Y0
		}
		for _, bx := range [2]float64{b.X0, b.X1} {
			// Near its ends a curve is steep: what stands there counts as if it
			// stood a little farther in. The comparison is with a parabola of the
			// same height, which lies inside the curve.
			u := min(max((bx-x0)/d, 0.2), 0.8)
			base := y0 + (y1-y0)*u
			if over := sign*(edge-base) + 0.4; over > 0 {
				height = max(height, min(over/(4*u*(1-u)), 4.5))
			}
		}
	}
	sy.c.Begin("slur")
	sy.c.Add(ink.Bow(x0, y0, x1, y1, sign*height, draw.Engraving.SlurEnd, draw.Engraving.SlurMiddle))
	sy.c.End()
}

// graceSlur draws the small slur from a grace to its note, under or over the
// heads on the side away from the grace's stem.
func (sy *system) graceSlur(sl slur, _ float64) {
	if sl.from.node.line != sl.to.node.line {
		return
	}
	sign := 1.0
	h, k := sl.from.bottom(), sl.to.bottom()
	if !sl.from.up {
		sign = -1
		h, k = sl.from.top(), sl.to.top()
	}
	x0 := sl.from.node.x + h.symbol.Advance()*sl.from.size*0.5
	y0 := y(h.p) + sign*0.6
	x1 := sl.to.node.x + sl.to.dx + 0.3
	y1 := y(k.p) + sign*0.75
	if sl.to.stemmed() && sl.to.up == (sign < 0) {
		// The note's own stem is on this side: end at the head's shoulder.
		x1 -= 0.45
		y1 = y(k.p) + sign*0.35
	}
	height := min(max(0.12*(x1-x0), 0.35), 0.8)
	sy.c.Begin("slur")
	sy.c.Add(ink.Bow(x0, y0, x1, y1, sign*height, draw.Engraving.SlurEnd*0.8, draw.Engraving.SlurMiddle*0.7))
	sy.c.End()
}

// edgeOver returns the outermost ink of the staff between two places.
func (sy *system) edgeOver(x0, x1 float64, up bool) float64 {
	if up {
		return sy.c.TopOver(x0, x1, 0)
	}
	return sy.c.BottomUnder(x0, x1, 4, math.Inf(1))
}

// slurUp says on which side a slur lies: below when every stem goes up, above
// as soon as one goes down; in two voices on the voice's side.
func (sy *system) slurUp(sl slur) bool {
	if sl.from.many {
		return sl.from.up
	}
	inside := false
	for i := sl.from.bar.i; i <= sl.to.bar.i; i++ {
		for _, n := range sy.s.bars[i].notes {
			if n == sl.from {
				inside = true
			}
			if inside && n.voice == sl.from.voice && n.grace < 0 && !n.rest && (!n.up || !n.stemmed() && n.top().p >= 0) {
				return true
			}
			if n == sl.to {
				return false
			}
		}
	}
	return false
}

// tupletGroup is one tuplet: the notes that share it.
type tupletGroup struct {
	actual, normal int
	level          int
	notes          []*note
}

func (s *score) readTuplets() {
	for _, m := range s.bars {
		if m.skip {
			continue
		}
		open := map[int][]int{} // by voice: indexes into s.groups, outermost first
		for _, n := range m.notes {
			if n.grace >= 0 {
				continue
			}
			stack := open[n.voice]
			for level, t := range n.ev.Tuplets {
				if t.Starts || level >= len(stack) {
					stack = append(stack[:min(level, len(stack))], len(s.groups))
					s.groups = append(s.groups, tupletGroup{actual: t.Actual, normal: t.Normal, level: level})
				}
				g := &s.groups[stack[level]]
				g.notes = append(g.notes, n)
			}
			stack = stack[:min(len(stack), len(n.ev.Tuplets))]
			for level := len(n.ev.Tuplets) - 1; level >= 0; level-- {
				if n.ev.Tuplets[level].Ends {
					stack = stack[:min(level, len(stack))]
				}
			}
			open[n.voice] = stack
		}
	}
}

// drawTuplets draws numbers and brackets, inner tuplets first.
func (sy *system) drawTuplets() {
	deepest := 0
	for _, g := range sy.s.groups {
		deepest = max(deepest, g.level)
	}
	for level := deepest; level >= 0; level-- {
		for i := range sy.s.groups {
			if g := &sy.s.groups[i]; g.level == level && sy.has(g.notes[0].node) {
				sy.drawTuplet(g)
			}
		}
	}
}

func (sy *system) drawTuplet(g *tupletGroup) {
	ups, downs := 0, 0
	for _, n := range g.notes {
		switch {
		case n.rest:
		case n.up:
			ups++
		default:
			downs++
		}
	}
	above := ups >= downs
	first, last := g.notes[0], g.notes[len(g.notes)-1]
	for !sy.has(last.node) { // a bar that was cut
		g.notes = g.notes[:len(g.notes)-1]
		last = g.notes[len(g.notes)-1]
	}
	left := first.node.x + first.dx - 0.1
	right := last.node.x + last.dx + headWidth + 0.1
	bare := first.beam != nil && first.beam == last.beam && first.beam.notes[0] == first && first.beam.notes[len(first.beam.notes)-1] == last
	sy.tupletMark(strconv.Itoa(g.actual), left, right, above, bare, math.Inf(1))
}

// tupletMark sets a tuplet's number, with a bracket unless the beam shows what
// belongs to it. Only ink above limit is kept clear of when it stands below.
func (sy *system) tupletMark(number string, left, right float64, above, bare bool, limit float64) {
	const size = 0.8
	c := sy.c
	w := 0.0
	for i := range len(number) {
		w += (draw.Tuplet0 + draw.Symbol(number[i]-'0')).Advance() * size
	}
	mid := (left + right) / 2
	var at float64 // the middle of the number
	const half = 0.75 * size
	x0, x1 := left, right
	if bare {
		x0, x1 = mid-w/2-0.2, mid+w/2+0.2
	}
	if above {
		at = min(c.TopOver(x0, x1, -0.2)-half-0.25, -half-0.3)
	} else {
		at = max(c.BottomUnder(x0, x1, 4.2, limit)+half+0.25, 4+half+0.3)
	}
	c.Begin("tuplet")
	x := mid - w/2
	for i := range len(number) {
		d := draw.Tuplet0 + draw.Symbol(number[i]-'0')
		c.Glyph(d, x, at+half, size)
		x += d.Advance() * size
	}
	if !bare {
		t := draw.Engraving.TupletBracket
		hook := 0.7
		if !above {
			hook = -hook
		}
		c.Line(left, at, mid-w/2-0.3, at, t)
		c.Line(mid+w/2+0.3, at, right, at, t)
		c.Line(left+t/2, at, left+t/2, at+hook, t)
		c.Line(right-t/2, at, right-t/2, at+hook, t)
	}
	c.End()
}

// drawMarks sets articulations by the heads and ornaments above the staff.
func (sy *system) drawMarks() {
	for _, n := range sy.notesHere() {
		if n.grace >= 0 || n.hidden {
			continue
		}
		for _, k := range n.ev.Marks {
			if k == tune.Arpeggio {
				continue
			}
			sy.c.Begin("mark")
			sy.drawMark(n, k)
			sy.c.End()
		}
	}
}

// nearMarks stand by the head, on the side away from the stem.
var nearMarks = map[tune.Mark][2]draw.Symbol{
	tune.Staccato:     {draw.ArticStaccatoAbove, draw.ArticStaccatoBelow},
	tune.Tenuto:       {draw.ArticTenutoAbove, draw.ArticTenutoBelow},
	tune.Accent:       {draw.ArticAccentAbove, draw.ArticAccentBelow},
	tune.StrongAccent: {draw.ArticMarcatoAbove, draw.ArticMarcatoAbove},
}

var overMarks = map[tune.Mark]draw.Symbol{
	tune.Fermata:         draw.FermataAbove,
	tune.Trill:           draw.OrnamentTrill,
	tune.Turn:            draw.OrnamentTurn,
	tune.Mordent:         draw.OrnamentMordent,
	tune.InvertedMordent: draw.OrnamentShortTrill,
	tune.UpBow:           draw.StringsUpBow,
	tune.DownBow:         draw.StringsDownBow,
	tune.Roll:            draw.OrnamentTurn,
	tune.Breath:          draw.BreathMarkComma,
}

func (sy *system) drawMark(n *note, k tune.Mark) {
	c := sy.c
	mid := n.node.x + n.dx + headWidth/2
	if n.rest {
		mid = n.node.x + n.dx + sign.Rest(n.value).Advance()/2
		if sp := sy.spanOf(n.bar); n.value.BarRest && len(sp) > 0 {
			mid = (sp[0].x0 + sp[len(sp)-1].x1) / 2
		}
	}
	if pair, ok := nearMarks[k]; ok && !n.rest && k != tune.StrongAccent {
		above := !n.up
		if !n.stemmed() {
			above = n.top().p >= 0
		}
		if n.many {
			above = n.up
		}
		sym := pair[1]
		if above {
			sym = pair[0]
		}
		w := sym.Box().X1
		x := mid - w/2
		height := sym.Box().Y1 - sym.Box().Y0
		if above {
			at := c.TopOver(mid-0.6, mid+0.6, y(n.top().p)-0.5) - 0.3
			if k != tune.Accent && !n.many {
				at = spaceFor(at, height, -1)
			} else {
				at = min(at, -0.3)
			}
			c.Glyph(sym, x, at, 1)
			return
		}
		at := c.BottomUnder(mid-0.6, mid+0.6, y(n.bottom().p)+0.5, math.Inf(1)) + 0.3
		if k != tune.Accent && !n.many {
			at = spaceFor(at, height, 1)
		} else {
			at = max(at, 4.3)
		}
		c.Glyph(sym, x, at, 1)
		return
	}
	sym, ok := overMarks[k]
	if k == tune.StrongAccent {
		sym, ok = draw.ArticMarcatoAbove, true
	}
	if !ok {
		return
	}
	b := sym.Box()
	x := mid - (b.X0+b.X1)/2
	if k == tune.Breath {
		x = n.node.x + n.dx + headWidth + 0.6
		for i, nd := range sy.nodes {
			if nd == n.node && i+1 < len(sy.nodes) && sy.nodes[i+1].bar == nd.bar {
				x = sy.nodes[i+1].x - 1
			}
		}
	}
	if k == tune.Fermata && n.many && !n.up {
		c.Glyph(draw.FermataBelow, x, c.BottomUnder(x, x+b.X1, 4.1, math.Inf(1))+0.35-draw.FermataBelow.Box().Y0, 1)
		return
	}
	at := c.TopOver(x+b.X0, x+b.X1, -0.1) - 0.35 - b.Y1
	c.Glyph(sym, x, at, 1)
}

// spaceFor moves a small mark that would lie on a staff line into the middle of
// the next space outwards. at is the mark's edge nearest the head.
func spaceFor(at, height, sign float64) float64 {
	mid := at + sign*height/2
	if mid < -0.4 || mid > 4.4 {
		return at
	}
	// Spaces have their middles at 0.5, 1.5, …
	c := math.Floor(mid) + 0.5
	if sign < 0 {
		if c > mid {
			c--
		}
	} else if c < mid {
		c++
	}
	return c - sign*height/2
}
