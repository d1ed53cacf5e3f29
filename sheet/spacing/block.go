package spacing

import (
	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// Block is what stands between bars: barlines, clef, key and time signature.
// Its measures are staff spaces from its left edge.
type Block struct {
	w       float64
	Clef    float64 // −1 when there is none
	KeyX    float64
	Key     []sign.KeySign
	TimeX   float64
	Meter   *tune.Meter // nil when none is shown
	Lines   []stroke
	Dots    []float64 // left edges of the repeat dots
	BarX    float64   // where the bar ends for what refers to it, such as an ending's bracket
	Times   int       // how often the part is played, when that is not twice
	TabClef float64
}

// stroke is one line of a barline.
type stroke struct {
	X, Width float64 // left edge and width
	Dashed   bool
}

// bars sets barlines from x on and gives the new right edge.
func (b *Block) bars(x float64, style tune.BarlineStyle, end, start bool) float64 {
	e := draw.Engraving
	thin := func(dashed bool) {
		b.Lines = append(b.Lines, stroke{x, e.ThinBarline, dashed})
		x += e.ThinBarline
	}
	thick := func() {
		b.Lines = append(b.Lines, stroke{x, e.ThickBarline, false})
		x += e.ThickBarline
	}
	dots := func() {
		b.Dots = append(b.Dots, x)
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
func (s *spacer) startBlock(g *seg) Block {
	b := Block{Clef: 0.7, TabClef: 0.7}
	x := 0.7
	if s.Style.Staff {
		x += draw.GClef.Advance() + 0.7
		b.KeyX = x
		var w float64
		b.Key, w = sign.Key(g.m.Bar.Key, nil)
		if w > 0 {
			x += w + 0.7
		}
	} else {
		b.Clef = -1
		x += s.TabClefWidth() + 0.7
	}
	if g.first && (g.m.Index == 0 || !g.m.Bar.Meter.Equal(s.Tune.Bars[g.m.Index-1].Meter)) && g.m.Bar.Meter.Beats > 0 {
		b.TimeX, b.Meter = x, &g.m.Bar.Meter
		x += sign.MeterWidth(b.Meter) + 0.3
	}
	b.BarX = x
	if g.first && g.m.Bar.Left.Repeat > 0 {
		x += 0.3
		b.BarX = x
		x = b.bars(x, tune.SingleBarline, false, true)
	}
	b.w = x
	return b
}

// midBlock is what stands between two segments of one line.
func (s *spacer) midBlock(g, next *seg) Block {
	b := Block{Clef: -1, TabClef: -1}
	if !g.last {
		return b
	}
	last := s.Last(g.m)
	x := b.bars(0, last.Bar.Right.Style, last.Bar.Right.Repeat > 0, next.m.Bar.Left.Repeat > 0 && !s.changes(last, next.m))
	b.Times = last.Bar.Right.Repeat + 1
	b.BarX = x
	if s.changes(last, next.m) {
		x = s.change(&b, x, last, next.m)
		if next.m.Bar.Left.Repeat > 0 {
			x = b.bars(x+0.3, tune.SingleBarline, false, true)
			b.BarX = x
		}
	}
	b.w = x
	return b
}

// changes reports whether key or time change between two bars.
func (s *spacer) changes(a, b *score.Measure) bool {
	return (s.Style.Staff && a.Bar.Key.Signature != b.Bar.Key.Signature) || !a.Bar.Meter.Equal(b.Bar.Meter)
}

// change sets a new key and time after a barline.
func (s *spacer) change(b *Block, x float64, from, to *score.Measure) float64 {
	if s.Style.Staff && from.Bar.Key.Signature != to.Bar.Key.Signature {
		x += 0.7
		b.KeyX = x
		var w float64
		b.Key, w = sign.Key(to.Bar.Key, &from.Bar.Key)
		x += w
	}
	if !from.Bar.Meter.Equal(to.Bar.Meter) && to.Bar.Meter.Beats > 0 {
		x += 0.7
		b.TimeX, b.Meter = x, &to.Bar.Meter
		x += sign.MeterWidth(b.Meter)
	}
	return x
}

// endBlock is what closes a system after segment g; next follows on the next
// line, or is nil at the end of the piece.
func (s *spacer) endBlock(g, next *seg) Block {
	b := Block{Clef: -1, TabClef: -1}
	if !g.last {
		return b
	}
	last := s.Last(g.m)
	style := last.Bar.Right.Style
	if next == nil && style == tune.SingleBarline {
		style = tune.FinalBarline
	}
	x := b.bars(0, style, last.Bar.Right.Repeat > 0, false)
	b.Times = last.Bar.Right.Repeat + 1
	b.BarX = x
	if next != nil && s.changes(last, next.m) {
		x = s.change(&b, x, last, next.m)
	}
	b.w = x
	return b
}
