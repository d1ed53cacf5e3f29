package sheet

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/sign"
	"lapwright/steel"
	"lapwright/tab"
)

// The steel's lean is drawn at a third of the true one: sideways for each unit
// along the strings. To scale it would tear the grip's numbers out of their
// instant; the label says the true angle. leanLeast keeps a slight lean visible,
// leanMost keeps a wide one together, both in staff spaces over the whole grip.
const (
	leanShare  = 0.35
	leanLeast  = 0.7
	leanMost   = 2.6
	steelWidth = 0.2 // of the line that stands for the steel
	steelEnd   = 0.7 // of the gap between strings: how far the ends of a leaning steel stand out
)

// setStop works out the numbers of a stroke, and how they stand along the steel.
func (s *score) setStop(st *stop) {
	k := st.stroke
	for _, p := range st.plays {
		p.text = s.numberText(p)
		p.half = draw.SansBold.Width(p.text) * s.st.number / 2
		p.dx = s.leanAt(k.Placement, p.pluck.String)
	}
	if k.Placement.Slanted() && len(st.plays) > 0 {
		st.lean = strconv.Itoa(int(math.Round(math.Abs(s.geo.Angle(k.Placement))))) + "°"
	}
}

// leanAt returns how far aside the steel lies over a string, in staff spaces from
// the instant's place: 0 for a straight steel and for strings it does not touch.
func (s *score) leanAt(p steel.Placement, str int) float64 {
	if !p.Slanted() && p.Kind != steel.Split || !p.Touches(str) {
		return 0
	}
	// Positive angles are forward slants: string 1's side to the right.
	across := float64(p.Last-p.First) * s.st.tabGap
	spread := leanShare * math.Tan(s.geo.Angle(p)*math.Pi/180) * across
	spread = math.Copysign(min(max(math.Abs(spread), leanLeast), leanMost), spread)
	// From +spread/2 at the first string to −spread/2 at the last.
	u := 0.0
	if p.Kind == steel.Split {
		if str >= int(p.Last) {
			u = 1
		}
	} else if p.Last > p.First {
		u = float64(str-int(p.First)) / float64(p.Last-p.First)
	}
	return spread * (0.5 - u)
}

// steelReach returns how far the ends of a leaning steel stand left and right of
// its instant's middle.
func (s *score) steelReach(p steel.Placement) (left, right float64) {
	if !p.Slanted() && p.Kind != steel.Split || p.Last <= p.First {
		return 0, 0
	}
	end := s.st.number*0.4 + 0.1 + s.st.tabGap*steelEnd
	slope := func(a, b int) float64 {
		return (s.leanAt(p, b) - s.leanAt(p, a)) / (s.st.tabGap * float64(b-a))
	}
	first, last := int(p.First), int(p.Last)
	a, b := first+1, last-1
	if p.Kind == steel.Split {
		b = first + 1
	}
	for _, x := range [2]float64{s.leanAt(p, first) - slope(first, a)*end, s.leanAt(p, last) + slope(b, last)*end} {
		left, right = max(left, -x), max(right, x)
	}
	return left + 0.1, right + 0.1
}

// numberText is what stands on the string for a pluck.
func (s *score) numberText(p *play) string {
	t := say.Fret(p.pluck.Fret)
	switch p.pluck.Attack {
	case tab.Harmonic:
		if p.pluck.Fret == 0 {
			t = say.Fret(tab.NodeFret(int(p.pluck.Node)))
		}
		return "<" + t + ">"
	case tab.Tied:
		return "(" + t + s.benderText(p) + ")"
	}
	return t + s.benderText(p)
}

// benderText returns the letters of the benders that move a pluck's string.
func (s *score) benderText(p *play) string {
	out := ""
	for i := range s.tab.Rig.Benders {
		b := &s.tab.Rig.Benders[i]
		if p.stroke.Benders.Has(i) && b.Changes(p.pluck.String) {
			out += b.Mark
		}
	}
	return out
}

// numberReach returns how far a number reaches left and right of the instant's
// middle.
func (s *score) numberReach(p *play) (left, right float64) {
	left, right = p.half-p.dx, p.half+p.dx
	if p.tip() {
		left += tipRoom
	}
	if p.pluck.Scoop != 0 {
		left += 1.5
	}
	if p.pluck.Damp {
		right += 0.45
	}
	return left, right
}

// tabY returns the height of a string's line.
func (sy *system) tabY(str int) float64 {
	return sy.tabTop + sy.s.st.tabGap*float64(str-1)
}

func (sy *system) tabBottom() float64 { return sy.tabY(len(sy.s.tab.Rig.Strings)) }

// middle returns where a pluck's number stands across.
func (p *play) middle() float64 { return p.stop.node.x + wholeAtHalf + p.dx }

// stopsHere lists the strokes of the line in order.
func (sy *system) stopsHere() []*stop {
	var out []*stop
	for _, nd := range sy.nodes {
		out = append(out, nd.stops...)
	}
	return out
}

// stringLines draws the strings, broken where a number stands.
func (sy *system) stringLines(right float64) []draw.Item {
	s := sy.s
	var out []draw.Item
	for str := 1; str <= len(s.tab.Rig.Strings); str++ {
		var gaps [][2]float64
		for _, st := range sy.stopsHere() {
			for _, p := range st.plays {
				if p.pluck.String == str {
					left := p.middle() - p.half - 0.18
					if p.tip() {
						left -= tipRoom - 0.18
					}
					gaps = append(gaps, [2]float64{left, p.middle() + p.half + 0.18})
					if b := s.before[p]; p.joins() && b != nil && sy.has(b.stop.node) {
						at := joinAt(b.middle(), b, p)
						w := draw.Sans.Width("h")*s.st.letter/2 + 0.15
						gaps = append(gaps, [2]float64{at - w, at + w})
					}
				}
			}
		}
		slices.SortFunc(gaps, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
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

// marksOverTab reports whether anything stands over the uppermost string.
func (sy *system) marksOverTab() bool {
	for _, st := range sy.stopsHere() {
		if st.amiss {
			return true
		}
		for _, p := range st.plays {
			if p.pluck.Vibrato || p.pluck.Attack == tab.PalmHarmonic {
				return true
			}
		}
	}
	return false
}

func (sy *system) drawTab() {
	s, c := sy.s, sy.c
	sy.overStaff = len(c.Boxes)
	// The word TAB, and the time when there is no staff to show it.
	for _, b := range sy.blocks {
		if b.tabClef >= 0 {
			size := s.tabClefSize()
			box := draw.TabClef6.Box()
			mid := (sy.tabTop + sy.tabBottom()) / 2
			c.Begin("clef")
			c.Glyph(draw.TabClef6, b.x+b.tabClef, mid-(box.Y0+box.Y1)/2*size, size)
			c.End()
		}
		if b.meter != nil && !s.st.staff {
			c.Begin("time")
			sy.drawMeter(b.meter, b.x+b.timeX, (sy.tabTop+sy.tabBottom())/2, 1)
			c.End()
		}
	}
	for _, st := range sy.stopsHere() {
		if st.stroke == nil {
			continue
		}
		c.Begin("stroke", keysOf(s.bars[st.stroke.Bar], st.stroke.At)...)
		sy.drawSteel(st)
		for _, p := range st.plays {
			sy.drawNumber(p)
		}
		c.End()
	}
	for _, st := range sy.stopsHere() {
		for _, p := range st.plays {
			sy.drawJoin(p)
		}
	}
	sy.drawOverTab()
	low := sy.drawUnderTab()
	if s.st.rhythm {
		sy.drawRhythm(low)
	}
}

func (sy *system) drawNumber(p *play) {
	s, c := sy.s, sy.c
	em := s.st.number
	class := "fret"
	if p.pluck.Attack == tab.Tied {
		class = "fret held"
	}
	c.Begin(class, draw.Key{Name: "string", Value: strconv.Itoa(p.pluck.String)}, draw.Key{Name: "voice", Value: strconv.Itoa(p.pluck.Ref.Voice)}, draw.Key{Name: "event", Value: strconv.Itoa(p.pluck.Ref.Event)})
	up, _ := capHeight(draw.SansBold)
	c.Text(p.text, draw.SansBold, em, p.middle(), sy.tabY(p.pluck.String)+up*em/2, draw.Middle)
	c.End()
}

// capHeight returns the height of figures above the baseline in ems.
func capHeight(f draw.Font) (up, down float64) {
	b := draw.Text{S: "0", Font: f, Size: 1}.Bounds()
	return -b.Y0, b.Y1
}

// drawSteel draws the steel through a grip: a thin line over the strings that it
// lies on, leaning as the steel leans, broken at the numbers. A grip on one
// string has none; the tip alone is a small wedge that points at it.
func (sy *system) drawSteel(st *stop) {
	s, c := sy.s, sy.c
	pl := st.stroke.Placement
	if len(st.plays) == 0 {
		return
	}
	mid := st.node.x + wholeAtHalf
	if pl.Kind == steel.Nose {
		for _, p := range st.plays {
			if p.tip() {
				c.Begin("steel", draw.Key{Name: "kind", Value: pl.Kind.String()})
				c.Add(ink.NoseMark(p.middle()-p.half, sy.tabY(p.pluck.String)))
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
		for _, p := range st.plays {
			if p.pluck.Fret > 0 {
				if first == 0 || p.pluck.String < first {
					first = p.pluck.String
				}
				last = max(last, p.pluck.String)
			}
		}
		if first == 0 || first == last {
			return
		}
	}
	half := s.st.number * 0.40
	x := func(str int) float64 { return mid + s.leanAt(pl, str) }
	c.Begin("steel", draw.Key{Name: "kind", Value: pl.Kind.String()})
	over := s.st.tabGap * 0.3
	if pl.Slanted() || pl.Kind == steel.Split {
		over = s.st.tabGap * steelEnd // the ends stand out, so that the lean shows
	}
	type pt struct{ x, y float64 }
	var pts []pt
	for str := first; str <= last; str++ {
		if pl.Kind == steel.Split && !pl.Touches(str) {
			continue
		}
		pts = append(pts, pt{x(str), sy.tabY(str)})
	}
	var strs []int
	for str := first; str <= last; str++ {
		if pl.Kind == steel.Split && !pl.Touches(str) {
			continue
		}
		strs = append(strs, str)
	}
	stroke := func(a, b pt, cutA, cutB float64) {
		dy := b.y - a.y
		if dy-cutA-cutB < 0.3 {
			return // a speck between two numbers says nothing
		}
		ax, ay := a.x+(b.x-a.x)*cutA/dy, a.y+cutA
		bx, by := b.x-(b.x-a.x)*cutB/dy, b.y-cutB
		c.Add(draw.Rule{X1: ax, Y1: ay, X2: bx, Y2: by, Width: steelWidth})
	}
	cut := func(str int) float64 {
		for _, p := range st.plays {
			if p.pluck.String == str {
				return max(half, p.halfHeight(s.st.number)+0.08)
			}
		}
		return 0
	}
	for i := 0; i+1 < len(pts); i++ {
		stroke(pts[i], pts[i+1], cut(strs[i]), cut(strs[i+1]))
	}
	if over > 0 && len(pts) > 1 {
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

// halfHeight returns how far a number's ink reaches above and below its string:
// brackets reach farther than figures.
func (p *play) halfHeight(em float64) float64 {
	up, _ := capHeight(draw.SansBold)
	inkUp, inkDown := draw.SansBold.Ink(p.text)
	return max(inkUp-up/2, inkDown+up/2) * em
}

// tip reports whether a number is marked as being under the steel's nose alone,
// while other strings sound open beside it.
func (p *play) tip() bool {
	return p.stroke.Placement.Kind == steel.Nose && p.pluck.String == int(p.stroke.Placement.First) &&
		p.pluck.Fret > 0 && p.pluck.Attack != tab.Tied && len(p.stop.plays) > 1
}

// tipRoom is the room that the mark of the nose takes beside its number.
const tipRoom = 0.8

// drawJoin draws what joins a number to the next on its string, or leads into
// it: glides, scoops, hammers and pulls, and where a sound is stopped.
func (sy *system) drawJoin(p *play) {
	s, c := sy.s, sy.c
	at := sy.tabY(p.pluck.String)
	h := s.st.tabGap * 0.28
	if p.pluck.Glide {
		x0 := p.middle() + p.half + 0.2
		q := s.after[p]
		switch {
		case q == nil:
		case sy.has(q.stop.node):
			x1 := q.middle() - q.half - 0.2
			dy := tilt(p, q, h)
			sy.glideTab(x0, at+dy, x1, at-dy)
		default:
			dy := tilt(p, q, h)
			sy.glideTab(x0, at+dy, sy.contentRight()-0.2, at)
		}
	}
	b := s.before[p]
	if b != nil && b.pluck.Glide && !sy.has(b.stop.node) {
		x1 := p.middle() - p.half - 0.2
		sy.glideTab(max(sy.contentLeft()-0.1, x1-2), at, x1, at-tilt(b, p, h))
	}
	if k := p.pluck.Scoop; k != 0 {
		x1 := p.middle() - p.half - 0.2
		if p.tip() {
			x1 -= tipRoom
		}
		dy := h
		if k > 0 {
			dy = -h
		}
		sy.glideTab(x1-1.25, at+dy*1.6, x1, at-dy*0.4)
	}
	if p.pluck.Damp {
		x := p.middle() + p.half + 0.36
		c.Begin("damp")
		c.Line(x, at-s.st.tabGap*0.3, x, at+s.st.tabGap*0.3, 0.22)
		c.End()
	}
}

// tilt returns half the rise of a glide's line: it climbs when the steel moves up
// the neck, and lies level when only a bender moves.
func tilt(p, q *play, h float64) float64 {
	switch {
	case q.pluck.Fret > p.pluck.Fret:
		return h
	case q.pluck.Fret < p.pluck.Fret:
		return -h
	}
	return 0
}

func (sy *system) glideTab(x0, y0, x1, y1 float64) {
	if x1-x0 < 0.3 {
		return
	}
	sy.c.Begin("glide")
	sy.c.Ghost(draw.Rule{X1: x0, Y1: y0, X2: x1, Y2: y1, Width: 0.16})
	sy.c.End()
}

// drawOverTab draws hammers, pulls, vibrato and compromises over the
// uppermost string.
func (sy *system) drawOverTab() {
	s, c := sy.s, sy.c
	up, _ := capHeight(draw.Sans)
	floor := sy.tabTop - s.st.number*0.45
	for _, st := range sy.stopsHere() {
		for _, p := range st.plays {
			switch p.pluck.Attack {
			case tab.Hammered, tab.PulledOff:
				b := s.before[p]
				x0 := p.middle() - 2
				if b != nil && sy.has(b.stop.node) {
					x0 = b.middle()
				} else {
					x0 = max(x0, sy.contentLeft()-0.2)
				}
				letter := "h"
				if p.pluck.Attack == tab.PulledOff {
					letter = "p"
				}
				at := sy.tabY(p.pluck.String) - s.st.number*0.42
				c.Begin("join")
				c.Ghost(ink.Bow(x0, at, p.middle(), at, -0.45, 0.1, 0.2))
				c.Text(letter, draw.Sans, s.st.letter, joinAt(x0, b, p), sy.tabY(p.pluck.String)+up*s.st.letter*0.45, draw.Middle)
				c.End()
			case tab.PalmHarmonic:
				if p.pluck.String == firstString(st) {
					x := p.middle()
					w := draw.Sans.Width("palm") * s.st.letter / 2
					c.Begin("join")
					c.Text("palm", draw.Sans, s.st.letter, x, sy.overTab(x-w, x+w, floor)-0.4, draw.Middle)
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
		if st.amiss {
			x := st.node.x + wholeAtHalf
			y := sy.overTab(x-0.5, x+0.5, floor) - 0.2
			c.Begin("compromise")
			c.Text("*", draw.SansBold, s.st.letter*1.3, x, y+0.3*s.st.letter, draw.Middle)
			c.End()
		}
	}
}

// joinAt returns where the letter of a hammer or pull stands: on the string,
// halfway between the two numbers.
func joinAt(x0 float64, b, p *play) float64 {
	if b != nil && x0 == b.middle() {
		x0 += b.half
	}
	return (x0 + p.middle() - p.half) / 2
}

// joins reports whether a pluck is joined to the one before by a hammer or pull.
func (p *play) joins() bool {
	return p.pluck.Attack == tab.Hammered || p.pluck.Attack == tab.PulledOff
}

// overTab returns the highest ink over the tablature between two places.
func (sy *system) overTab(x0, x1, floor float64) float64 {
	for _, b := range sy.c.Boxes[sy.overStaff:] {
		if b.X0 < x1 && b.X1 > x0 {
			floor = min(floor, b.Y0)
		}
	}
	return floor
}

func firstString(st *stop) int {
	out := st.plays[0].pluck.String
	for _, p := range st.plays {
		out = min(out, p.pluck.String)
	}
	return out
}

func vibrato(st *stop) (float64, bool) {
	for _, p := range st.plays {
		if p.pluck.Vibrato {
			return p.middle() - p.half, true
		}
	}
	return 0, false
}

// drawUnderTab draws the angle of slanted grips and the picking fingers, and
// gives how low they reach.
func (sy *system) drawUnderTab() float64 {
	s, c := sy.s, sy.c
	em := s.st.letter
	up, _ := capHeight(draw.Sans)
	bottom := sy.tabBottom() + s.st.number*0.5
	for _, b := range c.Boxes[sy.overStaff:] {
		bottom = max(bottom, b.Y1) // the ends of leaning bars
	}
	row := bottom
	if !s.o.NoLean {
		for _, st := range sy.stopsHere() {
			if st.lean == "" {
				continue
			}
			c.Begin("lean")
			r := c.Text(st.lean, draw.Sans, em, st.node.x+wholeAtHalf, bottom+0.5+up*em, draw.Middle)
			c.End()
			row = max(row, r.Y1)
		}
	}
	low := row
	if !s.o.NoFingers {
		for _, st := range sy.stopsHere() {
			at := row + 0.6 + up*em
			for _, f := range st.fingers() {
				c.Begin("finger")
				r := c.Text(f, draw.Sans, em, st.node.x+wholeAtHalf, at, draw.Middle)
				c.End()
				low = max(low, r.Y1)
				at += up*em + 0.35
			}
		}
	}
	return low
}

// drawRhythm draws the rhythm of the first sounding voice under the tablature:
// stems and beams, an open head for halves and wholes, rests.
func (sy *system) drawRhythm(low float64) {
	s, c := sy.s, sy.c
	top := low + 0.5
	const long, short = 2.6, 1.9
	tip := top + long
	done := map[*beam]bool{}
	for _, n := range sy.notesHere() {
		if n.grace >= 0 || n.hidden || n.voice != sy.leading(n.bar) {
			continue
		}
		x := n.node.x + wholeAtHalf
		c.Begin("rhythm", keysOf(n.bar, n.at)...)
		if n.rest {
			sym := sign.Rest(n.value)
			rx := n.node.x
			if sp := sy.spanOf(n.bar); n.value.BarRest && len(sp) > 0 {
				rx = (sp[0].x0+sp[len(sp)-1].x1)/2 - sym.Advance()*0.4
			}
			mid := top + long*0.5
			b := sym.Box()
			if n.bar.rests > 1 {
				sp := sy.spanOf(n.bar)
				t := strconv.Itoa(n.bar.rests)
				w := sign.DigitsWidth(t) * 0.8
				at := (sp[0].x0+sp[0].x1)/2 - w/2
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
		switch v := n.value; {
		case v.Log2 <= 0:
			sy.rhythmHead(x, top+0.5)
			sy.rhythmDots(n, x+0.85, top+0.5)
		case v.Log2 == 1:
			sy.rhythmHead(x, top+0.45)
			c.Line(x, top+0.75, x, tip, stem)
			sy.rhythmDots(n, x+0.85, top+0.45)
		default:
			c.Line(x, top, x, tip, stem)
			if n.beam == nil && n.tails() > 0 {
				f := sign.Flag(n.tails(), false)
				const size = 0.75
				c.Glyph(f, x-stem/2, tip-f.FlagAnchor().Y*size, size)
			}
			sy.rhythmDots(n, x+0.35, tip-0.35)
		}
		c.End()
		if b := n.beam; b != nil && !done[b] {
			done[b] = true
			c.Begin("rhythm-beam")
			sy.rhythmBeam(b, tip)
			c.End()
		}
	}
	for i := range s.groups {
		g := &s.groups[i]
		if g.level > 0 || !sy.has(g.notes[0].node) || g.notes[0].voice != sy.leading(g.notes[0].bar) {
			continue
		}
		first, last := g.notes[0], g.notes[len(g.notes)-1]
		if !sy.has(last.node) {
			continue
		}
		bare := first.beam != nil && first.beam == last.beam && first.beam.notes[0] == first && first.beam.notes[len(first.beam.notes)-1] == last
		sy.tupletMark(strconv.Itoa(g.actual), first.node.x+wholeAtHalf-0.4, last.node.x+wholeAtHalf+0.4, false, bare, math.Inf(1))
	}
}

// leading is the voice whose rhythm is shown: the first that sounds in the bar.
func (sy *system) leading(m *measure) int {
	for v, line := range m.b.Lines {
		if !onlyRests(line) {
			return v
		}
	}
	return 0
}

func (sy *system) rhythmHead(x, y float64) {
	const size = 0.7
	sy.c.Glyph(draw.NoteheadHalf, x-draw.NoteheadHalf.Advance()*size/2, y, size)
}

func (sy *system) rhythmDots(n *note, x, y float64) {
	for range n.value.Dots {
		sy.c.Glyph(draw.AugmentationDot, x, y, 0.9)
		x += 0.5
	}
}

func (sy *system) rhythmBeam(b *beam, tip float64) {
	const thick, step = 0.42, 0.64
	half := draw.Engraving.Stem * 1.15 / 2
	for _, p := range b.pieces() {
		x0 := b.notes[p.from].node.x + wholeAtHalf - half
		x1 := b.notes[p.to].node.x + wholeAtHalf + half
		if p.half {
			if p.left {
				x0 = x1 - 0.9
			} else {
				x1 = x0 + 0.9
			}
		}
		y := tip - thick - step*float64(p.level-1)
		sy.c.Add(draw.Box{X: x0, Y: y, W: x1 - x0, H: thick})
	}
}

// grips lists the different placements of the tab in order of first use.
func (s *score) grips() []*stop {
	var out []*stop
	seen := map[string]bool{}
	for _, m := range s.bars {
		for _, nd := range m.nodes {
			for _, st := range nd.stops {
				if st.stroke == nil || len(st.plays) < 2 || nd.grace < 0 {
					continue
				}
				key := ""
				for _, p := range st.plays {
					key += strconv.Itoa(p.pluck.String) + ":" + say.Fret(p.pluck.Fret) + s.benderText(p) + " "
				}
				if !seen[key] {
					seen[key] = true
					out = append(out, st)
				}
			}
		}
	}
	return out
}
