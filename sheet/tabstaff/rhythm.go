package tabstaff

import (
	"math"
	"strconv"

	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/sign"
	"lapwright/sheet/staff"
)

// shortStem is the share of a stem that a half note has; a whole note has none
// (common practice of printed tablature, no source).
const shortStem = 0.5

// drawRhythm draws the rhythm of the first sounding voice under the tablature:
// stems and beams, a short stem for halves, none for wholes, rests.
func (sy *Painter) drawRhythm(low float64) {
	s, c := sy.Score, sy.c
	top := low + 0.5
	const long = 2.6
	tip := top + long
	done := map[*score.Beam]bool{}
	for _, n := range sy.NotesHere() {
		if n.Grace >= 0 || n.Hidden || n.Voice != sy.leading(n.Measure) {
			continue
		}
		x := n.Node.X + score.HeadMiddle
		c.Begin("rhythm", score.Keys(n.Measure, n.At)...)
		if n.Rest {
			sym := sign.Rest(n.Value)
			rx := n.Node.X
			if sp := sy.SpanOf(n.Measure); n.Value.BarRest && len(sp) > 0 {
				rx = (sp[0].X0+sp[len(sp)-1].X1)/2 - sym.Advance()*0.4
			}
			mid := top + long*0.5
			b := sym.Box()
			if n.Measure.Rests > 1 {
				sp := sy.SpanOf(n.Measure)
				t := strconv.Itoa(n.Measure.Rests)
				w := sign.DigitsWidth(t) * 0.8
				at := (sp[0].X0+sp[0].X1)/2 - w/2
				for i := range len(t) {
					c.Glyph(sign.Digit(t[i]), at, mid, 0.8)
					at += sign.Digit(t[i]).Advance() * 0.8
				}
			} else {
				c.Glyph(sym, rx, mid-(b.Y0+b.Y1)/2*0.8, 0.8)
				sy.rhythmDots(n, rx+b.X1*0.8+0.3, mid)
			}
			c.End()
			continue
		}
		stem := draw.Engraving.Stem * 1.15
		switch v := n.Value; {
		case v.Log2 <= 0:
			sy.rhythmDots(n, x, tip-0.35)
		case v.Log2 == 1:
			c.Line(x, tip-shortStem*long, x, tip, stem)
			sy.rhythmDots(n, x+0.35, tip-0.35)
		default:
			c.Line(x, top, x, tip, stem)
			if n.Beam == nil && n.Tails() > 0 {
				f := sign.Flag(n.Tails(), false)
				const size = 0.75
				c.Glyph(f, x-stem/2, tip-f.FlagAnchor().Y*size, size)
			}
			sy.rhythmDots(n, x+0.35, tip-0.35)
		}
		c.End()
		if b := n.Beam; b != nil && !done[b] {
			done[b] = true
			c.Begin("rhythm-beam")
			sy.rhythmBeam(b, tip)
			c.End()
		}
	}
	for i := range s.Groups {
		g := &s.Groups[i]
		if g.Level > 0 || !sy.Has(g.Notes[0].Node) || g.Notes[0].Voice != sy.leading(g.Notes[0].Measure) {
			continue
		}
		first, last := g.Notes[0], g.Notes[len(g.Notes)-1]
		if !sy.Has(last.Node) {
			continue
		}
		bare := first.Beam != nil && first.Beam == last.Beam && first.Beam.Notes[0] == first && first.Beam.Notes[len(first.Beam.Notes)-1] == last
		staff.TupletMark(sy.c, strconv.Itoa(g.Actual), first.Node.X+score.HeadMiddle-0.4, last.Node.X+score.HeadMiddle+0.4, false, bare, math.Inf(1))
	}
}

// leading is the voice whose rhythm is shown: the first that sounds in the bar.
func (sy *Painter) leading(m *score.Measure) int {
	for v, line := range m.Bar.Lines {
		if !score.OnlyRests(line) {
			return v
		}
	}
	return 0
}

func (sy *Painter) rhythmDots(n *score.Note, x, y float64) {
	for range n.Value.Dots {
		sy.c.Glyph(draw.AugmentationDot, x, y, 0.9)
		x += 0.5
	}
}

func (sy *Painter) rhythmBeam(b *score.Beam, tip float64) {
	const thick, step = 0.42, 0.64
	half := draw.Engraving.Stem * 1.15 / 2
	for _, p := range b.Pieces() {
		x0 := b.Notes[p.From].Node.X + score.HeadMiddle - half
		x1 := b.Notes[p.To].Node.X + score.HeadMiddle + half
		if p.Half {
			if p.Left {
				x0 = x1 - 0.9
			} else {
				x1 = x0 + 0.9
			}
		}
		y := tip - thick - step*float64(p.Level-1)
		sy.c.Add(draw.Box{X: x0, Y: y, W: x1 - x0, H: thick})
	}
}
