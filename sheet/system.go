package sheet

import (
	"strconv"

	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// system is one line of music: a staff, a tablature or both.
type system struct {
	s      *score
	segs   []*seg
	next   *seg // what the next line begins with; nil in the last
	index  int
	width  float64 // of the line
	inked  float64 // where this line ends: less than width in a short last line
	c      *ink.Canvas
	nodes  []*node
	blocks []placedBlock
	spans  []span
	tabTop float64 // the uppermost line of the tablature
	// overStaff counts the boxes of the canvas that belong to the staff, not the tablature.
	overStaff int
	top       float64 // extent of the ink, set when drawn
	bottom    float64
	page      int     // where it was put
	pageY     float64 // millimetres from the page's top
}

// placedBlock is a block at its place in the line.
type placedBlock struct {
	block
	x    float64
	prev *measure // the bar it closes, or nil
	next *measure // the bar it opens, or nil
}

// span is the part of a bar that lies in a system, between what stands before
// and after it.
type span struct {
	m           *measure
	x0, x1      float64
	first, last bool // it holds the bar's beginning, its end
}

// lastFull is the share of the line above which the last line is filled out.
const lastFull = 0.72

// place finds where everything stands across the line.
func (sy *system) place() {
	s := sy.s
	for i := range sy.segs {
		for _, nd := range sy.segs[i].m.nodes[sy.segs[i].from:sy.segs[i].to] {
			nd.x = 0
		}
	}
	fixed := 0.0
	start := s.startBlock(sy.segs[0])
	fixed += start.w
	var mids []block
	for i := 0; i+1 < len(sy.segs); i++ {
		b := s.midBlock(sy.segs[i], sy.segs[i+1])
		mids = append(mids, b)
		fixed += b.w
	}
	end := s.endBlock(sy.segs[len(sy.segs)-1], sy.next)
	fixed += end.w
	nat := fixed
	for _, g := range sy.segs {
		nat += g.nat
	}
	target := sy.width
	if sy.next == nil && nat < sy.width*lastFull {
		target = min(nat*1.06, sy.width)
	}
	f, reached := force(sy.segs, target-fixed)
	squeeze := 1.0
	if reached > target-fixed+1e-6 {
		// Only a single instant that is wider than the line comes here.
		squeeze = max(target-fixed, 1) / reached
	}

	x := 0.0
	sy.blocks = append(sy.blocks, placedBlock{block: start, x: 0, next: sy.segs[0].m})
	x = start.w
	for i, g := range sy.segs {
		sp := span{m: g.m, x0: x, first: g.first, last: g.last}
		for j, nd := range g.m.nodes[g.from:g.to] {
			x += g.links[j].stretched(f) * squeeze
			nd.x = x
			sy.nodes = append(sy.nodes, nd)
		}
		x += g.links[len(g.links)-1].stretched(f) * squeeze
		sp.x1 = x
		sy.spans = append(sy.spans, sp)
		pb := placedBlock{x: x, prev: s.last(g.m)}
		if i < len(mids) {
			pb.block, pb.next = mids[i], sy.segs[i+1].m
		} else {
			pb.block = end
		}
		sy.blocks = append(sy.blocks, pb)
		x += pb.w
	}
	sy.inked = x
}

// contentLeft is where the notes of the line may begin.
func (sy *system) contentLeft() float64 { return sy.blocks[0].w }

// contentRight is where the last bar of the line ends.
func (sy *system) contentRight() float64 { return sy.blocks[len(sy.blocks)-1].x }

// draw puts the whole system on its canvas.
func (sy *system) draw() {
	s := sy.s
	sy.c = ink.New()
	if s.st.staff {
		sy.drawStaffBlocks()
		sy.drawNotes()
		sy.drawTies()
		sy.drawStaffGlides()
		sy.drawTuplets()
		sy.drawSlurs()
		sy.drawMarks()
	} else {
		sy.setStems()
	}
	below := 4.0
	if !s.st.staff {
		below = 0
	}
	if len(s.verses) > 0 {
		below = sy.drawLyrics(below)
	}
	if s.st.staff {
		sy.drawTextsBelow()
	}
	if s.st.tab {
		sy.setTabTop(below)
		sy.drawTab()
	}
	sy.drawAbove()
	sy.drawFrame()
	b := sy.c.Bounds()
	sy.top, sy.bottom = min(b.Y0, 0), max(b.Y1, sy.lowestLine())
}

// lowestLine is the lowest line of staff or tablature.
func (sy *system) lowestLine() float64 {
	if sy.s.st.tab {
		return sy.tabBottom()
	}
	return 4
}

// setTabTop puts the tablature under everything that hangs from the staff.
func (sy *system) setTabTop(below float64) {
	s := sy.s
	if !s.st.staff {
		sy.tabTop = below
		if len(s.verses) > 0 {
			sy.tabTop = 0
		}
		return
	}
	lowest := below
	for _, b := range sy.c.Boxes {
		lowest = max(lowest, b.Y1)
	}
	// Room for what stands on the upper line: half a number, and vibrato,
	// hammers and marks where there are any.
	room := s.st.number*0.5 + 0.9
	if sy.marksOverTab() {
		room += 1.7
	}
	sy.tabTop = max(4+3.4, lowest+room)
}

// drawFrame draws staff lines, strings and barlines behind everything else.
func (sy *system) drawFrame() {
	s := sy.s
	e := draw.Engraving
	frame := &draw.Group{Class: "frame"}
	right := sy.inked
	if s.st.staff {
		for i := range 5 {
			frame.Items = append(frame.Items, draw.Rule{X1: 0, Y1: float64(i), X2: right, Y2: float64(i), Width: e.StaffLine})
		}
	}
	if s.st.tab {
		frame.Items = append(frame.Items, sy.stringLines(right)...)
	}
	if s.st.staff && s.st.tab {
		frame.Items = append(frame.Items, draw.Rule{X1: 0.08, Y1: -e.StaffLine / 2, X2: 0.08, Y2: sy.tabBottom() + e.StaffLine/2, Width: e.ThinBarline})
	}
	if s.st.staff {
		frame.Items = append(frame.Items, sy.barlines(0, 4, 0.5)...)
	}
	if s.st.tab {
		gap := s.st.tabGap
		if len(s.tab.Rig.Strings)%2 == 1 {
			gap /= 2 // the middle is a string: dots in the spaces beside it
		}
		frame.Items = append(frame.Items, sy.barlines(sy.tabTop, sy.tabBottom(), gap)...)
	}
	sy.c.Root.Items = append([]draw.Item{frame}, sy.c.Root.Items...)
}

// barlines draws the line's barlines over one staff, with repeat dots the
// given distance above and below its middle.
func (sy *system) barlines(top, bottom, gap float64) []draw.Item {
	var out []draw.Item
	over := draw.Engraving.StaffLine / 2
	for _, b := range sy.blocks {
		for _, l := range b.lines {
			x := b.x + l.x + l.w/2
			ln := draw.Rule{X1: x, Y1: top - over, X2: x, Y2: bottom + over, Width: l.w}
			if l.dashed {
				ln.Dash = 0.5
			}
			out = append(out, ln)
		}
		for _, d := range b.dots {
			for _, dy := range [2]float64{-gap, gap} {
				out = append(out, draw.Glyph{Symbol: draw.RepeatDot, X: b.x + d, Y: (top+bottom)/2 + dy, Space: 1})
			}
		}
	}
	return out
}

// drawStaffBlocks draws clefs, keys and times on the staff.
func (sy *system) drawStaffBlocks() {
	s, c := sy.s, sy.c
	for _, b := range sy.blocks {
		if b.clef >= 0 {
			clef := draw.GClef
			if s.low {
				clef = draw.GClef8vb
			}
			c.Begin("clef")
			c.Glyph(clef, b.x+b.clef, 3, 1)
			c.End()
		}
		if len(b.key) > 0 {
			c.Begin("key")
			for _, k := range b.key {
				c.Glyph(k.Symbol, b.x+b.keyX+k.X, y(k.P), 1)
			}
			c.End()
		}
		if b.meter != nil {
			c.Begin("time")
			sy.drawMeter(b.meter, b.x+b.timeX, 2, 1)
			c.End()
		}
	}
}

// drawMeter draws a time signature whose middle stands at y.
func (sy *system) drawMeter(m *tune.Meter, x, y, size float64) {
	c := sy.c
	switch m.Symbol {
	case "C":
		c.Glyph(draw.TimeSigCommon, x, y, size)
		return
	case "C|":
		c.Glyph(draw.TimeSigCutCommon, x, y, size)
		return
	}
	w := sign.MeterWidth(m) * size
	for i, t := range [2]string{sign.Numerator(m), strconv.Itoa(m.Unit)} {
		at := x + (w-sign.DigitsWidth(t)*size)/2
		for j := range len(t) {
			over := (sign.DigitAdvance(t[j]) - sign.Digit(t[j]).Advance()) / 2
			c.Glyph(sign.Digit(t[j]), at+over*size, y+float64(2*i-1)*size, size)
			at += sign.DigitAdvance(t[j]) * size
		}
	}
}

// keysOf names what a group stands for: its bar (index into the tune), its
// time from the start of the bar and its voice.
func keysOf(m *measure, at tune.Ticks, more ...draw.Key) []draw.Key {
	return append([]draw.Key{{Name: "bar", Value: strconv.Itoa(m.i)}, {Name: "at", Value: at.String()}}, more...)
}
