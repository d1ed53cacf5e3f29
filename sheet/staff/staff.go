package staff

import (
	"math"
	"slices"
	"strconv"

	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/sign"
	"lapwright/sheet/spacing"
	"lapwright/tune"
)

// drawTuplets draws numbers and brackets, inner tuplets first.
func (sy *painter) drawTuplets() {
	deepest := 0
	for _, g := range sy.Score.Groups {
		deepest = max(deepest, g.Level)
	}
	for level := deepest; level >= 0; level-- {
		for i := range sy.Score.Groups {
			if g := &sy.Score.Groups[i]; g.Level == level && sy.Has(g.Notes[0].Node) {
				sy.drawTuplet(g)
			}
		}
	}
}

func (sy *painter) drawTuplet(g *score.TupletGroup) {
	ups, downs := 0, 0
	for _, n := range g.Notes {
		switch {
		case n.Rest:
		case n.Up:
			ups++
		default:
			downs++
		}
	}
	above := ups >= downs
	first, last := g.Notes[0], g.Notes[len(g.Notes)-1]
	for !sy.Has(last.Node) { // a bar that was cut
		g.Notes = g.Notes[:len(g.Notes)-1]
		last = g.Notes[len(g.Notes)-1]
	}
	left := first.Node.X + first.DX - 0.1
	right := last.Node.X + last.DX + score.HeadWidth + 0.1
	bare := first.Beam != nil && first.Beam == last.Beam && first.Beam.Notes[0] == first && first.Beam.Notes[len(first.Beam.Notes)-1] == last
	TupletMark(sy.c, strconv.Itoa(g.Actual), left, right, above, bare, math.Inf(1))
}

// TupletMark sets a tuplet's number, with a bracket unless the beam shows what
// belongs to it. Only ink above limit is kept clear of when it stands below.
func TupletMark(c *ink.Canvas, number string, left, right float64, above, bare bool, limit float64) {
	const size = 0.8
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
		at = c.TopOver(x0, x1, -0.2) - half - 0.25
	} else {
		at = c.BottomUnder(x0, x1, 4.2, limit) + half + 0.25
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

// painter draws heads, stems, beams, rests and marks of a system's staff.
type painter struct {
	*spacing.System
	c *ink.Canvas
}

// Draw draws a system's staff but for its lines and barlines.
func Draw(sys *spacing.System, c *ink.Canvas) {
	sy, curves := &painter{sys, c}, &arcs{sys, c}
	sy.drawBlocks()
	sy.drawNotes()
	curves.drawTies()
	curves.drawStaffGlides()
	sy.drawTuplets()
	curves.drawSlurs()
	sy.drawMarks()
}

// drawBlocks draws clefs, keys and times on the staff.
func (sy *painter) drawBlocks() {
	s, c := sy.Score, sy.c
	for _, b := range sy.Blocks {
		if b.Clef >= 0 {
			clef := draw.GClef
			if s.Low {
				clef = draw.GClef8vb
			}
			c.Begin("clef")
			c.Glyph(clef, b.X+b.Clef, 3, 1)
			c.End()
		}
		if len(b.Key) > 0 {
			c.Begin("key")
			for _, k := range b.Key {
				c.Glyph(k.Symbol, b.X+b.KeyX+k.X, score.Y(k.P), 1)
			}
			c.End()
		}
		if b.Meter != nil {
			c.Begin("time")
			DrawMeter(c, b.Meter, b.X+b.TimeX, 2, 1)
			c.End()
		}
	}
}

func (sy *painter) drawNotes() {
	c := sy.c
	lines := sy.SetStems()
	for _, n := range sy.NotesHere() {
		if n.Rest {
			if !n.Hidden {
				sy.drawRest(n)
			}
			continue
		}
		keys := score.Keys(n.Measure, n.At, draw.Key{Name: "voice", Value: strconv.Itoa(n.Voice)}, draw.Key{Name: "event", Value: strconv.Itoa(n.EventIndex)})
		if n.Grace >= 0 {
			keys = append(keys, draw.Key{Name: "grace", Value: strconv.Itoa(n.Grace)})
		}
		c.Begin("note", keys...)
		sy.drawHeads(n)
		sy.drawStem(n)
		c.End()
	}
	done := map[*score.Beam]bool{}
	for _, n := range sy.NotesHere() {
		if b := n.Beam; b != nil && !done[b] {
			done[b] = true
			c.Begin("beam")
			drawBeam(c, b, lines[b])
			c.End()
		}
	}
	for _, n := range sy.NotesHere() {
		if n.Grace == 0 {
			sy.graceSlash(n)
		}
	}
}

func (sy *painter) drawHeads(n *score.Note) {
	c := sy.c
	x0 := n.Node.X + n.DX
	e := draw.Engraving
	// Ledger lines: one set for the heads on each side.
	for _, h := range n.Heads {
		w := h.Symbol.Advance() * n.Size
		ext := e.LegerExtension * n.Size
		for p := 6; p <= h.Place; p += 2 {
			c.Line(x0+h.DX-ext, score.Y(p), x0+h.DX+w+ext, score.Y(p), e.LegerLine)
		}
		for p := -6; p >= h.Place; p -= 2 {
			c.Line(x0+h.DX-ext, score.Y(p), x0+h.DX+w+ext, score.Y(p), e.LegerLine)
		}
	}
	shared := slices.ContainsFunc(n.Node.Notes[:slices.Index(n.Node.Notes, n)], n.SharesHead)
	for _, h := range n.Heads {
		x := x0 + h.DX
		if h.Symbol == draw.NoteheadDoubleWhole {
			x -= 0.36
		}
		c.Begin("head", draw.Key{Name: "pitch", Value: h.Note.Name.String()})
		if !shared {
			c.Glyph(h.Symbol, x, score.Y(h.Place), n.Size)
		}
		c.End()
		if h.Accidental != 0 {
			sy.drawAccidental(h)
		}
		if n.Value.Dots > 0 && !shared {
			sy.drawDots(n, h)
		}
		if h.Note.Scoop != 0 {
			dy := 0.9
			if h.Note.Scoop > 0 {
				dy = -0.9
			}
			c.Begin("scoop")
			c.Line(x-1.25, score.Y(h.Place)+dy, x-0.2, score.Y(h.Place)+dy*0.15, 0.14)
			c.End()
		}
	}
	for _, k := range n.Event.Marks {
		if k == tune.Arpeggio && n.Grace < 0 {
			left := x0
			for _, h := range n.Heads {
				left = min(left, x0+h.DX)
				if h.Accidental != 0 {
					left = min(left, n.Node.X+h.AccidentalX)
				}
			}
			c.Begin("mark")
			c.Add(ink.Wave(left-0.7, score.Y(n.Top().Place)-0.5, score.Y(n.Bottom().Place)+0.5))
			c.End()
		}
	}
}

func (sy *painter) drawAccidental(h *score.Head) {
	c := sy.c
	size := h.Of.Size
	x := h.Of.Node.X + h.AccidentalX
	c.Begin("accidental")
	if h.Brackets {
		b := draw.AccidentalParensLeft.Advance() * size * 0.95
		c.Glyph(draw.AccidentalParensLeft, x-b, score.Y(h.Place), size)
		c.Glyph(draw.AccidentalParensRight, x+h.Accidental.Advance()*size-0.05*size, score.Y(h.Place), size)
	}
	c.Glyph(h.Accidental, x, score.Y(h.Place), size)
	c.End()
}

func (sy *painter) drawDots(n *score.Note, h *score.Head) {
	// Dots of a chord stand in one column, clear of displaced heads.
	right := 0.0
	for _, o := range n.Heads {
		right = max(right, o.DX+o.Symbol.Advance()*n.Size)
	}
	x := n.Node.X + n.DX + right + 0.3*n.Size + n.DotShift()
	sy.c.Begin("dot")
	for range n.Value.Dots {
		sy.c.Glyph(draw.AugmentationDot, x, score.Y(h.DotP), n.Size)
		x += 0.55 * n.Size
	}
	sy.c.End()
}

func (sy *painter) drawStem(n *score.Note) {
	if !n.Stemmed() {
		return
	}
	c := sy.c
	c.Begin("stem")
	c.Line(n.StemX, n.StemRoot(), n.StemX, n.StemTip, draw.Engraving.Stem*n.Size)
	c.End()
	if n.Beam == nil && n.Tails() > 0 {
		f := sign.Flag(n.Tails(), n.Up)
		a := f.FlagAnchor()
		half := draw.Engraving.Stem / 2 * n.Size
		c.Begin("flag")
		c.Glyph(f, n.StemX-half, n.StemTip-a.Y*n.Size, n.Size)
		c.End()
	}
}

// graceSlash draws the stroke through the stem of a crushed note.
func (sy *painter) graceSlash(n *score.Note) {
	if !n.Slash || !n.Stemmed() {
		return
	}
	x, t := n.StemX, n.StemTip
	sign := 1.0
	if !n.Up {
		sign = -1
	}
	sy.c.Begin("slash")
	sy.c.Line(x-0.55, t+sign*1.5, x+0.75, t+sign*0.45, 0.1)
	sy.c.End()
}

// drawBeam lays the beams of a group along its line.
func drawBeam(c *ink.Canvas, b *score.Beam, line score.Slope) {
	size := b.Notes[0].Size
	thick := draw.Engraving.Beam * size
	step := (draw.Engraving.Beam + draw.Engraving.BeamGap) * size
	inwards := 1.0 // from the stems' ends towards the heads
	if !b.Up {
		inwards = -1
	}
	half := draw.Engraving.Stem / 2 * size
	for _, p := range b.Pieces() {
		x0, x1 := b.Notes[p.From].StemX-half, b.Notes[p.To].StemX+half
		if p.Half {
			if p.Left {
				x0 = x1 - 1.1*size
			} else {
				x1 = x0 + 1.1*size
			}
		}
		off := inwards * step * float64(p.Level-1)
		y0, y1 := line.Height(x0)+off, line.Height(x1)+off
		c.Add(ink.Polygon(draw.Point{X: x0, Y: y0}, draw.Point{X: x1, Y: y1}, draw.Point{X: x1, Y: y1 + inwards*thick}, draw.Point{X: x0, Y: y0 + inwards*thick}))
	}
}

func (sy *painter) drawRest(n *score.Note) {
	c := sy.c
	c.Begin("rest", score.Keys(n.Measure, n.At)...)
	defer c.End()
	sp := sy.SpanOf(n.Measure)
	if n.Measure.Rests > 1 {
		sy.drawManyRests(n.Measure, sp)
		return
	}
	sym := sign.Rest(n.Value)
	at := n.RestY
	x := n.Node.X + n.DX
	if n.Value.BarRest && len(sp) > 0 {
		x = (sp[0].X0+sp[len(sp)-1].X1)/2 - sym.Advance()/2
	}
	// Out of the staff a whole or half rest needs a line to hang from or sit on.
	if (sym == draw.RestWhole || sym == draw.RestHalf) && (at < 0 || at > 4) {
		w := sym.Advance()
		c.Line(x-0.35, at, x+w+0.35, at, draw.Engraving.LegerLine)
	}
	r := c.Glyph(sym, x, at, 1)
	if n.Value.Dots > 0 {
		dx := r.X1 + 0.3
		for range n.Value.Dots {
			c.Glyph(draw.AugmentationDot, dx, at-0.5, 1)
			dx += 0.55
		}
	}
}

// drawManyRests draws the thick bar and the number of a rest of many bars.
func (sy *painter) drawManyRests(m *score.Measure, sp []spacing.Span) {
	c := sy.c
	x0, x1 := sp[0].X0+1.2, sp[0].X1-1.2
	c.Line(x0, 2, x1, 2, 1)
	c.Line(x0, 1, x0, 3, 0.16)
	c.Line(x1, 1, x1, 3, 0.16)
	t := strconv.Itoa(m.Rests)
	w := sign.DigitsWidth(t)
	x := (x0+x1)/2 - w/2
	for i := range len(t) {
		c.Glyph(sign.Digit(t[i]), x, -1.6, 1)
		x += sign.Digit(t[i]).Advance()
	}
}

// DrawMeter draws a time signature whose middle stands at y.
func DrawMeter(c *ink.Canvas, m *tune.Meter, x, y, size float64) {
	switch m.Symbol {
	case "C":
		c.Glyph(draw.TimeSigCommon, x, y, size)
		return
	case "C|":
		c.Glyph(draw.TimeSigCutCommon, x, y, size)
		return
	}
	w := sign.MeterWidth(m) * size
	for i, t := range [2]string{m.Numerator(), strconv.Itoa(m.Unit)} {
		at := x + (w-sign.DigitsWidth(t)*size)/2
		for j := range len(t) {
			over := (sign.DigitAdvance(t[j]) - sign.Digit(t[j]).Advance()) / 2
			c.Glyph(sign.Digit(t[j]), at+over*size, y+float64(2*i-1)*size, size)
			at += sign.DigitAdvance(t[j]) * size
		}
	}
}
