package tabstaff

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"lapwright/inorder"
	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
	"lapwright/sheet/staff"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// tabY returns the height of a string's line.
func (sy *Painter) tabY(str int) float64 {
	line := str - 1
	if sy.Score.Options.StringOneLow {
		line = len(sy.Score.Tab.Rig.Strings) - str
	}
	return sy.Top + sy.Score.Style.TabGap*float64(line)
}

// Bottom returns the height of the lowest line.
func (sy *Painter) Bottom() float64 {
	return sy.Top + sy.Score.Style.TabGap*float64(len(sy.Score.Tab.Rig.Strings)-1)
}

// StringLines draws the strings, broken where a number stands.
func (sy *Painter) StringLines(right float64) []draw.Item {
	s := sy.Score
	var out []draw.Item
	for str := 1; str <= len(s.Tab.Rig.Strings); str++ {
		var gaps [][2]float64
		for _, st := range sy.StopsHere() {
			for _, p := range st.Plays {
				if p.Pluck.String == str {
					left := p.Middle() - p.Half - 0.18
					if p.Tip() {
						left -= score.TipRoom - 0.18
					}
					gaps = append(gaps, [2]float64{left, p.Middle() + p.Half + 0.18})
					if b := s.Before[p]; p.Joins() && b != nil && sy.Has(b.Stop.Node) {
						at := joinAt(b.Middle(), b, p)
						w := draw.Sans.Width("h")*s.Style.Letter/2 + 0.15
						gaps = append(gaps, [2]float64{at - w, at + w})
					}
				}
			}
		}
		inorder.Stable(gaps, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
		x := 0.0
		line := func(to float64) {
			if to > x+0.05 {
				out = append(out, draw.Rule{X1: x, Y1: sy.tabY(str), X2: to, Y2: sy.tabY(str), Width: draw.Engraving.StaffLine * 0.85, Ink: draw.Grey})
			}
		}
		for _, g := range gaps {
			line(g[0])
			x = max(x, g[1])
		}
		line(right)
	}
	return out
}

// MarksOver reports whether anything stands over the uppermost string.
func (sy *Painter) MarksOver() bool {
	for _, st := range sy.StopsHere() {
		if st.Amiss {
			return true
		}
		for _, p := range st.Plays {
			if p.Pluck.Vibrato || p.Pluck.Attack == tab.PalmHarmonic {
				return true
			}
		}
	}
	return false
}

// New begins the tablature of a system.
func New(sys *spacing.System, c *ink.Canvas) *Painter { return &Painter{System: sys, c: c} }

// Painter draws the tablature of a system.
type Painter struct {
	*spacing.System
	c    *ink.Canvas
	Top  float64 // the uppermost string
	over int     // the boxes of the canvas from here on belong to the tablature
}

// Draw draws what stands on the strings, over and under them.
func (sy *Painter) Draw() {
	s, c := sy.Score, sy.c
	sy.over = len(c.Boxes)
	// The word TAB, and the time when there is no staff to show it.
	for _, b := range sy.Blocks {
		if b.TabClef >= 0 {
			size := s.TabClefSize()
			box := draw.TabClef6.Box()
			mid := (sy.Top + sy.Bottom()) / 2
			c.Begin("clef")
			c.Glyph(draw.TabClef6, b.X+b.TabClef, mid-(box.Y0+box.Y1)/2*size, size)
			c.End()
		}
		if b.Meter != nil && !s.Style.Staff {
			c.Begin("time")
			staff.DrawMeter(c, b.Meter, b.X+b.TimeX, (sy.Top+sy.Bottom())/2, 1)
			c.End()
		}
	}
	for _, st := range sy.StopsHere() {
		if st.Stroke == nil {
			continue
		}
		c.Begin("stroke", score.Keys(s.Bars[st.Stroke.BarIndex], st.Stroke.At)...)
		sy.drawSteel(st)
		for _, p := range st.Plays {
			sy.drawNumber(p)
		}
		c.End()
	}
	for _, st := range sy.StopsHere() {
		for _, p := range st.Plays {
			sy.drawJoin(p)
		}
	}
	sy.drawOverTab()
	if !s.Style.Staff {
		sy.drawMarks()
	}
	low := sy.drawUnderTab()
	if s.Style.Rhythm {
		sy.drawRhythm(low)
	}
}

func (sy *Painter) drawNumber(p *score.Play) {
	s, c := sy.Score, sy.c
	em := s.Style.Number * p.Size
	class := "fret"
	if p.Pluck.Attack == tab.Tied {
		class = "fret held"
	}
	c.Begin(class, draw.Key{Name: "string", Value: strconv.Itoa(p.Pluck.String)}, draw.Key{Name: "voice", Value: strconv.Itoa(p.Pluck.Ref.Voice)}, draw.Key{Name: "event", Value: strconv.Itoa(p.Pluck.Ref.Event)})
	up, _ := score.CapHeight(draw.SansBold)
	c.Text(p.Text, draw.SansBold, em, p.Middle(), sy.tabY(p.Pluck.String)+up*em/2, draw.Middle)
	c.End()
}

// drawSteel draws the steel through a grip: a thin line over the strings that it
// lies on, leaning as the steel leans, broken at the numbers. A grip on one
// string has none; the tip alone is a small wedge that points at it.
func (sy *Painter) drawSteel(st *score.Stop) {
	s, c := sy.Score, sy.c
	pl := st.Stroke.Placement
	if len(st.Plays) == 0 {
		return
	}
	mid := st.Node.X + score.HeadMiddle
	if pl.Kind == steel.Nose {
		for _, p := range st.Plays {
			if p.Tip() {
				c.Begin("steel", draw.Key{Name: "kind", Value: pl.Kind.String()})
				c.Add(ink.NoseMark(p.Middle()-p.Half, sy.tabY(p.Pluck.String)))
				c.End()
			}
		}
		return
	}
	if pl.Kind == steel.Lifted || pl.First >= pl.Last {
		return
	}
	// A straight steel is drawn over the strings that are played; what it covers
	// beside them does not sound.
	first, last := int(pl.First), int(pl.Last)
	if !pl.Slanted() && pl.Kind != steel.Split {
		first, last = 0, 0
		for _, p := range st.Plays {
			if p.Pluck.Fret > 0 {
				if first == 0 || p.Pluck.String < first {
					first = p.Pluck.String
				}
				last = max(last, p.Pluck.String)
			}
		}
		if first == 0 || first == last {
			return
		}
	}
	half := s.Style.Number * 0.40
	x := func(str int) float64 { return mid + s.LeanAt(pl, str) }
	c.Begin("steel", draw.Key{Name: "kind", Value: pl.Kind.String()})
	over := s.Style.TabGap * 0.3
	if pl.Slanted() || pl.Kind == steel.Split {
		over = s.Style.TabGap * score.SteelEnd // the ends stand out, so that the lean shows
	}
	type pt struct{ x, y float64 }
	var pts []pt
	var strs []int
	for str := first; str <= last; str++ {
		if pl.Kind == steel.Split && !pl.Touches(str) {
			continue
		}
		pts = append(pts, pt{x(str), sy.tabY(str)})
		strs = append(strs, str)
	}
	if s.Options.StringOneLow { // from the top line down, as before
		slices.Reverse(pts)
		slices.Reverse(strs)
	}
	stroke := func(a, b pt, cutA, cutB float64) {
		dy := b.y - a.y
		if dy-cutA-cutB < 0.3 {
			return // a speck between two numbers says nothing
		}
		ax, ay := a.x+(b.x-a.x)*cutA/dy, a.y+cutA
		bx, by := b.x-(b.x-a.x)*cutB/dy, b.y-cutB
		c.Add(draw.Rule{X1: ax, Y1: ay, X2: bx, Y2: by, Width: score.SteelWidth})
	}
	cut := func(str int) float64 {
		for _, p := range st.Plays {
			if p.Pluck.String == str {
				return max(half, p.HalfHeight(s.Style.Number)+0.08)
			}
		}
		return 0
	}
	for i := 0; i+1 < len(pts); i++ {
		stroke(pts[i], pts[i+1], cut(strs[i]), cut(strs[i+1]))
	}
	if len(pts) > 1 {
		n := len(pts)
		a, b := pts[0], pts[1]
		k := (b.x - a.x) / (b.y - a.y)
		reach := cut(strs[0]) + over
		stroke(pt{a.x - k*reach, a.y - reach}, a, 0, cut(strs[0]))
		a, b = pts[n-2], pts[n-1]
		k = (b.x - a.x) / (b.y - a.y)
		reach = cut(strs[n-1]) + over
		stroke(b, pt{b.x + k*reach, b.y + reach}, cut(strs[n-1]), 0)
	}
	c.End()
}

// drawJoin draws what joins a number to the next on its string, or leads into
// it: glides, scoops, hammers and pulls, and where a sound is stopped.
func (sy *Painter) drawJoin(p *score.Play) {
	s, c := sy.Score, sy.c
	at := sy.tabY(p.Pluck.String)
	h := s.Style.TabGap * 0.28
	if p.Pluck.Glide {
		x0 := p.Middle() + p.Half + 0.2
		q := s.After[p]
		switch {
		case q == nil || q.Pluck.Attack == tab.BentTo:
		case sy.Has(q.Stop.Node):
			x1 := q.Middle() - q.Half - 0.2
			dy := tilt(p, q, h)
			sy.glideTab(x0, at+dy, x1, at-dy)
		default:
			dy := tilt(p, q, h)
			sy.glideTab(x0, at+dy, sy.ContentRight()-0.2, at)
		}
	}
	b := s.Before[p]
	if b != nil && b.Pluck.Glide && p.Pluck.Attack != tab.BentTo && !sy.Has(b.Stop.Node) {
		x1 := p.Middle() - p.Half - 0.2
		sy.glideTab(max(sy.ContentLeft()-0.1, x1-2), at, x1, at-tilt(b, p, h))
	}
	if k := p.Pluck.Scoop; k != 0 {
		x1 := p.Middle() - p.Half - 0.2
		if p.Tip() {
			x1 -= score.TipRoom
		}
		dy := h
		if k > 0 {
			dy = -h
		}
		sy.glideTab(x1-1.25, at+dy*1.6, x1, at-dy*0.4)
	}
	if p.Pluck.Damp {
		x := p.Middle() + p.Half + 0.36
		c.Begin("damp")
		c.Line(x, at-s.Style.TabGap*0.3, x, at+s.Style.TabGap*0.3, 0.22)
		c.End()
	}
}

// tilt returns half the rise of a glide's line: it climbs when the steel moves up
// the neck, and lies level when only a bender moves.
func tilt(p, q *score.Play, h float64) float64 {
	switch {
	case q.Pluck.Fret > p.Pluck.Fret:
		return h
	case q.Pluck.Fret < p.Pluck.Fret:
		return -h
	}
	return 0
}

func (sy *Painter) glideTab(x0, y0, x1, y1 float64) {
	if x1-x0 < 0.3 {
		return
	}
	sy.c.Begin("glide")
	sy.c.Ghost(draw.Rule{X1: x0, Y1: y0, X2: x1, Y2: y1, Width: 0.16})
	sy.c.End()
}

// drawOverTab draws hammers, pulls, vibrato and compromises over the
// uppermost string.
func (sy *Painter) drawOverTab() {
	s, c := sy.Score, sy.c
	up, _ := score.CapHeight(draw.Sans)
	floor := sy.Top - s.Style.Number*0.45
	for _, st := range sy.StopsHere() {
		for _, p := range st.Plays {
			switch p.Pluck.Attack {
			case tab.Hammered, tab.PulledOff, tab.BentTo:
				b := s.Before[p]
				letter := s.JoinLetter(b, p)
				// A wide number, with the letter of a bender, leaves the join's letter room.
				x0 := min(p.Middle()-2, p.Middle()-p.Half-draw.Sans.Width(letter)*s.Style.Letter-0.2)
				if b != nil && sy.Has(b.Stop.Node) {
					x0 = b.Middle()
				} else {
					x0 = max(x0, sy.ContentLeft()-0.2)
				}
				at := sy.tabY(p.Pluck.String) - s.Style.Number*0.42
				c.Begin("join")
				c.Ghost(ink.Bow(x0, at, p.Middle(), at, -0.45, 0.1, 0.2))
				c.Text(letter, draw.Sans, s.Style.Letter, joinAt(x0, b, p), sy.tabY(p.Pluck.String)+up*s.Style.Letter*0.45, draw.Middle)
				c.End()
			case tab.PalmHarmonic:
				if p.Pluck.String == firstString(st) {
					x := p.Middle()
					w := draw.Sans.Width("palm") * s.Style.Letter / 2
					c.Begin("join")
					c.Text("palm", draw.Sans, s.Style.Letter, x, sy.overTab(x-w, x+w, floor)-0.4, draw.Middle)
					c.End()
				}
			}
		}
		if x, ok := vibrato(st); ok {
			w := draw.WiggleVibrato.Advance()
			n := 3
			y := sy.overTab(x-0.3, x+float64(n)*w, floor) - 0.35
			c.Begin("vibrato")
			for i := range n {
				c.Glyph(draw.WiggleVibrato, x-0.3+float64(i)*w, y, 1)
			}
			c.End()
		}
		if st.Amiss {
			x := st.Node.X + score.HeadMiddle
			y := sy.overTab(x-0.5, x+0.5, floor) - 0.2
			c.Begin("compromise")
			c.Text("*", draw.SansBold, s.Style.Letter*1.3, x, y+0.3*s.Style.Letter, draw.Middle)
			c.End()
		}
	}
}

// drawMarks draws accents, fermatas, swells and the like over the uppermost string,
// where there is no staff that has them.
func (sy *Painter) drawMarks() {
	c := sy.c
	for _, st := range sy.StopsHere() {
		if !st.Rolled() {
			continue
		}
		left, top, bottom := math.Inf(1), math.Inf(1), math.Inf(-1)
		for _, p := range st.Plays {
			left = min(left, p.Middle()-p.Half)
			top, bottom = min(top, sy.tabY(p.Pluck.String)), max(bottom, sy.tabY(p.Pluck.String))
		}
		c.Begin("mark")
		c.Add(ink.Wave(left-0.7, top-0.5, bottom+0.5))
		c.End()
	}
	type where struct {
		node *score.Node
		mark tune.Mark
	}
	done := map[where]bool{}
	for _, n := range sy.NotesHere() {
		if n.Grace >= 0 || n.Hidden {
			continue
		}
		for _, k := range n.Event.Marks {
			sym, ok := staff.Over(k)
			if !ok || done[where{n.Node, k}] {
				continue // two voices that hold on are told once
			}
			done[where{n.Node, k}] = true
			b := sym.Box()
			x := n.Node.X + score.HeadMiddle - (b.X0+b.X1)/2
			if k == tune.Breath {
				x = n.Node.X + score.HeadMiddle + 1.2
			}
			y := sy.overTab(x+b.X0, x+b.X1, sy.Top-sy.Score.Style.Number*0.45) - 0.35 - b.Y1
			c.Begin("mark", score.Keys(n.Measure, n.At)...)
			c.Glyph(sym, x, y, 1)
			c.End()
		}
	}
}

// joinAt returns where the letter of a hammer or pull stands: on the string,
// halfway between the two numbers.
func joinAt(x0 float64, b, p *score.Play) float64 {
	if b != nil && x0 == b.Middle() {
		x0 += b.Half
	}
	return (x0 + p.Middle() - p.Half) / 2
}

// overTab returns the highest ink over the tablature between two places.
func (sy *Painter) overTab(x0, x1, floor float64) float64 {
	for _, b := range sy.c.Boxes[sy.over:] {
		if b.X0 < x1 && b.X1 > x0 {
			floor = min(floor, b.Y0)
		}
	}
	return floor
}

func firstString(st *score.Stop) int {
	out := st.Plays[0].Pluck.String
	for _, p := range st.Plays {
		out = min(out, p.Pluck.String)
	}
	return out
}

func vibrato(st *score.Stop) (float64, bool) {
	for _, p := range st.Plays {
		if p.Pluck.Vibrato {
			return p.Middle() - p.Half, true
		}
	}
	return 0, false
}

// drawUnderTab draws the angle of slanted grips and the picking fingers, and
// gives how low they reach.
func (sy *Painter) drawUnderTab() float64 {
	s, c := sy.Score, sy.c
	em := s.Style.Letter
	up, _ := score.CapHeight(draw.Sans)
	bottom := sy.Bottom() + s.Style.Number*0.5
	for _, b := range c.Boxes[sy.over:] {
		bottom = max(bottom, b.Y1) // the ends of leaning bars
	}
	row := bottom
	if !s.Options.NoLean {
		for _, st := range sy.StopsHere() {
			if st.Lean == "" {
				continue
			}
			c.Begin("lean")
			r := c.Text(st.Lean, draw.Sans, em, st.Node.X+score.HeadMiddle, bottom+0.5+up*em, draw.Middle)
			c.End()
			row = max(row, r.Y1)
		}
	}
	low := row
	if !s.Options.NoFingers {
		for _, st := range sy.StopsHere() {
			at := row + 0.6 + up*em
			fingers := st.Fingers()
			if s.Options.StringOneLow {
				slices.Reverse(fingers)
			}
			for _, f := range fingers {
				c.Begin("finger")
				r := c.Text(f, draw.Sans, em, st.Node.X+score.HeadMiddle, at, draw.Middle)
				c.End()
				low = max(low, r.Y1)
				at += up*em + 0.35
			}
		}
	}
	return low
}
