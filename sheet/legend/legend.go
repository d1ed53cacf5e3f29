package legend

import (
	"math"
	"slices"

	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/staff"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// sample is one entry of the legend: a small picture and what it means.
type sample struct {
	words string
	draw  func(l *legendArt)
}

// legendArt draws one sample on three strings, in staff spaces, with the middle
// string at y = 0 and x from 0 to sampleWidth.
type legendArt struct {
	c    *ink.Canvas
	s    *score.Score
	gaps [3][][2]float64
	flip bool // string 1 is the lowest line, and the sample shows which is which
}

const sampleWidth = 7.0

func (l *legendArt) y(line int) float64 { return float64(line-1) * l.s.Style.TabGap }

// number puts a fret number on line 0, 1 or 2.
func (l *legendArt) number(t string, x float64, line int) {
	em := l.s.Style.Number
	up, _ := score.CapHeight(draw.SansBold)
	if l.flip {
		line = 2 - line
	}
	l.c.Text(t, draw.SansBold, em, x, l.y(line)+up*em/2, draw.Middle)
	h := draw.SansBold.Width(t)*em/2 + 0.18
	l.gaps[line] = append(l.gaps[line], [2]float64{x - h, x + h})
}

func (l *legendArt) stroke(x0, y0, x1, y1, w float64) {
	if l.flip {
		y0, y1 = -y0, -y1
	}
	l.c.Ghost(draw.Rule{X1: x0, Y1: y0, X2: x1, Y2: y1, Width: w})
}

// strings draws the three lines round the numbers.
func (l *legendArt) strings() {
	for i := range 3 {
		x := 0.0
		for _, g := range l.gaps[i] {
			if g[0] > x {
				l.c.Add(draw.Rule{X1: x, Y1: l.y(i), X2: g[0], Y2: l.y(i), Width: 0.11, Ink: draw.Grey})
			}
			x = g[1]
		}
		if x < sampleWidth {
			l.c.Add(draw.Rule{X1: x, Y1: l.y(i), X2: sampleWidth, Y2: l.y(i), Width: 0.11, Ink: draw.Grey})
		}
	}
}

// lean draws a leaning grip on lines 0 and 2.
func (l *legendArt) lean(sign float64, high, low string) {
	l.flip = l.s.Options.StringOneLow
	half := l.s.Style.Number * 0.4
	mid := sampleWidth / 2
	l.number(high, mid+sign*0.75, 0)
	l.number(low, mid-sign*0.75, 2)
	g := l.s.Style.TabGap
	k := sign * 1.5 / (2 * g)
	l.stroke(mid+sign*0.75-k*half, l.y(0)+half, mid-sign*0.75+k*half, l.y(2)-half, score.SteelWidth)
	l.stroke(mid+sign*0.75+k*half, l.y(0)-half, mid+sign*0.75+k*(half+0.9), l.y(0)-half-0.9, score.SteelWidth)
	l.stroke(mid-sign*0.75-k*half, l.y(2)+half, mid-sign*0.75-k*(half+0.9), l.y(2)+half+0.9, score.SteelWidth)
}

// short draws a steel that lies on two strings beside an open one.
func (l *legendArt) short() {
	l.number("5", sampleWidth/2, 0)
	l.number("0", sampleWidth/2, 2)
	up, _ := score.CapHeight(draw.Sans)
	l.c.Text("1–2", draw.Sans, l.s.Style.Letter, sampleWidth/2, l.y(2)+l.s.Style.Number*0.5+0.5+up*l.s.Style.Letter, draw.Middle)
}

// over draws a mark over the upper string.
func (l *legendArt) over(k tune.Mark) {
	l.number("5", sampleWidth/2, 0)
	sym, _ := staff.Over(k)
	b := sym.Box()
	l.c.Glyph(sym, sampleWidth/2-(b.X0+b.X1)/2, l.y(0)-l.s.Style.Number*0.45-0.3-b.Y1, 1)
}

// stems draws a whole, a half and a quarter note under one string.
func (l *legendArt) stems() {
	for i, stem := range [3]float64{0, 1, 2} {
		x := 1.3 + 2.2*float64(i)
		l.number("5", x, 0)
		if stem > 0 {
			l.stroke(x, l.y(2)-stem, x, l.y(2), draw.Engraving.Stem*1.15)
		}
	}
	l.gaps[1] = [][2]float64{{-1, sampleWidth + 1}}
	l.gaps[2] = l.gaps[1]
}

// bend draws a bender being worked while a string rings.
func (l *legendArt) bend(bender string) {
	number := func(t string) float64 { return draw.SansBold.Width(t) * l.s.Style.Number }
	from, to := 0.4+number("5"), sampleWidth-0.3-number("5"+bender)
	l.number("5", from-number("5")/2, 1)
	l.number("5"+bender, to+number("5"+bender)/2, 1)
	up, _ := score.CapHeight(draw.Sans)
	l.c.Text("b", draw.Sans, l.s.Style.Letter, (from+to)/2, up*l.s.Style.Letter*0.45, draw.Middle)
}

// samples lists what the tabs use, in the order in which a student meets it.
func samples(s *score.Score, more []*score.Score) []sample {
	u := marksOf(s, more)
	var out []sample
	add := func(is bool, words string, f func(l *legendArt)) {
		if is {
			out = append(out, sample{words, f})
		}
	}
	u.places(s, add)
	u.moves(s, add)
	u.stops(s, add)
	return out
}

// adder takes a sample when its mark is used.
type adder func(is bool, words string, f func(l *legendArt))

// places adds how the steel lies, and for how long.
func (u *marksUsed) places(s *score.Score, add adder) {
	half := s.Style.Number * 0.4
	mid := sampleWidth / 2
	add(u.straight, "the steel lies square across the strings that the line joins", func(l *legendArt) {
		l.number("5", mid, 0)
		l.number("5", mid, 2)
		l.stroke(mid, l.y(0)+half, mid, l.y(2)-half, score.SteelWidth)
		l.stroke(mid, l.y(0)-half-0.45, mid, l.y(0)-half, score.SteelWidth)
		l.stroke(mid, l.y(2)+half, mid, l.y(2)+half+0.45, score.SteelWidth)
	})
	add(u.forward, "forward slant: the steel leans as the line does, string 1's side farther up the neck; the angle stands below", func(l *legendArt) { l.lean(1, "5", "4") })
	add(u.reverse, "reverse slant: the steel leans the other way", func(l *legendArt) { l.lean(-1, "4", "5") })
	add(u.split, "split: the nose on two strings, the body of the steel on another", func(l *legendArt) {
		l.flip = s.Options.StringOneLow
		l.number("5", mid+0.6, 0)
		l.number("5", mid+0.6, 1)
		l.number("4", mid-0.6, 2)
		l.stroke(mid+0.6, l.y(0)-half-0.8, mid+0.6, l.y(0)-half, score.SteelWidth)
		l.stroke(mid-0.85, l.y(2)+half, mid-1.3, l.y(2)+half+0.8, score.SteelWidth)
	})
	add(u.nose, "only the tip of the steel touches; the other strings are open", func(l *legendArt) {
		l.number("5", mid, 0)
		l.number("0", mid, 2)
		w := draw.SansBold.Width("5") * s.Style.Number / 2
		l.c.Ghost(ink.NoseMark(mid-w, l.y(0)))
		l.gaps[0] = [][2]float64{{mid - w - score.TipRoom, mid + w + 0.18}}
	})
	add(u.short && !s.Options.NoLean, "the steel lies on these strings only: lift its heel, or draw it back, so that the open ones beside it sound", (*legendArt).short)
	add(u.stems, "length: a whole note has no stem, a half a short one, a quarter a full one; tails and beams as on a staff", (*legendArt).stems)
	add(u.between, "a place between two frets", func(l *legendArt) { l.number("4.5", mid, 1) })
}

// moves adds what moves while a string rings, and how a note is begun.
func (u *marksUsed) moves(s *score.Score, add adder) {
	half := s.Style.Number * 0.4
	mid := sampleWidth / 2
	add(u.glide, "slide the steel while the string rings", func(l *legendArt) {
		l.number("5", 1.4, 1)
		l.number("7", 5.6, 1)
		l.stroke(2.4, 0.35, 4.6, -0.35, 0.16)
	})
	add(u.level, "a level line: work the bender, or let it go, while the string rings", func(l *legendArt) {
		l.number("5", 1.4, 1)
		l.number("5"+u.bender, 5.4, 1)
		l.stroke(2.4, 0, 4.2, 0, 0.16)
	})
	add(u.scoop, "slide into the note from beside it", func(l *legendArt) {
		l.number("5", mid+0.8, 1)
		l.stroke(mid-1.2, 0.55, mid, -0.1, 0.16)
	})
	add(u.hammer, "h: bring the steel down on the ringing string; p: lift it off", func(l *legendArt) {
		first := draw.SansBold.Width("0") * s.Style.Number / 2 // as far apart as they can be
		between := mid - first
		l.number("0", first, 1)
		l.number("2", mid, 1)
		l.number("0", sampleWidth-first, 1)
		up, _ := score.CapHeight(draw.Sans)
		for i, t := range [2]string{"h", "p"} {
			x := first + between*(0.5+float64(i))
			l.c.Ghost(ink.Bow(x-between/2, -half-0.1, x+between/2, -half-0.1, -0.45, 0.1, 0.2))
			l.c.Text(t, draw.Sans, s.Style.Letter, x, up*s.Style.Letter*0.45, draw.Middle)
		}
		l.gaps[1] = [][2]float64{{0, sampleWidth}}
	})
	add(u.vibrato, "vibrato: rock the steel along the string", func(l *legendArt) {
		l.number("5", mid, 0)
		w := draw.WiggleVibrato.Advance()
		for i := range 3 {
			l.c.Glyph(draw.WiggleVibrato, mid-0.6+float64(i)*w, l.y(0)-half-0.35, 1)
		}
	})
	add(u.swell, "swell: begin softly and let the note grow, with the volume pedal or knob", func(l *legendArt) { l.over(tune.Swell) })
	add(u.accent && !s.Style.Staff, "accent: strike this one harder", func(l *legendArt) { l.over(tune.Accent) })
	add(u.fermata && !s.Style.Staff, "hold it longer than it is written", func(l *legendArt) { l.over(tune.Fermata) })
	add(u.rolled && !s.Style.Staff, "roll it: the lowest string first, the others close after it", func(l *legendArt) {
		l.number("5", mid, 0)
		l.number("5", mid, 1)
		l.number("5", mid, 2)
		l.c.Add(ink.Wave(mid-draw.SansBold.Width("5")*s.Style.Number/2-0.7, l.y(0)-0.5, l.y(2)+0.5))
	})
}

// stops adds how a note is ended, held or made without the steel, and the hands.
func (u *marksUsed) stops(s *score.Score, add adder) {
	half := s.Style.Number * 0.4
	mid := sampleWidth / 2
	add(u.damp, "stop the string when the note is over; without it, let it ring", func(l *legendArt) {
		l.number("5", mid, 1)
		w := draw.SansBold.Width("5") * s.Style.Number / 2
		l.stroke(mid+w+0.36, -s.Style.TabGap*0.3, mid+w+0.36, s.Style.TabGap*0.3, 0.22)
	})
	add(u.held, "still ringing: not played again", func(l *legendArt) { l.number("(5)", mid, 1) })
	add(u.harmonic, "harmonic of the open string, touched at this fret", func(l *legendArt) { l.number("<12>", mid, 1) })
	add(u.palm, "harmonic with the picking hand's palm, an octave or more above the steel", func(l *legendArt) {
		l.number("5", mid, 0)
		l.c.Text("palm", draw.Sans, s.Style.Letter, mid, l.y(0)-half-0.5, draw.Middle)
	})
	add(u.bend, "b: work the bender while the string rings; r: let it go", func(l *legendArt) { l.bend(u.bender) })
	add(u.chop, "x: lay the palm on the strings and strike them: no pitch", func(l *legendArt) { l.number("x", mid, 1) })
	add(u.bender != "", "a letter after the number: work that bender", func(l *legendArt) { l.number("5"+u.bender, mid, 1) })
	from := "string 1"
	if s.Options.StringOneLow {
		from = "the top line"
	}
	add(u.fingers && !s.Options.NoFingers, "T thumb, I index, M middle finger; in a grip from "+from+" down", func(l *legendArt) {
		for i, f := range [3]string{"T", "I", "M"} {
			l.c.Text(f, draw.Sans, s.Style.Letter, 1.7+1.8*float64(i), 0.45, draw.Middle)
		}
		for i := range 3 {
			l.gaps[i] = [][2]float64{{-1, sampleWidth + 1}}
		}
	})
}

// marksUsed says which marks a tab needs explained.
type marksUsed struct {
	straight, forward, reverse, split, nose, between bool
	short, stems                                     bool
	glide, scoop, hammer, vibrato, damp, held        bool
	harmonic, palm, fingers, bend, chop              bool
	level                                            bool // a glide by a bender alone
	swell, accent, fermata, rolled                   bool
	bender                                           string
}

func marksOf(s *score.Score, more []*score.Score) marksUsed {
	u := marksUsed{stems: s.Style.Rhythm}
	for _, s := range append([]*score.Score{s}, more...) {
		for _, m := range s.Bars {
			for _, n := range m.Notes {
				u.over(n)
			}
			for _, nd := range m.Nodes {
				for _, st := range nd.Stops {
					if st.Stroke != nil {
						u.note(s, st)
					}
				}
			}
		}
	}
	return u
}

func (u *marksUsed) over(n *score.Note) {
	if n.Grace >= 0 || n.Hidden {
		return
	}
	has := func(k tune.Mark) bool { return slices.Contains(n.Event.Marks, k) }
	u.swell = u.swell || has(tune.Swell)
	u.accent = u.accent || has(tune.Accent)
	u.fermata = u.fermata || has(tune.Fermata)
}

func (u *marksUsed) note(s *score.Score, st *score.Stop) {
	fretted := 0
	for _, p := range st.Plays {
		k := p.Pluck
		if k.Fret > 0 {
			fretted++
		}
		u.between = u.between || math.Abs(k.Fret-math.Round(k.Fret)) >= 0.2
		if to := s.After[p]; k.Glide && to != nil && to.Pluck.Attack != tab.BentTo {
			u.glide = u.glide || to.Pluck.Fret != k.Fret
			u.level = u.level || to.Pluck.Fret == k.Fret && s.BenderText(to) != s.BenderText(p)
		}
		u.scoop = u.scoop || k.Scoop != 0
		u.hammer = u.hammer || p.Joins() && k.Attack != tab.BentTo
		u.vibrato = u.vibrato || k.Vibrato
		u.damp = u.damp || k.Damp
		u.held = u.held || k.Attack == tab.Tied
		u.harmonic = u.harmonic || k.Attack == tab.Harmonic
		u.palm = u.palm || k.Attack == tab.PalmHarmonic
		u.bend = u.bend || k.Attack == tab.BentTo
		u.chop = u.chop || k.Attack == tab.Chopped
		u.fingers = u.fingers || k.Finger != tab.NoFinger
		if b := s.BenderText(p); b != "" && u.bender == "" {
			u.bender = b
		}
	}
	u.short = u.short || st.Short
	u.rolled = u.rolled || st.Rolled()
	switch st.Stroke.Placement.Kind {
	case steel.Straight:
		u.straight = u.straight || fretted > 1
	case steel.Forward:
		u.forward = true
	case steel.Reverse:
		u.reverse = true
	case steel.Split:
		u.split = true
	case steel.Nose:
		u.nose = u.nose || len(st.Plays) > 1
	}
}

// cell is one entry of the legend as it is set.
type cell struct {
	item   draw.Item
	height float64
}

// wordsRoom is the least room beside a sample for which there is another column, in
// millimetres: some five words a line.
const wordsRoom = 40.0

// Draw explains the marks of the tablature that this piece uses, in as many
// columns as fit. It stands at the foot of the page on which they are first
// met. More scores that stand under the first are explained with it. The legend is nil when there is nothing to explain; lengths are millimetres.
func Draw(s *score.Score, width float64, more ...*score.Score) (g *draw.Group, height float64) {
	if !s.Style.Tab {
		return nil, 0
	}
	all := samples(s, more)
	if len(all) == 0 {
		return nil, 0
	}
	k := s.Style.Space * 0.8
	if s.Options.Layout == score.LargePrint {
		k = s.Style.Space
	}
	em, most := s.Style.TextMM*0.82, 3
	if s.Options.Layout == score.LargePrint {
		em, most = s.Style.TextMM, 1
	}
	gutter := 4.0
	art := sampleWidth*k + 2
	columns := min(max(int((width+gutter)/(art+wordsRoom+gutter)), 1), most)
	column := (width - gutter*float64(columns-1)) / float64(columns)
	g = &draw.Group{Class: "legend"}
	y := 1.8
	g.Items = append(g.Items, draw.Rule{X1: 0, Y1: 0, X2: width, Y2: 0, Width: 0.15, Ink: draw.Pale})
	for i := 0; i < len(all); i += columns {
		row := all[i:min(i+columns, len(all))]
		height := 0.0
		var cells []cell
		for _, sm := range row {
			l := &legendArt{c: ink.New(), s: s}
			sm.draw(l)
			l.strings()
			b := l.c.Root.Bounds()
			lines := draw.Wrap(sm.words, draw.Serif, em, column-art)
			lead := em * 1.2
			h := max((b.Y1-b.Y0)*k, lead*float64(len(lines)))
			top := (h - (b.Y1-b.Y0)*k) / 2
			item := &draw.Group{Class: "legend-item", Items: []draw.Item{draw.Placed(&l.c.Root, k, 0, top-b.Y0*k)}}
			first := (h-lead*float64(len(lines)))/2 + em*0.9
			for j, t := range lines {
				item.Items = append(item.Items, draw.Text{S: t, Font: draw.Serif, Size: em, X: art, Y: first + float64(j)*lead})
			}
			cells = append(cells, cell{item, h})
			height = max(height, h)
		}
		for j, c := range cells {
			x := float64(j) * (column + gutter)
			g.Items = append(g.Items, draw.Placed(c.item, 1, x, y+(height-c.height)/2))
		}
		y += height + 1.6
	}
	return g, y
}
