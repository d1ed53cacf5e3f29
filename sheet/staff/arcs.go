package staff

import (
	"math"

	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/sign"
	"lapwright/sheet/spacing"
)

// drawSlurs draws the parts of slurs that lie in this line.
func (sy *arcs) drawSlurs() {
	for _, sl := range sy.Score.Slurs {
		if sl.From.Node.Line <= sy.Index && sl.To.Node.Line >= sy.Index {
			sy.drawSlur(sl)
		}
	}
}

func (sy *arcs) drawSlur(sl score.Slur) {
	up := sy.slurUp(sl)
	sign := 1.0
	if up {
		sign = -1
	}
	if sl.From.Grace >= 0 {
		sy.graceSlur(sl, sign)
		return
	}
	end := func(n *score.Note) (x, at float64) {
		h := n.Bottom()
		if up {
			h = n.Top()
		}
		x = n.Node.X + n.DX + h.DX + h.Symbol.Advance()/2
		at = score.Y(h.Place) + sign*0.85
		if n.Stemmed() && n.Up == up {
			at = n.StemTip + sign*0.35
			x = n.StemX
		}
		return x, at
	}
	x0, y0 := end(sl.From)
	x1, y1 := end(sl.To)
	if sl.From.Node.Line < sy.Index {
		x0 = sy.ContentLeft() - 0.4
		y0 = y1
	}
	if sl.To.Node.Line > sy.Index {
		x1 = sy.ContentRight() - 0.2
		if sl.From.Node.Line == sy.Index {
			y1 = y0
		}
	}
	if sl.From.Node.Line < sy.Index && sl.To.Node.Line > sy.Index {
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
func (sy *arcs) graceSlur(sl score.Slur, _ float64) {
	if sl.From.Node.Line != sl.To.Node.Line {
		return
	}
	sign := 1.0
	h, k := sl.From.Bottom(), sl.To.Bottom()
	if !sl.From.Up {
		sign = -1
		h, k = sl.From.Top(), sl.To.Top()
	}
	x0 := sl.From.Node.X + h.Symbol.Advance()*sl.From.Size*0.5
	y0 := score.Y(h.Place) + sign*0.6
	x1 := sl.To.Node.X + sl.To.DX + 0.3
	y1 := score.Y(k.Place) + sign*0.75
	if sl.To.Stemmed() && sl.To.Up == (sign < 0) {
		// The note's own stem is on this side: end at the head's shoulder.
		x1 -= 0.45
		y1 = score.Y(k.Place) + sign*0.35
	}
	height := min(max(0.12*(x1-x0), 0.35), 0.8)
	sy.c.Begin("slur")
	sy.c.Add(ink.Bow(x0, y0, x1, y1, sign*height, draw.Engraving.SlurEnd*0.8, draw.Engraving.SlurMiddle*0.7))
	sy.c.End()
}

// edgeOver returns the outermost ink of the staff between two places.
func (sy *arcs) edgeOver(x0, x1 float64, up bool) float64 {
	if up {
		return sy.c.TopOver(x0, x1, 0)
	}
	return sy.c.BottomUnder(x0, x1, 4, math.Inf(1))
}

// slurUp says on which side a slur lies: below when every stem goes up, above
// as soon as one goes down; in two voices on the voice's side.
func (sy *arcs) slurUp(sl score.Slur) bool {
	if sl.From.Many {
		return sl.From.Up
	}
	inside := false
	for i := sl.From.Measure.Index; i <= sl.To.Measure.Index; i++ {
		for _, n := range sy.Score.Bars[i].Notes {
			if n == sl.From {
				inside = true
			}
			if inside && n.Voice == sl.From.Voice && n.Grace < 0 && !n.Rest && (!n.Up || !n.Stemmed() && n.Top().Place >= 0) {
				return true
			}
			if n == sl.To {
				return false
			}
		}
	}
	return false
}

// arcs draws what leads from note to note: ties, slurs and glides.
type arcs struct {
	*spacing.System
	c *ink.Canvas
}

// drawTies draws the ties that begin or end in this line.
func (sy *arcs) drawTies() {
	for _, n := range sy.NotesHere() {
		if n.Rest || n.Grace >= 0 {
			continue
		}
		for i, h := range n.Heads {
			if h.Note.Tie {
				sy.tieOut(n, i, h)
			}
			if from := sy.Score.TieFrom(h); from != nil && !sy.Has(from.Of.Node) {
				sy.tie(tieUp(from.Of, index(from.Of.Heads, from)), sy.ContentLeft()-0.3, n.Node.X+n.DX+h.DX-0.12, h)
			}
		}
	}
}

func index(heads []*score.Head, h *score.Head) int {
	for i, o := range heads {
		if o == h {
			return i
		}
	}
	return 0
}

func (sy *arcs) tieOut(n *score.Note, i int, h *score.Head) {
	right := n.Node.X + n.DX + h.DX + h.Symbol.Advance() + 0.12
	if n.Value.Dots > 0 {
		right += sign.DotsWidth(n.Value, 1) * 0.9
	}
	end := sy.ContentRight() - 0.1
	if next := sy.Score.EventAfter(n); next != nil {
		for _, o := range next.Heads {
			if o.Note.Name.Key() == h.Note.Name.Key() && sy.Has(next.Node) {
				end = next.Node.X + next.DX + o.DX - 0.12
				if o.Accidental != 0 {
					end = next.Node.X + o.AccidentalX - 0.1
				}
			}
		}
	}
	sy.tie(tieUp(n, i), right, end, h)
}

// tieUp reports whether the tie of a note's i-th head (from below) curves upwards:
// away from the stem for one note; in a chord the upper half up and the lower
// half down; in two voices, to the voice's own side.
func tieUp(n *score.Note, i int) bool {
	k := len(n.Heads)
	switch {
	case n.Many:
		return n.Up
	case k == 1 || 2*i+1 == k:
		if !n.Stemmed() {
			return n.Heads[i].Place >= 0
		}
		return !n.Up
	}
	return 2*i+1 > k
}

func (sy *arcs) tie(up bool, x0, x1 float64, h *score.Head) {
	sign := 1.0
	if up {
		sign = -1
	}
	at := score.Y(h.Place) + sign*0.32
	if len(h.Of.Heads) == 1 {
		// A single note's tie starts nearer the middle of the heads.
		at = score.Y(h.Place) + sign*0.62
		x0 -= 0.35
		x1 += 0.35
		if h.Of.Value.Dots > 0 {
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
func (sy *arcs) drawStaffGlides() {
	s := sy.Score
	for _, n := range sy.NotesHere() {
		if n.Rest {
			continue
		}
		for _, h := range n.Heads {
			if h.Play == nil && !h.Note.Glide {
				continue
			}
			var to *score.Head
			if h.Play != nil {
				if q := s.After[h.Play]; h.Play.Pluck.Glide && q != nil {
					to = q.Head
				}
			} else if next := s.EventAfter(n); next != nil {
				// The note at the same place counted from the top.
				if i := len(next.Heads) - (len(n.Heads) - index(n.Heads, h)); i >= 0 {
					to = next.Heads[i]
				}
			}
			if to == nil {
				continue
			}
			x0 := n.Node.X + n.DX + h.DX + h.Symbol.Advance()*n.Size + 0.25 + sign.DotsWidth(n.Value, n.Size)
			if sy.Has(to.Of.Node) {
				x1 := to.Of.Node.X + to.Of.DX + to.DX - 0.25
				if to.Accidental != 0 {
					l, _ := score.AccidentalReach(to, to.Of.Size)
					x1 = to.Of.Node.X + to.AccidentalX + l - 0.2
				}
				sy.glideLine(x0, score.Y(h.Place), x1, score.Y(to.Place))
				continue
			}
			sy.glideLine(x0, score.Y(h.Place), sy.ContentRight()-0.2, (score.Y(h.Place)+score.Y(to.Place))/2)
		}
	}
	for _, n := range sy.NotesHere() {
		for _, h := range n.Heads {
			if h.Play == nil {
				continue
			}
			if b := s.Before[h.Play]; b != nil && b.Pluck.Glide && b.Head != nil && !sy.Has(b.Head.Of.Node) {
				x1 := n.Node.X + n.DX + h.DX - 0.25
				sy.glideLine(max(sy.ContentLeft()-0.2, x1-2.5), (score.Y(h.Place)+score.Y(b.Head.Place))/2, x1, score.Y(h.Place))
			}
		}
	}
}

func (sy *arcs) glideLine(x0, y0, x1, y1 float64) {
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
