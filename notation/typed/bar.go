package typed

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/columns"
	"lapwright/rig"
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

// spanCol returns the column of a cluster on the line that letters stand over.
func (b *looseBar) spanCol(i int) int {
	col := math.MaxInt
	for _, t := range b.clusters[i] {
		col = min(col, t.col)
	}
	return col
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

// barReader reads what stands in the bars of every system.
type barReader struct {
	*guesses
	rig  *rig.Rig
	last []*looseToken // of each string
}

// bars reads the systems from the top down.
func (r *barReader) bars(systems []*looseSystem) ([]*looseBar, error) {
	var bars []*looseBar
	for _, s := range systems {
		bars = append(bars, r.system(s)...)
	}
	if !slices.ContainsFunc(bars, func(b *looseBar) bool { return len(b.clusters) > 0 }) {
		return nil, r.fatal(bars[0].first.TextLine, bars[0].first.body, "no numbers on the lines of the strings")
	}
	for _, b := range bars {
		if n := len(b.clusters); n > maxInBar {
			return nil, r.fatal(b.first.TextLine, b.from, "%d numbers one after the other in this bar, and %d is the most", n, maxInBar)
		}
	}
	return bars, nil
}

// system reads one system: its numbers, brought into columns, and the
// lines about it.
func (r *barReader) system(s *looseSystem) []*looseBar {
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
	if s.number > 0 {
		bars[0].number = s.number
	}
	byBar := make([][]*looseToken, len(bars))
	for i := range s.strings {
		l := &s.strings[i]
		if l.empty {
			continue
		}
		for b, ts := range r.numbers(l, i+1) {
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
func (r *barReader) marks(l *looseString, bars []*looseBar) {
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
		if b := bars[len(bars)-1]; n <= tune.MaxRepeats && b.right < n-1 {
			b.right = n - 1
			r.guess(l.TextLine, end, "the last bar is taken to end a repeat that is played %d times", n)
		}
	} else if strings.Trim(rest, "-|:*o ") != "" {
		// The typed text, not the one with its dashes brought in line.
		text := strings.TrimSpace(l.Text[l.ByteAt(end):])
		b := bars[len(bars)-1]
		b.texts = append(b.texts, tune.TextAt{Text: text})
		r.guess(l.TextLine, end, "%q is kept as words by the last bar of its system", fault.Clip(text))
	}
}

// columns finds which numbers of a bar sound together.
func (r *barReader) columns(b *looseBar, ts []*looseToken) {
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
	slices.SortStableFunc(ts, func(x, y *looseToken) int { return cmp.Or(cmp.Compare(x.adj, y.adj), cmp.Compare(x.str, y.str)) })
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
		slices.SortFunc(c, func(x, y *looseToken) int { return cmp.Compare(x.str, y.str) })
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
func (r *barReader) row(l columns.TextLine, under, s *looseSystem, bars []*looseBar) {
	if strings.Trim(l.Text, "-=_* ") == "" {
		return
	}
	kind := kindOf(l, under)
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
			if n, _ := strconv.Atoi(sp.Text); n < 1<<30 {
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

// numbers reads the numbers of a line: one list a bar.
func (r *barReader) numbers(l *looseString, str int) [][]*looseToken {
	s := &scanner{guesses: r.guesses, rig: r.rig, l: l, str: str, last: r.last[str-1], opened: noBracket}
	for _, c := range l.cells {
		s.out = append(s.out, nil)
		s.bar(c[0], c[1])
	}
	if s.slide != 0 {
		s.guess(l.TextLine, s.slideAt, "%q leads to no number: passed over", s.slide)
	}
	r.last[str-1] = s.last
	return s.out
}
