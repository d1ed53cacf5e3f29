package sheet

import (
	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// block is what stands between bars: barlines, clef, key and time signature.
// Its measures are staff spaces from its left edge.
type block struct {
	w       float64
	clef    float64 // −1 when there is none
	keyX    float64
	key     []sign.KeySign
	timeX   float64
	meter   *tune.Meter // nil when none is shown
	lines   []stroke
	dots    []float64 // left edges of the repeat dots
	barX    float64   // where the bar ends for what refers to it, such as an ending's bracket
	times   int       // how often the part is played, when that is not twice
	tabClef float64
}

// stroke is one line of a barline.
type stroke struct {
	x, w   float64 // left edge and width
	dashed bool
}

// bars sets barlines from x on and gives the new right edge.
func (b *block) bars(x float64, style tune.BarlineStyle, end, start bool) float64 {
	e := draw.Engraving
	thin := func(dashed bool) {
		b.lines = append(b.lines, stroke{x, e.ThinBarline, dashed})
		x += e.ThinBarline
	}
	thick := func() {
		b.lines = append(b.lines, stroke{x, e.ThickBarline, false})
		x += e.ThickBarline
	}
	dots := func() {
		b.dots = append(b.dots, x)
		x += draw.RepeatDot.Advance()
	}
	gap := e.BarlineGap
	switch {
	case end && start:
		dots()
		x += e.RepeatDotGap
		thin(false)
		x += gap
		thick()
		x += gap
		thin(false)
		x += e.RepeatDotGap
		dots()
	case end:
		dots()
		x += e.RepeatDotGap
		thin(false)
		x += gap
		thick()
	case start:
		thick()
		x += gap
		thin(false)
		x += e.RepeatDotGap
		dots()
	default:
		switch style {
		case tune.SingleBarline:
			thin(false)
		case tune.DoubleBarline:
			thin(false)
			x += gap
			thin(false)
		case tune.FinalBarline:
			thin(false)
			x += gap
			thick()
		case tune.OpenBarline:
			thick()
			x += gap
			thin(false)
		case tune.DottedBarline:
			thin(true)
		case tune.NoBarline:
		}
	}
	return x
}

// startBlock is what a system begins with before segment g.
func (s *score) startBlock(g *seg) block {
	b := block{clef: 0.7, tabClef: 0.7}
	x := 0.7
	if s.st.staff {
		x += draw.GClef.Advance() + 0.7
		b.keyX = x
		var w float64
		b.key, w = sign.Key(g.m.b.Key, nil)
		if w > 0 {
			x += w + 0.7
		}
	} else {
		b.clef = -1
		x += s.tabClefWidth() + 0.7
	}
	if g.first && (g.m.i == 0 || !g.m.b.Meter.Equal(s.t.Bars[g.m.i-1].Meter)) && g.m.b.Meter.Beats > 0 {
		b.timeX, b.meter = x, &g.m.b.Meter
		x += sign.MeterWidth(b.meter) + 0.3
	}
	b.barX = x
	if g.first && g.m.b.Left.Repeat > 0 {
		x += 0.3
		b.barX = x
		x = b.bars(x, tune.SingleBarline, false, true)
	}
	b.w = x
	return b
}

// tabClefWidth returns the room that the word TAB takes, set to fit the lines.
func (s *score) tabClefWidth() float64 {
	return draw.TabClef6.Advance() * s.tabClefSize()
}

// tabClefSize scales the word to the height of the lines.
func (s *score) tabClefSize() float64 {
	h := s.st.tabGap * float64(len(s.tab.Rig.Strings)-1)
	b := draw.TabClef6.Box()
	return min(max(h*0.8, 2.6)/(b.Y1-b.Y0), 1.25)
}

// midBlock is what stands between two segments of one line.
func (s *score) midBlock(g, next *seg) block {
	b := block{clef: -1, tabClef: -1}
	if !g.last {
		return b
	}
	last := s.last(g.m)
	x := b.bars(0, last.b.Right.Style, last.b.Right.Repeat > 0, next.m.b.Left.Repeat > 0 && !s.changes(last, next.m))
	b.times = last.b.Right.Repeat + 1
	b.barX = x
	if s.changes(last, next.m) {
		x = s.change(&b, x, last, next.m)
		if next.m.b.Left.Repeat > 0 {
			x = b.bars(x+0.3, tune.SingleBarline, false, true)
			b.barX = x
		}
	}
	b.w = x
	return b
}

// changes reports whether key or time change between two bars.
func (s *score) changes(a, b *measure) bool {
	return (s.st.staff && a.b.Key.Signature != b.b.Key.Signature) || !a.b.Meter.Equal(b.b.Meter)
}

// change sets a new key and time after a barline.
func (s *score) change(b *block, x float64, from, to *measure) float64 {
	if s.st.staff && from.b.Key.Signature != to.b.Key.Signature {
		x += 0.7
		b.keyX = x
		var w float64
		b.key, w = sign.Key(to.b.Key, &from.b.Key)
		x += w
	}
	if !from.b.Meter.Equal(to.b.Meter) && to.b.Meter.Beats > 0 {
		x += 0.7
		b.timeX, b.meter = x, &to.b.Meter
		x += sign.MeterWidth(b.meter)
	}
	return x
}

// endBlock is what closes a system after segment g; next follows on the next
// line, or is nil at the end of the piece.
func (s *score) endBlock(g, next *seg) block {
	b := block{clef: -1, tabClef: -1}
	if !g.last {
		return b
	}
	last := s.last(g.m)
	style := last.b.Right.Style
	if next == nil && style == tune.SingleBarline {
		style = tune.FinalBarline
	}
	x := b.bars(0, style, last.b.Right.Repeat > 0, false)
	b.times = last.b.Right.Repeat + 1
	b.barX = x
	if next != nil && s.changes(last, next.m) {
		x = s.change(&b, x, last, next.m)
	}
	b.w = x
	return b
}
