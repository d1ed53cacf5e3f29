package system

import (
	"math"
	"strconv"

	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/sign"
	"lapwright/sheet/spacing"
	"lapwright/tune"
)

func (sy *painter) drawChord(ch *tune.ChordAt, x, y float64) {
	em := sy.Score.Style.Chord
	runs := sign.Chord(ch)
	if w := em * sign.ChordEms(runs); w > score.MaxWords {
		em *= score.MaxWords / w
	}
	for _, r := range runs {
		sy.c.Text(r.Text, draw.Serif, em*r.Size, x, y-r.Rise*em, draw.Start)
		x += draw.Serif.Width(r.Text) * em * r.Size
	}
}

// drawAbove sets everything over the uppermost staff, row by row outwards:
// chord symbols, words, endings, tempo and signs, bar number.
func (sy *painter) drawAbove() {
	floor := -0.9
	if !sy.Score.Style.Staff {
		floor = sy.tab.Top - sy.Score.Style.Number*0.5 - 0.6
	}
	sy.drawChords(floor)
	sy.drawTexts(floor)
	sy.drawEndings(floor)
	sy.drawSigns(floor)
	sy.drawBarNumber(floor)
}

// over returns the highest ink over the upper staff between two places.
func (sy *painter) over(x0, x1, floor float64) float64 { return sy.c.TopOver(x0, x1, floor) }

func (sy *painter) drawChords(floor float64) {
	s := sy.Score
	base := floor - 0.5
	for _, nd := range sy.Nodes {
		if nd.Chord != nil {
			base = min(base, sy.over(nd.X-0.2, nd.X+s.ChordWidth(nd.Chord)+0.2, floor)-0.7)
		}
	}
	for _, nd := range sy.Nodes {
		if nd.Chord != nil {
			sy.c.Begin("chord", score.Keys(nd.Measure, nd.At)...)
			sy.drawChord(nd.Chord, nd.X, base)
			sy.c.End()
		}
	}
}

func (sy *painter) drawTexts(floor float64) {
	s := sy.Score
	for _, sp := range sy.Spans {
		for i := range sp.Measure.Bar.Texts {
			t := &sp.Measure.Bar.Texts[i]
			if t.Below && s.Style.Staff {
				continue
			}
			if x, ok := sy.XAt(sp.Measure, t.At); ok {
				sy.words("text", t.Text, draw.SerifItalic, s.Style.Words, x, floor, draw.Start)
			}
		}
	}
}

// words sets a text over all ink under it, inside the line.
func (sy *painter) words(class, text string, f draw.Font, em, x, floor float64, a draw.Anchor) draw.Rect {
	c := sy.c
	w := f.Width(text) * em
	em *= min(1, sy.Width/w)
	w = min(w, sy.Width)
	left := x - w*[...]float64{0, 0.5, 1}[a]
	left = min(max(left, 0), sy.Width-w)
	_, down := f.Ink(text)
	y := sy.over(left-0.4, left+w+0.4, floor) - 0.5 - down*em
	c.Begin(class)
	r := c.Text(text, f, em, left, y, draw.Start)
	c.End()
	return r
}

func (sy *painter) drawTextsBelow() {
	s, c := sy.Score, sy.c
	for _, sp := range sy.Spans {
		for i := range sp.Measure.Bar.Texts {
			t := &sp.Measure.Bar.Texts[i]
			if !t.Below {
				continue
			}
			x, ok := sy.XAt(sp.Measure, t.At)
			if !ok {
				continue
			}
			em := s.Style.Words
			w := draw.SerifItalic.Width(t.Text) * em
			em *= min(1, sy.Width/w)
			w = min(w, sy.Width)
			x = min(x, sy.Width-w)
			up, _ := draw.SerifItalic.Ink(t.Text)
			y := c.BottomUnder(x-0.4, x+w+0.4, 4.6, math.Inf(1)) + 0.5 + up*em
			c.Begin("text")
			c.Text(t.Text, draw.SerifItalic, em, x, y, draw.Start)
			c.End()
		}
	}
}

func (sy *painter) drawEndings(floor float64) {
	c := sy.c
	type piece struct {
		x0, x1      float64
		label       string
		left, right bool
	}
	var pieces []piece
	for _, e := range sy.Score.Endings {
		p := piece{x0: math.Inf(1)}
		for _, sp := range sy.Spans {
			if sp.Measure.Index < e.From || sp.Measure.Index > e.To {
				continue
			}
			x0, x1 := sp.X0, sp.X1
			for _, b := range sy.Blocks {
				if b.X == sp.X1 && b.Prev == sy.Score.Last(sp.Measure) {
					x1 = b.X + b.BarX // over the barline that closes it
					if b.Next != nil {
						x1 -= 0.35
					}
				}
			}
			p.x0, p.x1 = min(p.x0, x0), max(p.x1, x1)
			if sp.Measure.Index == e.From && sp.First {
				p.left, p.label = true, e.Label
			}
			if sp.Measure.Index == e.To && sp.Last {
				p.right = e.Closed
			}
		}
		if p.x1 > 0 {
			pieces = append(pieces, p)
		}
	}
	if len(pieces) == 0 {
		return
	}
	em := sy.Score.Style.Small * 1.15
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
func (sy *painter) drawSigns(floor float64) {
	s := sy.Score
	for _, b := range sy.Blocks {
		if b.Times > 2 {
			t := "play " + strconv.Itoa(b.Times) + " times"
			sy.words("text", t, draw.SerifItalic, s.Style.Words, b.X+b.BarX, floor, draw.End)
		}
	}
	for _, sp := range sy.Spans {
		for _, x := range sp.Measure.Bar.Signs {
			at := x.At
			switch {
			case (x.Kind == tune.Segno || x.Kind == tune.Coda) && sp.First && at < sp.Measure.Bar.Len:
				where := sp.X0
				if at > 0 {
					if nx, ok := sy.XAt(sp.Measure, at); ok {
						where = nx
					}
				}
				sy.symbol(x.Kind, where, floor)
			case x.Kind == tune.Segno || x.Kind == tune.Coda:
				if nx, ok := sy.XAt(sp.Measure, at); ok {
					sy.symbol(x.Kind, nx, floor)
				}
			case sp.Last:
				// What sends the player elsewhere is read at the bar's end.
				sy.words("sign", say.Sign(x), draw.SerifBold, s.Style.Words, sp.X1+0.2, floor, draw.End)
			}
		}
	}
	for _, sp := range sy.Spans {
		if !sp.First {
			continue
		}
		if l := sp.Measure.Bar.Part; l != "" {
			em := s.Style.Words
			w := draw.SerifBold.Width(l) * em
			x := max(sp.X0-0.4, 0)
			up, down := draw.SerifBold.Ink(l)
			y := sy.over(x-0.5, x+w+0.9, floor) - 0.9 - down*em
			sy.c.Begin("part")
			sy.c.Text(l, draw.SerifBold, em, x+0.4, y, draw.Start)
			sy.c.Add(draw.Box{X: x, Y: y - up*em - 0.35, W: w + 0.8, H: (up+down)*em + 0.7, Width: 0.14})
			sy.c.End()
		}
	}
	for _, sp := range sy.Spans {
		for i := range sp.Measure.Bar.Tempos {
			t := &sp.Measure.Bar.Tempos[i]
			x, ok := sy.BarLeft(sp), sp.First
			if t.At > 0 {
				x, ok = sy.XAt(sp.Measure, t.At)
			}
			if ok {
				sy.drawTempo(t, sy.swing(sp, t), x, floor)
			}
		}
		if words := sy.swing(sp, nil); words != "" {
			sy.drawTempo(&tune.Tempo{}, words, sy.BarLeft(sp), floor)
		}
	}
}

// swing returns how the eighths of the tune are parted, where that is said: beside the
// tempo that the tune begins with, or for a tempo of nil in its place where there is
// none; else "".
func (sy *painter) swing(sp spacing.Span, t *tune.Tempo) string {
	s := sy.Score.Tune.Swing
	if s.Even() || sp.Measure.Index > 0 || !sp.First {
		return ""
	}
	own := sp.Measure.Bar.Tempos
	if len(own) > 0 && own[0].At == 0 {
		if t != &own[0] {
			return ""
		}
	} else if t != nil {
		return ""
	}
	return s.Words()
}

func (sy *painter) symbol(k tune.SignKind, x, floor float64) {
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

// drawTempo sets a tempo, with how eighths are parted after it.
func (sy *painter) drawTempo(t *tune.Tempo, swing string, x, floor float64) {
	c := sy.c
	em := sy.Score.Style.Words * 1.05
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
	noteX := 0.0
	if count {
		noteX = w + gap
		w = noteX + sym.Advance()*size + 0.5*float64(dots) + 0.5 + draw.Serif.Width(tail)*em
	}
	swingX := 0.0
	if swing != "" {
		if w > 0 {
			w += 1.2
		}
		swingX = w
		w += draw.SerifItalic.Width(swing) * em
	}
	if w == 0 {
		return
	}
	if w > sy.Width {
		em *= sy.Width / w
		size *= sy.Width / w
		noteX *= sy.Width / w
		swingX *= sy.Width / w
		w = sy.Width
	}
	x = min(max(x, 0), sy.Width-w)
	y := sy.over(x-0.4, x+w+0.4, floor) - 0.9
	c.Begin("tempo")
	if t.Text != "" {
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
	if swing != "" {
		c.Text(swing, draw.SerifItalic, em, x+swingX, y, draw.Start)
	}
	c.End()
}

// drawBarNumber prints the number of the first bar over the clef of every line
// but the first.
func (sy *painter) drawBarNumber(floor float64) {
	m := sy.Spans[0].Measure
	if sy.Index == 0 || m.Bar.Number <= 1 {
		return
	}
	em := sy.Score.Style.Small
	t := strconv.Itoa(m.Bar.Number)
	w := draw.Sans.Width(t) * em
	y := sy.over(-0.2, w+0.4, floor) - 0.5
	sy.c.Begin("bar-number")
	sy.c.Text(t, draw.Sans, em, 0, y, draw.Start)
	sy.c.End()
}

// hyphen is the thickness of the hyphen between syllables, in ems: that of the
// font's own, which the words beside it are set in.
const hyphen = 0.05

// drawLyrics sets the verses under the staff and gives how low they reach.
func (sy *painter) drawLyrics(below float64) float64 {
	s, c := sy.Score, sy.c
	em := s.Style.Lyric
	up, down := draw.Serif.Ink("Ágy")
	base := below + 0.9
	for _, b := range sy.c.Boxes {
		base = max(base, b.Y1+0.5)
	}
	for row, vs := range s.Verses[:min(len(s.Verses), score.MaxVerses)] {
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
				c.Line(mid-0.14*em, y-0.24*em, mid+0.14*em, y-0.24*em, hyphen*em)
				c.End()
			case last.l.Extend && last.until > last.x+0.6:
				c.Begin("lyric-line")
				c.Line(last.x+0.25, y, min(last.until, to-0.3), y, draw.Engraving.LyricLine)
				c.End()
			}
		}
		for _, nd := range sy.Nodes {
			for _, n := range nd.Notes {
				if n.Grace >= 0 || n.Voice != vs.Voice {
					continue
				}
				var here *tune.Lyric
				for i := range n.Event.Lyrics {
					if l := &n.Event.Lyrics[i]; l.Verse == vs.Number && l.Text != "" {
						here = l
					}
				}
				if here == nil {
					if last != nil && !n.Rest {
						last.until = nd.X + score.HeadWidth
					}
					continue
				}
				used = true
				size := em
				w := draw.Serif.Width(here.Text) * size
				if w > score.MaxWords {
					size *= score.MaxWords / w
					w = score.MaxWords
				}
				mid := nd.X + score.HeadMiddle
				join(mid - w/2)
				c.Begin("lyric", score.Keys(nd.Measure, nd.At, draw.Key{Name: "verse", Value: strconv.Itoa(row + 1)})...)
				c.Text(here.Text, draw.Serif, size, mid, y, draw.Middle)
				c.End()
				last = &end{x: mid + w/2, l: *here, middle: mid}
			}
		}
		if last != nil {
			join(sy.ContentRight())
		}
		if used {
			base = y + down*em + 0.25
			below = base
		}
	}
	return below
}
