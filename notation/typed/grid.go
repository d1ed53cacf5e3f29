package typed

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/columns"

	"lapwright/tab"
	"lapwright/tune"
)

// looseBar is one bar with all that was found in it.
type looseBar struct {
	sys      *looseSystem
	first    *looseString // the string line that other lines are compared with
	index    int
	from, to int             // rune columns on it
	clusters [][]*looseToken // what sounds together, in order
	starts   []float64       // the column of each, brought to what all strings share
	width    float64
	letters  []columns.Span
	letterOn columns.TextLine
	counts   []columns.Span
	countOn  columns.TextLine
	chords   []columns.Span
	number   int // −1 when no line gives it
	ending   int
	part     string
	left     bool // a repeat begins
	right    int  // a repeat ends: how often more to play
	double   bool
	texts    []tune.TextAt
	hands    []columns.Span
	handOn   columns.TextLine

	times  []tune.Ticks // of the clusters
	events []looseEvent
	len    tune.Ticks
}

// looseEvent is a note or rest of a bar before it is split into written values.
type looseEvent struct {
	at, len tune.Ticks
	cluster int // in the bar; −1 for a rest
	value   *tune.Value
	tuplet  *tune.Tuplet
}

var timesText = regexp.MustCompile(`^\(?(?:play )?(?:[xX×]\s*(\d{1,2})|(\d{1,2})\s*(?:[xX×]|times))\)?$`)

// maxInBar bounds the numbers of one bar: more than any meter has 64ths.
const maxInBar = 256

// grid turns what was found into a grid.
func (r *loose) grid() (*columns.Grid, error) {
	var bars []*looseBar
	last := make([]*looseToken, len(r.rig.Strings))
	for _, s := range r.blocks {
		bars = append(bars, r.systemBars(s, last)...)
	}
	if !slices.ContainsFunc(bars, func(b *looseBar) bool { return len(b.clusters) > 0 }) {
		return nil, r.fatal(bars[0].first.TextLine, bars[0].first.body, "no numbers on the lines of the strings")
	}
	for _, b := range bars {
		if n := len(b.clusters); n > maxInBar {
			return nil, r.fatal(b.first.TextLine, b.from, "%d numbers one after the other in this bar, and %d is the most", n, maxInBar)
		}
	}
	meter := r.meterOf(bars)
	r.timeBars(bars, meter)
	return r.fill(bars, meter), nil
}

// systemBars reads one system: its numbers, brought into columns, and the
// lines about it.
func (r *loose) systemBars(s *looseSystem, last []*looseToken) []*looseBar {
	var bars []*looseBar
	var first *looseString
	for i := range s.strings {
		if !s.strings[i].empty {
			first = &s.strings[i]
			break
		}
	}
	for i, c := range first.cells {
		bars = append(bars, &looseBar{sys: s, first: first, index: i, from: c[0], to: c[1], number: -1})
	}
	if s.number > 0 && len(bars) > 0 {
		bars[0].number = s.number
	}
	byBar := make([][]*looseToken, len(bars))
	for i := range s.strings {
		l := &s.strings[i]
		if l.empty {
			continue
		}
		var rows [][]*looseToken
		rows, last[i] = r.scanString(l, i+1, last[i])
		for b, ts := range rows {
			byBar[b] = append(byBar[b], ts...)
		}
		r.marks(l, bars)
	}
	for b := range bars {
		r.columns(bars[b], byBar[b])
	}
	for _, l := range s.above {
		r.row(l, nil, s, bars)
	}
	for _, l := range s.below {
		r.row(l, s, s, bars)
	}
	return bars
}

// marks reads repeats and double bars off a string line's barlines.
func (r *loose) marks(l *looseString, bars []*looseBar) {
	for i, g := range l.marks {
		body := strings.Trim(g.Text, "|")
		if i > 0 && i <= len(bars) {
			b := bars[i-1]
			if strings.HasPrefix(g.Text, ":") || strings.HasPrefix(g.Text, "*") || strings.HasPrefix(g.Text, "o") {
				b.right = max(b.right, 1)
			}
			b.double = b.double || strings.Contains(g.Text, "||")
		}
		if i < len(bars) && body != "" && strings.ContainsAny(g.Text[len(g.Text)-1:], ":*o") {
			bars[i].left = true
		}
	}
	end := min(l.marks[len(l.marks)-1].To, len(l.runes))
	rest := strings.TrimSpace(string(l.runes[end:]))
	if m := timesText.FindStringSubmatch(rest); m != nil {
		n, _ := strconv.Atoi(m[1] + m[2])
		if b := bars[len(bars)-1]; n >= 2 && n <= tune.MaxRepeats && b.right < n-1 {
			b.right = n - 1
			r.guess(l.TextLine, end, "the last bar is taken to end a repeat that is played %d times", n)
		}
	} else if rest != "" && strings.Trim(rest, "-|:*o ") != "" {
		// The typed text, not the one with its dashes brought in line.
		text := strings.TrimSpace(l.Text[l.ByteAt(end):])
		b := bars[len(bars)-1]
		b.texts = append(b.texts, tune.TextAt{Text: text})
		r.guess(l.TextLine, end, "%q is kept as words by the last bar of its system", fault.Clip(text))
	}
}

// columns finds which numbers of a bar sound together.
func (r *loose) columns(b *looseBar, ts []*looseToken) {
	// Each line's width, as typed and with two-digit numbers counted as one.
	typed, pressed := map[int]bool{}, map[int]bool{}
	widths := map[int]int{}
	extra := map[int]int{}
	shift := map[int]int{}
	for _, t := range ts {
		extra[t.str] += t.digits - 1
	}
	for i := range b.sys.strings {
		l := &b.sys.strings[i]
		if l.empty {
			continue
		}
		c := l.cells[b.index]
		w := c[1] - c[0]
		// A repeat's dots may stand on some of the lines only: the others have
		// a dash in their place.
		if uneven(b.sys, b.index) && !endsInDot(l.marks[b.index].Text, true) {
			w--
			shift[i+1] = -1
		}
		if uneven(b.sys, b.index+1) && !endsInDot(l.marks[b.index+1].Text, false) {
			w--
		}
		widths[i+1] = w
		typed[w] = true
		pressed[w-extra[i+1]] = true
		b.width = max(b.width, float64(w))
	}
	for _, t := range ts {
		t.rel = max(t.rel+shift[t.str], 0)
	}
	slices.SortStableFunc(ts, func(x, y *looseToken) int { return x.rel - y.rel })
	room := 0.0 // how far apart what sounds together may stand, beyond its digits
	switch {
	case len(typed) <= 1:
		for _, t := range ts {
			t.adj = float64(t.rel)
		}
	case len(pressed) == 1:
		seen := map[int]int{}
		for _, t := range ts {
			t.adj = float64(t.rel - seen[t.str])
			seen[t.str] += t.digits - 1
		}
		for w := range pressed {
			b.width = float64(w)
		}
	default:
		room = 0.6
		for _, t := range ts {
			t.adj = float64(t.rel) * b.width / float64(max(widths[t.str], 1))
		}
		r.guess(b.first.TextLine, b.from, "the lines of this bar are of uneven length: columns are matched by their share of it")
	}
	slices.SortStableFunc(ts, func(x, y *looseToken) int {
		switch {
		case x.adj < y.adj:
			return -1
		case x.adj > y.adj:
			return 1
		}
		return x.str - y.str
	})
	var end float64
	for _, t := range ts {
		n := len(b.clusters) - 1
		if n >= 0 && t.adj < end+room && !slices.ContainsFunc(b.clusters[n], func(o *looseToken) bool { return o.str == t.str }) {
			b.clusters[n] = append(b.clusters[n], t)
			end = max(end, t.adj+float64(t.digits))
			continue
		}
		b.clusters = append(b.clusters, []*looseToken{t})
		b.starts = append(b.starts, t.adj)
		end = t.adj + float64(t.digits)
	}
	for _, c := range b.clusters {
		slices.SortFunc(c, func(x, y *looseToken) int { return x.str - y.str })
	}
}

// endsInDot reports whether a barline has the dots of a repeat on its right or
// left.
func endsInDot(glyph string, right bool) bool {
	if glyph == "" {
		return false
	}
	if right {
		return strings.ContainsAny(glyph[len(glyph)-1:], ":*o")
	}
	return strings.ContainsAny(glyph[:1], ":*o")
}

// uneven reports whether some lines of a system have the dots of a repeat at
// barline i and others don't.
func uneven(s *looseSystem, i int) bool {
	with, without := 0, 0
	for k := range s.strings {
		l := &s.strings[k]
		if l.empty {
			continue
		}
		if g := l.marks[i].Text; endsInDot(g, true) || endsInDot(g, false) {
			with++
		} else {
			without++
		}
	}
	return with > 0 && without > 0
}

// row reads a line above or below a system. under is the system above the line.
func (r *loose) row(l columns.TextLine, under, s *looseSystem, bars []*looseBar) {
	if strings.Trim(l.Text, "-=_* ") == "" {
		return
	}
	kind := r.kindOf(l, under)
	if kind == wordLine {
		text := strings.Join(strings.Fields(l.Text), " ")
		bars[0].texts = append(bars[0].texts, tune.TextAt{Text: text, Below: under != nil})
		r.guess(l, 0, "%q is kept as words by the first bar of its system", fault.Clip(text))
		return
	}
	if kind == partLine {
		bars[0].part = loosePart.FindStringSubmatch(l.Text)[1]
		return
	}
	for _, sp := range tokens(l) {
		b := bars[0]
		for _, o := range bars {
			if sp.Col >= o.from-1 {
				b = o
			}
		}
		switch kind {
		case chordLine:
			b.chords = append(b.chords, sp)
		case rhythmLine:
			b.letters = append(b.letters, sp)
			b.letterOn = l
		case countLine:
			b.counts = append(b.counts, sp)
			b.countOn = l
		case numberLine:
			if n, err := strconv.Atoi(sp.Text); err == nil && n < 1<<30 {
				b.number = n
			}
		case endingLine:
			b.ending, _ = strconv.Atoi(looseEnding.FindStringSubmatch(sp.Text)[1])
		case handLine:
			b.hands = append(b.hands, sp)
			b.handOn = l
		}
	}
}

// spanCol returns the column of a cluster on the line that letters stand over.
func (b *looseBar) spanCol(i int) int {
	col := math.MaxInt
	for _, t := range b.clusters[i] {
		col = min(col, t.col)
	}
	return col
}

// fill makes the grid of the timed bars.
func (r *loose) fill(bars []*looseBar, meter tune.Meter) *columns.Grid {
	g := &columns.Grid{Tune: r.tuneOf(), Rig: r.rig, Near: tab.CentsAllowed / 100}
	var all [][]*looseToken
	var long [12]float64        // how long each tone sounds
	joined := map[[2]int]bool{} // clusters with nothing between them
	lastNote := -1
	for _, b := range bars {
		for _, e := range b.events {
			if e.cluster < 0 {
				lastNote = -1
				continue
			}
			c := b.clusters[e.cluster]
			for _, t := range c {
				t.cluster = len(all)
				long[int(math.Round(t.key(r.rig)))%12] += float64(e.len)
			}
			if lastNote >= 0 {
				joined[[2]int{lastNote, len(all)}] = true
			}
			lastNote = len(all)
			all = append(all, c)
		}
	}
	r.settleAttacks(all, func(a, b int) bool { return joined[[2]int{a, b}] })
	number, ending := 1, false
	for i, b := range bars {
		if i == 0 && b.len < meter.Len() && len(bars) > 1 {
			number = 0
		}
		if b.number >= 0 {
			number = b.number
		}
		out := tune.Bar{Number: number, Meter: meter, Len: b.len, Texts: b.texts, Part: b.part}
		number++
		if i == 0 && r.head.tempo != nil {
			out.Tempos = []tune.Tempo{*r.head.tempo}
		}
		if b.left {
			out.Left.Repeat = 1
		}
		if b.double {
			out.Right.Style = tune.DoubleBarline
		}
		if b.right > 0 {
			out.Right = tune.Barline{Repeat: b.right}
		}
		if b.ending > 0 {
			out.Endings = []int{b.ending}
		}
		ending = ending || b.ending > 0
		if ending && (b.right > 0 || b.double || i+1 == len(bars) || bars[i+1].ending > 0) {
			out.EndingEnds, ending = true, false
		}
		out.LineBreak = i+1 < len(bars) && bars[i+1].sys != b.sys
		r.chordsOf(b, &out)
		gb := columns.GridBar{Rhythm: [][]columns.RhythmEvent{nil}}
		out.Lines = [][]tune.Event{nil}
		for _, e := range b.events {
			r.put(b, e, &out, &gb)
		}
		g.Tune.Bars = append(g.Tune.Bars, out)
		g.Bars = append(g.Bars, gb)
	}
	key := r.head.key
	if key == nil {
		k := guessKey(g.Tune.Bars, long)
		key = &k
		r.guess(bars[0].first.TextLine, 0, "no key is named: taken as %s", k)
	}
	for i := range g.Tune.Bars {
		g.Tune.Bars[i].Key = *key
	}
	// A repeat sign at the end of the last ending adds nothing and is common.
	if n := len(g.Tune.Bars); g.Tune.Bars[n-1].Endings != nil && g.Tune.Bars[n-1].Endings[0] > 1 {
		g.Tune.Bars[n-1].Right.Repeat = 0
	}
	return g
}

// put adds an event to a bar, split into tied values where one does not hold
// its length.
func (r *loose) put(b *looseBar, e looseEvent, out *tune.Bar, gb *columns.GridBar) {
	kind := tune.Sounding
	if e.cluster < 0 {
		kind = tune.Rest
	}
	values := []tune.Value{}
	if e.value != nil {
		values = append(values, *e.value)
	} else if e.cluster < 0 && e.at == 0 && e.len == b.len {
		values = append(values, tune.Value{BarRest: true})
	} else if v, ok := tune.Values(e.len); ok {
		values = v
	}
	place := columns.Place{Line: b.first.Number, Col: b.first.ByteAt(b.from) + 1}
	at := e.at
	for i, v := range values {
		ev := tune.Event{At: at, Kind: kind, Value: v, Len: v.Len()}
		if e.tuplet != nil {
			ev.Tuplets = []tune.Tuplet{*e.tuplet}
			ev.Len, _ = v.Scaled(ev.Tuplets)
		}
		if v.BarRest {
			ev.Len = e.len
		}
		col := columns.Column{At: at}
		if kind == tune.Sounding {
			for _, t := range b.clusters[e.cluster] {
				c := t.Cell
				if i > 0 {
					if c.Attack == tab.Harmonic {
						continue
					}
					c.Attack, c.Scooped, c.Start = tab.Tied, false, 0
				}
				c.Damp = c.Damp && i == len(values)-1
				col.Cells = append(col.Cells, columns.PlacedCell{Cell: c, Str: t.str, Place: toPlace(t)})
			}
			if len(col.Cells) == 0 {
				ev.Kind = tune.Rest // a harmonic is not held across a tie: it rings on
			} else {
				r.handOf(b, e.cluster, i, &col)
				gb.Columns = append(gb.Columns, col)
			}
		}
		out.Lines[0] = append(out.Lines[0], ev)
		gb.Rhythm[0] = append(gb.Rhythm[0], columns.RhythmEvent{Place: place})
		at += ev.Len
	}
}

func toPlace(t *looseToken) columns.Place {
	return columns.Place{Line: t.line.Number, Col: t.line.ByteAt(t.col) + 1}
}

// handOf gives a column the fingers that stand under its numbers.
func (r *loose) handOf(b *looseBar, cluster, part int, col *columns.Column) {
	if len(b.hands) != len(b.clusters) {
		if len(b.hands) > 0 && cluster == 0 && part == 0 {
			r.guess(b.handOn, b.hands[0].Col, "%d fingers under %d numbers in this bar: passed over", len(b.hands), len(b.clusters))
		}
		return
	}
	sp := b.hands[cluster]
	if len(sp.Text) != len(col.Cells) {
		if part == 0 {
			r.guess(b.handOn, sp.Col, "%d fingers under %d numbers: passed over", len(sp.Text), len(col.Cells))
		}
		return
	}
	for _, c := range sp.Text {
		f := tab.Finger(strings.IndexRune("-TIM", c))
		if part > 0 {
			f = tab.NoFinger
		}
		col.Hand = append(col.Hand, f)
	}
}

// chordsOf places the chord symbols of a bar: with the number that stands
// under them, else at the nearest beat.
func (r *loose) chordsOf(b *looseBar, out *tune.Bar) {
	for _, sp := range b.chords {
		if sp.Text == "/" || sp.Text == "%" {
			continue
		}
		at, nearest := tune.Ticks(-1), 3
		for i := range b.clusters {
			d := b.spanCol(i) - sp.Col
			if d = max(d, -d); d < nearest {
				at, nearest = b.times[i], d
			}
		}
		if at < 0 {
			beat := out.Meter.Beat()
			beats := max(b.len/beat, 1)
			share := float64(sp.Col-b.from) / math.Max(float64(b.to-b.from), 1)
			at = beat * tune.Ticks(math.Round(math.Max(share, 0)*float64(beats)))
			at = min(at, beat*(beats-1))
		}
		if n := len(out.Chords); n > 0 && out.Chords[n-1].At >= at {
			r.guess(b.first.TextLine, sp.Col, "the chord %q falls together with the one before: passed over", fault.Clip(sp.Text))
			continue
		}
		text := sp.Text
		if text == "NC" {
			text = "N.C."
		}
		out.Chords = append(out.Chords, tune.ChordAt{At: at, Text: text, Chord: columns.ReadChord(text)})
	}
}
