package sheet

import (
	"math"
	"strconv"

	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// chordWidth returns the room that a chord symbol takes.
func (s *score) chordWidth(c *tune.ChordAt) float64 {
	return min(s.st.chord*sign.ChordEms(sign.Chord(c)), maxWords)
}

// maxWords is the widest that a single chord symbol or syllable may stand, in
// staff spaces; longer ones are set smaller.
const maxWords = 34

func (sy *system) drawChord(ch *tune.ChordAt, x, y float64) {
	em := sy.s.st.chord
	runs := sign.Chord(ch)
	if w := em * sign.ChordEms(runs); w > maxWords {
		em *= maxWords / w
	}
	for _, r := range runs {
		sy.c.Text(r.Text, draw.Serif, em*r.Size, x, y-r.Rise*em, draw.Start)
		x += draw.Serif.Width(r.Text) * em * r.Size
	}
}

// drawAbove sets everything over the uppermost staff, row by row outwards:
// chord symbols, words, endings, tempo and signs, bar number.
func (sy *system) drawAbove() {
	floor := -0.9
	if !sy.s.st.staff {
		floor = sy.tabTop - sy.s.st.number*0.5 - 0.6
	}
	sy.drawChords(floor)
	sy.drawTexts(floor)
	sy.drawEndings(floor)
	sy.drawSigns(floor)
	sy.drawBarNumber(floor)
}

// over returns the highest ink over the upper staff between two places.
func (sy *system) over(x0, x1, floor float64) float64 { return sy.c.TopOver(x0, x1, floor) }

func (sy *system) drawChords(floor float64) {
	s := sy.s
	base := floor - 0.5
	for _, nd := range sy.nodes {
		if nd.chord != nil {
			base = min(base, sy.over(nd.x-0.2, nd.x+s.chordWidth(nd.chord)+0.2, floor)-0.7)
		}
	}
	for _, nd := range sy.nodes {
		if nd.chord != nil {
			sy.c.Begin("chord", keysOf(nd.bar, nd.at)...)
			sy.drawChord(nd.chord, nd.x, base)
			sy.c.End()
		}
	}
}

// xAt returns where a time of a bar stands across in this line, and whether it
// does; the end of the bar is its right barline.
func (sy *system) xAt(m *measure, at tune.Ticks) (float64, bool) {
	for _, sp := range sy.spanOf(m) {
		if at >= m.b.Len && sp.last && m.b.Len > 0 {
			return sp.x1, true
		}
	}
	for _, nd := range sy.nodes {
		if nd.bar == m && nd.at == at && nd.grace == 0 {
			return nd.x, true
		}
	}
	return 0, false
}

// barLeft returns where what belongs to the beginning of a bar is aligned.
func (sy *system) barLeft(sp span) float64 {
	for _, b := range sy.blocks {
		if b.next == sp.m && b.meter != nil && b.x+b.w <= sp.x0+1e-6 {
			return b.x + b.timeX
		}
	}
	return sp.x0 + 0.6
}

func (sy *system) drawTexts(floor float64) {
	s := sy.s
	for _, sp := range sy.spans {
		for i := range sp.m.b.Texts {
			t := &sp.m.b.Texts[i]
			if t.Below && s.st.staff {
				continue
			}
			if x, ok := sy.xAt(sp.m, t.At); ok {
				sy.words("text", t.Text, draw.SerifItalic, s.st.words, x, floor, draw.Start)
			}
		}
	}
}

// words sets a text over all ink under it, inside the line.
func (sy *system) words(class, text string, f draw.Font, em, x, floor float64, a draw.Anchor) draw.Rect {
	c := sy.c
	w := f.Width(text) * em
	if w > sy.width {
		em *= sy.width / w
		w = sy.width
	}
	left := x - w*[...]float64{0, 0.5, 1}[a]
	left = min(max(left, 0), sy.width-w)
	_, down := f.Ink(text)
	y := sy.over(left-0.4, left+w+0.4, floor) - 0.5 - down*em
	c.Begin(class)
	r := c.Text(text, f, em, left, y, draw.Start)
	c.End()
	return r
}

func (sy *system) drawTextsBelow() {
	s, c := sy.s, sy.c
	for _, sp := range sy.spans {
		for i := range sp.m.b.Texts {
			t := &sp.m.b.Texts[i]
			if !t.Below {
				continue
			}
			x, ok := sy.xAt(sp.m, t.At)
			if !ok {
				continue
			}
			em := s.st.words
			w := draw.SerifItalic.Width(t.Text) * em
			if w > sy.width {
				em *= sy.width / w
				w = sy.width
			}
			x = min(x, sy.width-w)
			up, _ := draw.SerifItalic.Ink(t.Text)
			y := c.BottomUnder(x-0.4, x+w+0.4, 4.6, math.Inf(1)) + 0.5 + up*em
			c.Begin("text")
			c.Text(t.Text, draw.SerifItalic, em, x, y, draw.Start)
			c.End()
		}
	}
}

// ending is a bracket over bars that only some passes play.
type ending struct {
	from, to int // bars
	label    string
	closed   bool
}

// readEndings finds the brackets: each goes on until its end is marked, the
// next begins or the part is repeated.
func (s *score) readEndings() {
	for i := 0; i < len(s.t.Bars); i++ {
		b := &s.t.Bars[i]
		if b.Endings == nil {
			continue
		}
		e := ending{from: i, to: i, label: say.Passes(b.Endings)}
		for j := i; j < len(s.t.Bars); j++ {
			if j > i && s.t.Bars[j].Endings != nil {
				break
			}
			e.to = j
			if s.t.Bars[j].EndingEnds {
				e.closed = true
				break
			}
			if s.t.Bars[j].Right.Repeat > 0 {
				e.closed = true
				break
			}
		}
		if !e.closed && e.to-e.from > 3 {
			e.to = e.from // an open bracket says enough over one bar
		}
		s.endings = append(s.endings, e)
	}
}

func (sy *system) drawEndings(floor float64) {
	c := sy.c
	type piece struct {
		x0, x1      float64
		label       string
		left, right bool
	}
	var pieces []piece
	for _, e := range sy.s.endings {
		p := piece{x0: math.Inf(1)}
		for _, sp := range sy.spans {
			if sp.m.i < e.from || sp.m.i > e.to {
				continue
			}
			x0, x1 := sp.x0, sp.x1
			for _, b := range sy.blocks {
				if b.x == sp.x1 && b.prev == sy.s.last(sp.m) {
					x1 = b.x + b.barX // over the barline that closes it
					if b.next != nil {
						x1 -= 0.35
					}
				}
			}
			if x0 < p.x0 {
				p.x0 = x0
			}
			p.x1 = max(p.x1, x1)
			if sp.m.i == e.from && sp.first {
				p.left, p.label = true, e.label
			}
			if sp.m.i == e.to && sp.last {
				p.right = e.closed
			}
		}
		if p.x1 > 0 {
			pieces = append(pieces, p)
		}
	}
	if len(pieces) == 0 {
		return
	}
	em := sy.s.st.small * 1.15
	up, _ := draw.Serif.Ink("1")
	y := floor - 1.6
	for _, p := range pieces {
		y = min(y, sy.over(p.x0, p.x1, floor)-0.6-max(1.3, up*em+0.3))
	}
	t := draw.Engraving.EndingLine
	for _, p := range pieces {
		c.Begin("ending")
		c.Line(p.x0, y, p.x1, y, t)
		if p.left {
			c.Line(p.x0+t/2, y-t/2, p.x0+t/2, y+1.7, t)
			c.Text(p.label, draw.Serif, em, p.x0+0.6, y+0.45+up*em, draw.Start)
		}
		if p.right {
			c.Line(p.x1-t/2, y-t/2, p.x1-t/2, y+1.7, t)
		}
		c.End()
	}
}

// drawSigns sets tempo, the labels of parts and navigation marks, one after
// the other, each over what is already there.
func (sy *system) drawSigns(floor float64) {
	s := sy.s
	for _, b := range sy.blocks {
		if b.times > 2 {
			t := "play " + strconv.Itoa(b.times) + " times"
			sy.words("text", t, draw.SerifItalic, s.st.words, b.x+b.barX, floor, draw.End)
		}
	}
	for _, sp := range sy.spans {
		for _, x := range sp.m.b.Signs {
			at := x.At
			switch {
			case (x.Kind == tune.Segno || x.Kind == tune.Coda) && sp.first && (at == 0 || at < sp.m.b.Len):
				where := sp.x0
				if at > 0 {
					if nx, ok := sy.xAt(sp.m, at); ok {
						where = nx
					}
				}
				sy.symbol(x.Kind, where, floor)
			case x.Kind == tune.Segno || x.Kind == tune.Coda:
				if nx, ok := sy.xAt(sp.m, at); ok {
					sy.symbol(x.Kind, nx, floor)
				}
			case sp.last:
				// What sends the player elsewhere is read at the bar's end.
				sy.words("sign", say.Sign(x), draw.SerifBold, s.st.words, sp.x1+0.2, floor, draw.End)
			}
		}
	}
	for _, sp := range sy.spans {
		if !sp.first {
			continue
		}
		if l := sp.m.b.Part; l != "" {
			em := s.st.words
			w := draw.SerifBold.Width(l) * em
			x := max(sp.x0-0.4, 0)
			up, down := draw.SerifBold.Ink(l)
			y := sy.over(x-0.5, x+w+0.9, floor) - 0.9 - down*em
			sy.c.Begin("part")
			sy.c.Text(l, draw.SerifBold, em, x+0.4, y, draw.Start)
			sy.c.Add(draw.Box{X: x, Y: y - up*em - 0.35, W: w + 0.8, H: (up+down)*em + 0.7, Width: 0.14})
			sy.c.End()
		}
	}
	for _, sp := range sy.spans {
		for i := range sp.m.b.Tempos {
			t := &sp.m.b.Tempos[i]
			x, ok := sy.barLeft(sp), sp.first
			if t.At > 0 {
				x, ok = sy.xAt(sp.m, t.At)
			}
			if ok {
				sy.drawTempo(t, x, floor)
			}
		}
	}
}

func (sy *system) symbol(k tune.SignKind, x, floor float64) {
	sym := draw.Segno
	size := 0.8
	if k == tune.Coda {
		sym, size = draw.Coda, 0.75
	}
	b := sym.Box()
	x = max(x-(b.X0+b.X1)/2*size, 0)
	y := sy.over(x-0.7, x+b.X1*size+0.7, floor) - 0.4 - b.Y1*size
	sy.c.Begin("sign")
	sy.c.Glyph(sym, x, y, size)
	sy.c.End()
}

func (sy *system) drawTempo(t *tune.Tempo, x, floor float64) {
	c := sy.c
	em := sy.s.st.words * 1.05
	sym, dots, ok := sign.Tempo(t.Beat)
	count := t.PerMinute > 0 && ok
	size := em / 2.9
	tail := ""
	if count {
		tail = "= " + say.PerMinute(t.PerMinute)
	}
	w := 0.0
	gap := 0.0
	if t.Text != "" {
		w = draw.SerifBold.Width(t.Text) * em
		gap = 0.9
	}
	textW := w
	noteX := 0.0
	if count {
		noteX = w + gap
		w = noteX + sym.Advance()*size + 0.5*float64(dots) + 0.5 + draw.Serif.Width(tail)*em
	}
	if w == 0 {
		return
	}
	if w > sy.width {
		em *= sy.width / w
		size *= sy.width / w
		noteX *= sy.width / w
		w = sy.width
	}
	x = min(max(x, 0), sy.width-w)
	y := sy.over(x-0.4, x+w+0.4, floor) - 0.9
	c.Begin("tempo")
	if textW > 0 {
		c.Text(t.Text, draw.SerifBold, em, x, y, draw.Start)
	}
	if count {
		at := x + noteX
		c.Glyph(sym, at, y-0.1, size)
		at += sym.Advance()*size + 0.15
		for range dots {
			c.Glyph(draw.MetAugmentationDot, at, y-0.1, size)
			at += 0.5
		}
		c.Text(tail, draw.Serif, em, at+0.4, y, draw.Start)
	}
	c.End()
}

// drawBarNumber prints the number of the first bar over the clef of every line
// but the first.
func (sy *system) drawBarNumber(floor float64) {
	m := sy.segs[0].m
	if sy.index == 0 || m.b.Number <= 1 {
		return
	}
	em := sy.s.st.small
	t := strconv.Itoa(m.b.Number)
	w := draw.Sans.Width(t) * em
	y := sy.over(-0.2, w+0.4, floor) - 0.5
	sy.c.Begin("bar-number")
	sy.c.Text(t, draw.Sans, em, 0, y, draw.Start)
	sy.c.End()
}

// drawLyrics sets the verses under the staff and gives how low they reach.
func (sy *system) drawLyrics(below float64) float64 {
	s, c := sy.s, sy.c
	em := s.st.lyric
	up, down := draw.Serif.Ink("Ágy")
	base := below + 0.9
	for _, b := range sy.c.Boxes {
		base = max(base, b.Y1+0.5)
	}
	for row, vs := range s.verses[:min(len(s.verses), maxVerses)] {
		y := base + up*em
		used := false
		type end struct {
			x      float64
			l      tune.Lyric
			middle float64
			until  float64
		}
		var last *end
		join := func(to float64) {
			if last == nil {
				return
			}
			switch {
			case last.l.Hyphen && to-last.x > 0.5:
				mid := (last.x + to) / 2
				c.Begin("lyric-line")
				c.Line(mid-0.35, y-0.28*em, mid+0.35, y-0.28*em, draw.Engraving.LyricLine)
				c.End()
			case last.l.Extend && last.until > last.x+0.6:
				c.Begin("lyric-line")
				c.Line(last.x+0.25, y, min(last.until, to-0.3), y, draw.Engraving.LyricLine)
				c.End()
			}
		}
		for _, nd := range sy.nodes {
			for _, n := range nd.notes {
				if n.grace >= 0 || n.rest && n.hidden || n.voice != vs.voice {
					continue
				}
				var here *tune.Lyric
				for i := range n.ev.Lyrics {
					if l := &n.ev.Lyrics[i]; l.Verse == vs.number && l.Text != "" {
						here = l
					}
				}
				if here == nil {
					if last != nil && !n.rest {
						last.until = nd.x + headWidth
					}
					continue
				}
				used = true
				size := em
				w := draw.Serif.Width(here.Text) * size
				if w > maxWords {
					size *= maxWords / w
					w = maxWords
				}
				mid := nd.x + wholeAtHalf
				join(mid - w/2)
				c.Begin("lyric", keysOf(nd.bar, nd.at, draw.Key{Name: "verse", Value: strconv.Itoa(row + 1)})...)
				c.Text(here.Text, draw.Serif, size, mid, y, draw.Middle)
				c.End()
				last = &end{x: mid + w/2, l: *here, middle: mid}
			}
		}
		if last != nil {
			join(sy.contentRight())
		}
		if used {
			base = y + down*em + 0.25
			below = base
		}
	}
	return below
}
