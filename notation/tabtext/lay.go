package tabtext

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"lapwright/notation/columns"
	"lapwright/rig"

	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// layBar lays one bar out in columns.
func layBar(t *tab.Tab, geo *steel.Geometry, i int, strokes []*tab.Stroke) *block {
	l := &layer{t: t, geo: geo, i: i, bar: &t.Tune.Bars[i], known: map[tune.Ticks]bool{}, b: &block{rows: map[rowID][][]string{}}}
	l.columns(strokes)
	l.b.put(rowID{numberRow, 0, 0}, l.b.times[0], strconv.Itoa(l.bar.Number))
	l.signs()
	l.chords()
	l.rhythm(strokes)
	for _, s := range strokes {
		l.stroke(s)
	}
	l.verses()
	l.space()
	return l.b
}

type layer struct {
	t     *tab.Tab
	geo   *steel.Geometry
	i     int
	bar   *tune.Bar
	b     *block
	known map[tune.Ticks]bool // times that the rhythm line gives
}

// onset returns when the struck notes of an event sound.
func onset(e *tune.Event) tune.Ticks {
	return e.At + tune.GraceTime(e)*tune.Ticks(len(e.Graces))
}

// columns collects every time that something stands at.
func (l *layer) columns(strokes []*tab.Stroke) {
	times := map[tune.Ticks]bool{}
	for _, line := range l.bar.Lines {
		for ei := range line {
			e := &line[ei]
			each := tune.GraceTime(e)
			for gi := range e.Graces {
				l.known[e.At+each*tune.Ticks(gi)] = true
			}
			l.known[onset(e)] = true
		}
	}
	for at := range l.known {
		times[at] = true
	}
	for _, c := range l.bar.Chords {
		times[c.At] = true
	}
	for _, s := range l.bar.Signs {
		times[s.At] = true
	}
	for _, s := range l.bar.Tempos {
		times[s.At] = true
	}
	for _, s := range l.bar.Texts {
		times[s.At] = true
	}
	times[0] = true
	for at := range times {
		l.b.times = append(l.b.times, at)
	}
	slices.Sort(l.b.times)
}

// timed writes a token that belongs to an instant: the time is added where the
// column can't tell it.
func (l *layer) timed(id rowID, at tune.Ticks, token string) {
	i, ok := slices.BinarySearch(l.b.times, at)
	if !ok || !l.known[at] || (l.b.rows[id] != nil && len(l.b.rows[id][i]) > 0) {
		token += "@" + at.String()
	}
	l.b.put(id, at, token)
}

var signWords = map[tune.SignKind]string{
	tune.Segno: "segno", tune.Coda: "coda", tune.ToCoda: "to coda", tune.Fine: "fine",
	tune.DaCapo: "D.C.", tune.DalSegno: "D.S.", tune.DaCapoAlFine: "D.C. al fine", tune.DalSegnoAlFine: "D.S. al fine",
	tune.DaCapoAlCoda: "D.C. al coda", tune.DalSegnoAlCoda: "D.S. al coda",
}

func (l *layer) signs() {
	id := rowID{signRow, 0, 0}
	b := l.bar
	start := func(token string) { l.b.put(id, 0, token) }
	var before *tune.Bar
	if l.i > 0 {
		before = &l.t.Tune.Bars[l.i-1]
	}
	if len(b.Endings) > 0 {
		var ns []string
		for _, n := range b.Endings {
			ns = append(ns, strconv.Itoa(n))
		}
		start("[" + strings.Join(ns, ",") + ".")
	}
	if b.Part != "" {
		start("{part " + quoteIfNeeded(b.Part) + "}")
	}
	if before != nil && before.Key != b.Key {
		start("{key " + b.Key.Text() + "}")
	}
	if before != nil && !before.Meter.Equal(b.Meter) {
		start("{meter " + columns.FormatMeter(b.Meter) + "}")
	}
	for i, x := range b.Tempos {
		if l.i == 0 && i == 0 && x.At == 0 {
			continue // it stands in the header
		}
		l.timed(id, x.At, "{tempo "+columns.FormatTempo(x)+"}")
	}
	for _, x := range b.Signs {
		w := signWords[x.Kind]
		if x.Text != "" {
			w += "=" + columns.Quote(x.Text)
		}
		l.timed(id, x.At, "{"+w+"}")
	}
	for _, x := range b.Texts {
		token := columns.Quote(x.Text)
		if x.Below {
			token = "_" + token
		}
		l.timed(id, x.At, token)
	}
	if b.Right.Repeat > 1 {
		l.b.put(id, l.b.times[len(l.b.times)-1], fmt.Sprintf("{play %d times}", b.Right.Repeat+1))
	}
	if b.EndingEnds {
		l.b.put(id, l.b.times[len(l.b.times)-1], "]")
	}
}

// quoteIfNeeded quotes a word that could not stand alone in a line.
func quoteIfNeeded(s string) string {
	if s == "" || !printable(s) || strings.ContainsAny(s, " \t\"@{}") {
		return columns.Quote(s)
	}
	return s
}

func (l *layer) chords() {
	for _, c := range l.bar.Chords {
		l.timed(rowID{chordRow, 0, 0}, c.At, formatChord(c))
	}
}

func (l *layer) rhythm(strokes []*tab.Stroke) {
	lists := map[tune.Ref][]int{}
	for _, s := range strokes {
		for _, p := range s.Plucks {
			ref := p.Ref
			ref.Note = 0
			lists[ref] = append(lists[ref], p.String)
		}
	}
	// One voice alone plays every string of its column, once.
	list := func(v, e, g int) string {
		strs := lists[tune.Ref{Bar: l.i, Voice: v, Event: e, Grace: g}]
		slices.Sort(strs)
		if len(l.t.Tune.Voices) == 1 && len(slices.Compact(slices.Clone(strs))) == len(strs) {
			return ""
		}
		words := make([]string, len(strs))
		for i, s := range strs {
			words[i] = strconv.Itoa(s)
		}
		return ":" + strings.Join(words, ",")
	}
	for v, line := range l.bar.Lines {
		id := rowID{rhythmRow, v, 0}
		for ei := range line {
			e := &line[ei]
			each := tune.GraceTime(e)
			for gi := range e.Graces {
				l.b.put(id, e.At+each*tune.Ticks(gi), formatGrace(&e.Graces[gi], list(v, ei, gi)))
			}
			strs := ""
			if e.Kind == tune.Sounding {
				strs = list(v, ei, -1)
			}
			l.b.put(id, onset(e), formatRhythm(e, l.bar.Meter.Len(), strs))
		}
	}
}

// stroke writes the numbers of one stroke, and on the lines about them how the
// steel lies and which fingers pluck.
func (l *layer) stroke(s *tab.Stroke) {
	if !l.known[s.At] || len(s.Plucks) == 0 {
		return
	}
	written, doubled := 0, 0
	col := columns.Column{At: s.At}
	for pi := range s.Plucks {
		p := &s.Plucks[pi]
		if p.String < 1 || p.String > len(l.t.Rig.Strings) || l.slotTime(p) != s.At {
			continue
		}
		text := l.cell(s, p)
		c, _, want := scanCell(text)
		if want != "" {
			continue
		}
		id := rowID{stringRow, p.String, 0}
		i, _ := slices.BinarySearch(l.b.times, s.At)
		if l.b.rows[id] != nil && len(l.b.rows[id][i]) > 0 {
			doubled++ // two notes on one string: the number stands for both
			continue
		}
		l.b.put(id, s.At, text)
		col.Cells = append(col.Cells, columns.PlacedCell{Cell: c, Str: p.String})
		written++
	}
	if written == 0 {
		return
	}
	if token := l.steel(s, &col); token != "" {
		l.b.put(rowID{steelRow, 0, 0}, s.At, token)
	}
	hand, any := "", false
	for _, p := range s.Plucks {
		if p.Finger == tab.NoFinger {
			hand += "-"
			continue
		}
		hand += p.Finger.String()
		any = true
	}
	if any && written+doubled == len(s.Plucks) {
		l.b.put(rowID{handRow, 0, 0}, s.At, hand)
	}
}

// slotTime returns when the rhythm line has what a pluck plays, −1 for nothing.
func (l *layer) slotTime(p *tab.Pluck) tune.Ticks {
	r := p.Ref
	if r.Bar != l.i || r.Voice < 0 || r.Voice >= len(l.bar.Lines) || r.Event < 0 || r.Event >= len(l.bar.Lines[r.Voice]) {
		return -1
	}
	e := &l.bar.Lines[r.Voice][r.Event]
	switch {
	case e.Kind != tune.Sounding || r.Grace >= len(e.Graces):
		return -1
	case r.Grace >= 0:
		return e.At + tune.GraceTime(e)*tune.Ticks(r.Grace)
	case p.Attack == tab.Tied:
		return e.At
	}
	return onset(e)
}

func (l *layer) cell(s *tab.Stroke, p *tab.Pluck) string {
	pl := s.Placement
	shorten := pl.Slanted() && p.String != int(pl.First) && p.String != int(pl.Last) && p.Attack != tab.Harmonic
	letters := ""
	for i, b := range l.t.Rig.Benders {
		for _, m := range b.Moves {
			if s.Benders.Has(i) && m.String == p.String {
				letters += b.Mark
			}
		}
	}
	falling := false
	switch p.Attack {
	case tab.BentTo:
		before, ok := l.bendersBefore(p)
		falling = ok && l.t.Rig.OpenKey(p.String, s.Benders) < l.t.Rig.OpenKey(p.String, before)
	case tab.Glided:
		if before, ok := l.fretBefore(p); ok && before > p.Fret {
			falling = true
		}
	}
	return formatCell(p, shorten, falling, letters)
}

// fretBefore finds where the same string of the same voice was last stopped.
func (l *layer) fretBefore(p *tab.Pluck) (float64, bool) {
	q, _ := l.before(p)
	if q == nil {
		return 0, false
	}
	return q.Fret, true
}

// bendersBefore finds the benders under which the same string of the same voice was
// last played.
func (l *layer) bendersBefore(p *tab.Pluck) (rig.BenderSet, bool) {
	_, s := l.before(p)
	if s == nil {
		return 0, false
	}
	return s.Benders, true
}

// before finds what the same string of the same voice played last, in this bar or the
// one before; nil for nothing.
func (l *layer) before(p *tab.Pluck) (found *tab.Pluck, in *tab.Stroke) {
	from, _ := slices.BinarySearchFunc(l.t.Strokes, l.i-1, func(s tab.Stroke, bar int) int { return cmp.Compare(s.BarIndex, bar) })
	for si := from; si < len(l.t.Strokes) && l.t.Strokes[si].BarIndex <= l.i; si++ {
		s := &l.t.Strokes[si]
		for pi := range s.Plucks {
			q := &s.Plucks[pi]
			if q == p || q.Ref == p.Ref {
				return found, in
			}
			if q.String == p.String && q.Ref.Voice == p.Ref.Voice {
				found, in = q, s
			}
		}
	}
	return found, in
}

// steel writes how the steel lies where the numbers alone would be read
// otherwise, or where it leans.
func (l *layer) steel(s *tab.Stroke, col *columns.Column) string {
	g := columns.Grid{Tune: l.t.Tune, Rig: l.t.Rig}
	token := ""
	pl := s.Placement
	if lies, _ := g.PlacementOf(l.geo, col); lies != pl || pl.Slanted() || pl.Kind == steel.Nose {
		token = columns.FormatPlacement(pl, false)
		col.Steel = columns.SteelState{Placement: pl, Laid: true}
		col.Steel.Placement.FirstFret, col.Steel.Placement.LastFret = 0, 0
		if lies, ok := g.PlacementOf(l.geo, col); lies != pl || !ok {
			token = columns.FormatPlacement(pl, true)
		}
		col.Steel = columns.SteelState{}
	}
	if set := g.BendersOf(col); set != s.Benders {
		token += "+" + formatLetters(l.t.Rig, s.Benders)
	}
	return token
}

func (l *layer) verses() {
	for v, line := range l.bar.Lines {
		for ei := range line {
			seen := map[int]bool{}
			for _, y := range line[ei].Lyrics {
				if seen[y.Verse] {
					continue
				}
				seen[y.Verse] = true
				l.b.put(rowID{verseRow, y.Verse, v}, onset(&line[ei]), formatLyric(y))
			}
		}
	}
}

func formatLyric(y tune.Lyric) string {
	s := y.Text
	if s == "" || !printable(s) || strings.ContainsAny(s, " \t\"") || strings.HasSuffix(s, "-") || strings.HasSuffix(s, "_") {
		s = columns.Quote(s)
	}
	if y.Hyphen {
		s += "-"
	}
	if y.Extend {
		s += "_"
	}
	return s
}

// space gives every column its width: room for its longest token and one more,
// and a little for longer notes so that the rhythm shows.
func (l *layer) space() {
	for i, at := range l.b.times {
		w := 0
		for _, row := range l.b.rows {
			w = max(w, utf8.RuneCountInString(strings.Join(row[i], " ")))
		}
		end := l.bar.Len
		if i+1 < len(l.b.times) {
			end = l.b.times[i+1]
		}
		room := 2
		for part := tune.Whole / 8; part <= tune.Whole && end-at >= part; part *= 2 {
			room++
		}
		l.b.widths = append(l.b.widths, max(w+1, room))
	}
}
