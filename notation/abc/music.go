package abc

import (
	"math"
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// scan is a line of music being read.
type scan struct {
	s          string
	i          int
	lineNumber int
}

// col is the 1-based column of the place in hand.
func (m *scan) col() int { return m.i + 1 }

func (m *scan) peek() byte {
	if m.i < len(m.s) {
		return m.s[m.i]
	}
	return 0
}

func (m *scan) byteAt(k int) byte {
	if m.i+k < len(m.s) {
		return m.s[m.i+k]
	}
	return 0
}

// number reads digits; at most `most` is given back, with false when there was
// none or more than that.
func (m *scan) number(most int) (int, bool) {
	n, ok := m.part(tune.Ticks(most))
	return int(n), ok
}

// part is number for what an int of 32 bits can't hold.
func (m *scan) part(most tune.Ticks) (n tune.Ticks, ok bool) {
	start := m.i
	for m.i < len(m.s) && m.s[m.i] >= '0' && m.s[m.i] <= '9' {
		n = min(n*10+tune.Ticks(m.s[m.i]-'0'), most+1)
		m.i++
	}
	return min(n, most), m.i > start && n <= most
}

// music takes a line of notes.
func (r *reader) music(l textLine) {
	r.last, r.lastWords = nil, nil
	r.verse = 0
	text := l.text
	joins := strings.HasSuffix(text, `\`)
	if joins {
		text = strings.TrimSuffix(text, `\`)
	}
	// A line that goes back over the bars above it has the same words under it.
	if !r.joined && !strings.HasPrefix(strings.TrimLeft(text, " \t"), "&") {
		r.touched = r.touched[:0]
	}
	m := &scan{s: text, lineNumber: l.lineNumber}
	for m.i < len(m.s) {
		if !strings.HasPrefix(m.s[m.i:], "[V:") {
			r.touch(r.cur)
		}
		r.symbol(m)
		if r.b.full() {
			return
		}
	}
	r.joined = joins
	for _, v := range r.touched {
		if v.over != nil && v.region == 0 && !joins {
			v.endLayer(l.lineNumber, len(text))
		}
		if p := v.prev(); p != nil && !joins {
			p.beamEnd = true
		}
	}
	if !joins && strings.Contains(r.breaks, "<EOL>") {
		r.breakLine()
	}
}

// breakLine marks the bars after which the line of music ends.
func (r *reader) breakLine() {
	for _, v := range r.touched {
		if v.empty() && len(v.bars) > 0 {
			v.bars[len(v.bars)-1].LineBreak = true
		}
	}
}

// symbol takes one thing in a line of music.
func (r *reader) symbol(m *scan) {
	v := r.cur
	c := m.peek()
	switch {
	case c == ' ' || c == '\t':
		for m.peek() == ' ' || m.peek() == '\t' {
			m.i++
		}
		if p := v.prev(); p != nil {
			p.beamEnd = true
		}
	case c == '`':
		m.i++
	case isNote(c):
		r.note(m)
	case c == 'z' || c == 'x':
		r.rest(m)
	case c == 'Z' || c == 'X':
		r.bars(m)
	case c == 'y':
		// A spacer: room on paper, no time.
		m.i++
		m.number(1000)
	case c == '[':
		r.bracket(m)
	case c == '|' || c == ':' || c == '.' && (m.byteAt(1) == '|' || m.byteAt(1) == ':'):
		r.barline(m)
	case c == '(':
		r.openBracket(m)
	case c == ')':
		m.i++
		if p := v.prev(); p != nil {
			p.slurEnds++
		} else if !r.endSlurBefore(v) {
			r.warn(m.lineNumber, m.i, "a slur ends before any note")
		}
	case c == '{':
		r.graces(m)
	case c == '"':
		r.quoted(m)
	case c == '!':
		r.exclaimed(m)
	case c == '+':
		if !r.plused(m) {
			r.warn(m.lineNumber, m.col(), "the sign %q is not understood and is left out", "+")
			m.i++
		}
	case c == '-':
		m.i++
		r.tie(m)
	case c == '.' && m.byteAt(1) == '-' || c == '.' && m.byteAt(1) == '(':
		r.b.once("dotted", m.lineNumber, m.col(), "a dotted tie or slur is kept as a plain one")
		m.i++
	case c == '>' || c == '<':
		r.brokenRhythm(m)
	case c == '&':
		r.overlaySign(m)
	case c == '$' && strings.ContainsRune(r.breaks, '$'):
		m.i++
		r.breakLine()
	case c == '$' || c == '\\':
		m.i++
	case c == '*' || c == ';' || c == '?' || c == '@' || c == '#':
		// Kept free by the standard; "*" is an old way to fill a line.
		m.i++
		r.warn(m.lineNumber, m.i, "the sign %q has no meaning here and is left out", string(c))
	default:
		r.other(m, c)
	}
}

// other takes the letters that stand for decorations, and what is no ABC.
func (r *reader) other(m *scan, c byte) {
	if text, ok := r.symbols[c]; ok {
		m.i++
		r.decoration(text[1:len(text)-1], text[0], m.lineNumber, m.i)
		return
	}
	if name, ok := shorthand[c]; ok {
		m.i++
		r.decoration(name, '!', m.lineNumber, m.i)
		return
	}
	start := m.i
	if c >= 0x80 {
		for m.i < len(m.s) && m.s[m.i] >= 0x80 {
			m.i++
		}
	} else {
		m.i++
	}
	r.warn(m.lineNumber, start+1, "%q is not understood and is left out", terms.Clip(m.s[start:m.i]))
}

func isNote(c byte) bool {
	return c >= 'A' && c <= 'G' || c >= 'a' && c <= 'g' || c == '^' || c == '_' || c == '='
}

// endSlurBefore ends a slur on the last note before the bar in hand.
func (r *reader) endSlurBefore(v *voice) bool {
	if v.on > 0 || len(v.bars) == 0 {
		return false
	}
	line := v.bars[len(v.bars)-1].Lines[0]
	for i := len(line) - 1; i >= 0; i-- {
		if line[i].Kind != tune.Skip {
			line[i].SlurEnds++
			return true
		}
	}
	return false
}

// pitchOf reads a note's accidental, letter and octave. written says that it
// has an accidental. The text has no note there when ok is false; then m is
// past what is wrong.
func (r *reader) pitchOf(m *scan) (n tune.Note, ok bool) {
	v := r.cur
	start := m.i
	alter, k := terms.ParseAccidental(m.s[m.i:])
	m.i += k
	if k > 0 && m.peek() == '/' || k > 0 && m.peek() >= '0' && m.peek() <= '9' {
		r.warn(m.lineNumber, start+1, "an accidental of part of a semitone is read as a whole one")
		for m.peek() == '/' || m.peek() >= '0' && m.peek() <= '9' {
			m.i++
		}
	}
	l, isLetter := terms.LetterOf(m.peek())
	if !isLetter {
		r.warn(m.lineNumber, start+1, "%q has no note after it", m.s[start:m.i])
		m.i = max(m.i, start+1)
		return n, false
	}
	octave := 4
	if m.peek() >= 'a' {
		octave = 5
	}
	m.i++
	for m.peek() == '\'' || m.peek() == ',' {
		if m.peek() == '\'' {
			octave = min(octave+1, 20)
		} else {
			octave = max(octave-1, -12)
		}
		m.i++
	}
	step := 7*octave + int(l)
	switch {
	case k > 0:
		if a, tied := terms.TiedAlter(v.prevNotes(), step); tied {
			n.Show = a == alter
		} else {
			n.Show = v.accs.Plain(l, step, alter, &v.key)
		}
		if r.carry != terms.CarryNot {
			v.accs.Put(l, step, alter)
		}
	default:
		alter = v.accs.Alter(l, step, &v.key, r.carry)
		if a, tied := terms.TiedAlter(v.prevNotes(), step); tied {
			alter = a
		} else if other := v.accs.Alter(l, step, &v.key, terms.CarryOctave); r.carry == terms.CarryPitch && other != alter {
			r.b.once("carry", m.lineNumber, start+1, "the accidental of the other octave is carried to %q, as the standard has it; write an accidental here to be sure", terms.Clip(m.s[start:m.i]))
		}
	}
	n.Name = pitch.Note(l, alter, octave)
	if v.clef.Octave != 0 || v.clef.Semitones != 0 {
		n.Name.Octave += int8(v.clef.Octave)
		if v.clef.Semitones != 0 {
			n.Name = n.Name.Up(tune.Shift(v.key, v.clef.Semitones))
		}
	}
	if key := n.Name.Key(); key < pitch.MinKey || key > pitch.MaxKey {
		r.warn(m.lineNumber, start+1, "the note %q is beyond all instruments and is left out", terms.Clip(m.s[start:m.i]))
		return n, false
	}
	return n, true
}

// prevNotes returns the notes sounded just before in the line in hand.
func (v *voice) prevNotes() []tune.Note {
	if p := v.prev(); p != nil {
		return p.notes
	}
	if v.on > 0 || len(v.bars) == 0 {
		return nil
	}
	line := v.bars[len(v.bars)-1].Lines[0]
	return line[len(line)-1].Notes
}

// multiple reads a note length as a multiple of the unit: "3/2", "/", "//". It is
// false for what can't be one; text is what was read.
func (m *scan) multiple() (num, den tune.Ticks, text string, ok bool) {
	start := m.i
	n, ok := m.part(maxPart)
	if m.i == start {
		n, ok = 1, true
	}
	d := tune.Ticks(1)
	for m.peek() == '/' {
		m.i++
		below := tune.Ticks(2)
		if c := m.peek(); c >= '0' && c <= '9' {
			var fine bool
			below, fine = m.part(maxPart)
			ok = ok && fine && below > 0
		}
		if below > maxPart/d {
			ok, below = false, 1
		}
		d *= max(below, 1)
	}
	return n, d, m.s[start:m.i], ok && n > 0
}

// maxPart bounds the numbers of a length: a tick is no smaller a part.
const maxPart = tune.Whole

// times multiplies a length, or reports false when the outcome is no whole number of
// ticks or longer than most.
func times(length, num, den, most tune.Ticks) (tune.Ticks, bool) {
	if num > math.MaxInt64/length {
		return 0, false
	}
	out := length * num
	if out%den != 0 || out <= 0 || out/den > most {
		return 0, false
	}
	return out / den, true
}

// length reads the length of a note.
func (r *reader) length(m *scan, unit tune.Ticks) tune.Ticks { return r.lengthTo(m, unit, maxLen) }

// lengthTo reads a length of at most so much.
func (r *reader) lengthTo(m *scan, unit, most tune.Ticks) tune.Ticks {
	col := m.col()
	num, den, text, ok := m.multiple()
	length, fits := times(unit, num, den, most)
	if !ok || !fits {
		r.warn(m.lineNumber, col, "%q is no length that a note can have; the unit length is taken", terms.Clip(text))
		return unit
	}
	return length
}

// maxLen is the length of the longest single note that is read.
const maxLen = 64 * tune.Whole

func (r *reader) note(m *scan) {
	lineNumber, col := m.lineNumber, m.col()
	n, ok := r.pitchOf(m)
	length := r.length(m, r.cur.unit)
	if !ok {
		return
	}
	r.sound(r.b.oneNote(n), length, lineNumber, col)
}

// sound puts notes into the bar.
func (r *reader) sound(notes []tune.Note, length tune.Ticks, lineNumber, col int) {
	v := r.cur
	it := v.pending
	v.pending = item{}
	it.kind, it.notes, it.nominal = tune.Sounding, notes, v.second(length, lineNumber, col)
	it.at = place{int32(lineNumber), int32(col)}
	if len(it.notes) > 1 {
		slices.SortStableFunc(it.notes, func(a, b tune.Note) int { return a.Name.Key() - b.Name.Key() })
	}
	for _, j := range it.joins {
		j.apply(r, it.notes, lineNumber, col)
	}
	v.add(it)
}

// second returns the length of a note after a broken rhythm sign, if one waits.
func (v *voice) second(length tune.Ticks, lineNumber, col int) tune.Ticks {
	n := v.broken
	v.broken = 0
	return stretch(v, length, -n, lineNumber, col)
}

// stretch dots a note n times when n is positive, and shortens it as often when
// it is negative.
func stretch(v *voice, length tune.Ticks, n int, lineNumber, col int) tune.Ticks {
	if n == 0 {
		return length
	}
	k := uint(max(n, -n))
	if length%(1<<k) != 0 {
		v.b.warn(lineNumber, col, "a broken rhythm divides a note beyond all values and is left out")
		return length
	}
	if n > 0 {
		return length >> k * (2<<k - 1)
	}
	return length >> k
}

func (r *reader) brokenRhythm(m *scan) {
	v := r.cur
	c, start := m.peek(), m.i
	n := 0
	for m.peek() == c {
		n++
		m.i++
	}
	p := v.prev()
	if p == nil || n > 3 || v.broken != 0 {
		r.warn(m.lineNumber, start+1, "the broken rhythm %q is left out: it wants a note before it, and at most three signs", terms.Clip(m.s[start:m.i]))
		return
	}
	if c == '<' {
		n = -n
	}
	p.nominal = stretch(v, p.nominal, n, m.lineNumber, start+1)
	v.broken = n
}

func (r *reader) tie(m *scan) {
	p := r.cur.prev()
	if p == nil || p.kind != tune.Sounding {
		r.warn(m.lineNumber, m.i, "a tie has no note before it and is left out")
		return
	}
	for i := range p.notes {
		p.notes[i].Tie = true
	}
}

func (r *reader) rest(m *scan) {
	v := r.cur
	lineNumber, col := m.lineNumber, m.col()
	kind, most := tune.Rest, maxLen
	if m.peek() == 'x' {
		// What is not drawn needs no note value, and may fill up any bar.
		kind, most = tune.Skip, tune.MaxWholes*tune.Whole
	}
	m.i++
	it := r.restItem(kind, lineNumber, col)
	it.nominal = v.second(r.lengthTo(m, v.unit, most), lineNumber, col)
	v.add(it)
}

// restItem makes a rest of what waits for the next note. Graces go on waiting
// for a note.
func (r *reader) restItem(kind tune.Kind, lineNumber, col int) item {
	v := r.cur
	it := v.pending
	v.pending = item{graces: it.graces, joins: it.joins}
	it.graces, it.joins = nil, nil
	it.kind = kind
	it.at = place{int32(lineNumber), int32(col)}
	return it
}

// bars takes Z and X: rests of whole bars.
func (r *reader) bars(m *scan) {
	v := r.cur
	lineNumber, col := m.lineNumber, m.col()
	kind := tune.Rest
	if m.peek() == 'X' {
		kind = tune.Skip
	}
	m.i++
	start := m.i
	n, ok := m.number(1000)
	if m.i == start {
		n, ok = 1, true
	}
	if !ok || n < 1 {
		r.warn(lineNumber, col, "%q is no number of bars to rest; one is taken", terms.Clip(m.s[start:m.i]))
		n = 1
	}
	length := v.meter.Len()
	if length == 0 {
		length = tune.Whole
	}
	if !v.empty() && v.on == 0 {
		v.closeBar(token{style: tune.SingleBarline, lineNumber: lineNumber, col: col})
	}
	v.broken = 0
	if len(v.tuplets) > 0 {
		r.warn(lineNumber, col, "a rest of whole bars ends the tuplet before it")
		v.endTuplets(lineNumber, col)
		v.tuplets = v.tuplets[:0]
	}
	for k := range n {
		it := r.restItem(kind, lineNumber, col)
		it.barRest, it.nominal = true, length
		v.add(it)
		if k < n-1 {
			v.closeBar(token{style: tune.SingleBarline, lineNumber: lineNumber, col: col})
		}
	}
}

// openBracket takes a tuplet or the start of a slur.
func (r *reader) openBracket(m *scan) {
	v := r.cur
	start := m.i
	m.i++
	if c := m.peek(); c == '&' {
		m.i++
		v.region = len(v.bars) + 1
		return
	} else if c < '0' || c > '9' {
		r.b.things++
		v.pending.slurs++
		return
	}
	p, ok := m.number(tune.MaxTuplet)
	q, rest := 0, 0
	if m.peek() == ':' {
		m.i++
		if c := m.peek(); c >= '0' && c <= '9' {
			n, fine := m.number(tune.MaxTuplet)
			q, ok = n, ok && fine && n > 0
		}
		if m.peek() == ':' {
			m.i++
			if c := m.peek(); c >= '0' && c <= '9' {
				n, fine := m.number(1000)
				rest, ok = n, ok && fine && n > 0
			}
		}
	}
	if !ok || p < 1 || len(v.tuplets) == 8 {
		r.warn(m.lineNumber, start+1, "%q is no tuplet and is left out", terms.Clip(m.s[start:m.i]))
		return
	}
	if q == 0 {
		q = terms.NormalOf(p, v.meter)
	}
	if rest == 0 {
		rest = p
	}
	v.tuplets = append(v.tuplets, level{actual: p, normal: q, left: rest})
}

// bracket takes what begins with a square bracket: a chord, a field, an ending
// or a barline.
func (r *reader) bracket(m *scan) {
	next := m.byteAt(1)
	switch {
	case next == '|' || next == ']':
		r.barline(m)
	case next >= '0' && next <= '9':
		m.i++
		r.ending(m)
	case next == '"':
		if !r.namedEnding(m) {
			r.chord(m)
		}
	case (next >= 'A' && next <= 'Z' || next >= 'a' && next <= 'z') && m.byteAt(2) == ':' && m.byteAt(3) != ':' && m.byteAt(3) != '|':
		end := fieldEnd(m.s[m.i:])
		if end < 0 {
			r.warn(m.lineNumber, m.col(), "the field %q has no closing bracket; the rest of the line is left out", terms.Clip(m.s[m.i:]))
			m.i = len(m.s)
			return
		}
		value := m.s[m.i+3 : m.i+end]
		col := m.col() + 3
		m.i += end + 1
		if next == 'w' || next == 's' {
			r.warn(m.lineNumber, col-2, "the field %q can't stand inside a line and is left out", "["+terms.Clip(string(next)+":"+value)+"]")
			return
		}
		r.field(next, value, m.lineNumber, col)
	default:
		r.chord(m)
	}
}

// fieldEnd returns the place of the bracket that closes a field, quoted text
// passed over.
func fieldEnd(s string) int {
	quoted := false
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '"':
			quoted = !quoted
		case ']':
			if !quoted {
				return i
			}
		}
	}
	return strings.IndexByte(s, ']')
}
