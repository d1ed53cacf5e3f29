package abc

import (
	"slices"

	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// noteReader reads what takes time in a line of music: notes, chords and rests with
// their lengths, and what goes from one to the next.
type noteReader struct {
	*scan
	usage  *usage
	voices *voices
}

// signs reads what is put to the next note.
func (m noteReader) signs() decorationReader {
	return decorationReader{m.scan, m.usage, m.voices, &m.voices.cur.pending}
}

// pitchOf reads a note's accidental, letter and octave. The text has no note there when
// ok is false; then m is past what is wrong.
func (m noteReader) pitchOf() (n tune.Note, ok bool) {
	v := m.voices.cur
	start := m.i
	alter, k := terms.ParseAccidental(m.s[m.i:])
	m.i += k
	if k > 0 && m.peek() == '/' || k > 0 && m.peek() >= '0' && m.peek() <= '9' {
		m.warn(start+1, "an accidental of part of a semitone is read as a whole one")
		for m.peek() == '/' || m.peek() >= '0' && m.peek() <= '9' {
			m.i++
		}
	}
	l, isLetter := terms.LetterOf(m.peek())
	if !isLetter {
		m.warn(start+1, "%q has no note after it", m.s[start:m.i])
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
		if m.usage.carry != terms.CarryNot {
			v.accs.Put(l, step, alter)
		}
	default:
		alter = v.accs.Alter(l, step, &v.key, m.usage.carry)
		if a, tied := terms.TiedAlter(v.prevNotes(), step); tied {
			alter = a
		} else if other := v.accs.Alter(l, step, &v.key, terms.CarryOctave); m.usage.carry == terms.CarryPitch && other != alter {
			m.b.once("carry", m.lineNumber, start+1, "the accidental of the other octave is carried to %q, as the standard has it; write an accidental here to be sure", terms.Clip(m.s[start:m.i]))
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
		m.warn(start+1, "the note %q is beyond all instruments and is left out", terms.Clip(m.s[start:m.i]))
		return n, false
	}
	return n, true
}

func (m noteReader) note() {
	col := m.col()
	n, ok := m.pitchOf()
	length := m.length(m.voices.cur.unit)
	if !ok {
		return
	}
	m.sound(m.b.oneNote(n), length, col)
}

// sound puts notes into the bar.
func (m noteReader) sound(notes []tune.Note, length tune.Ticks, col int) {
	v := m.voices.cur
	it := v.pending
	v.pending = item{}
	it.kind, it.notes, it.nominal = tune.Sounding, notes, v.second(length, m.lineNumber, col)
	it.at = place{int32(m.lineNumber), int32(col)}
	if len(it.notes) > 1 {
		slices.SortStableFunc(it.notes, func(a, b tune.Note) int { return a.Name.Key() - b.Name.Key() })
	}
	for _, j := range it.joins {
		j.apply(m.b, it.notes, m.lineNumber, col)
	}
	v.add(it)
}

// second returns the length of a note after a broken rhythm sign, if one waits.
func (v *voice) second(length tune.Ticks, lineNumber, col int) tune.Ticks {
	n := v.broken
	v.broken = 0
	return stretch(v.b, length, -n, lineNumber, col)
}

// stretch dots a note n times when n is positive, and shortens it as often when
// it is negative.
func stretch(b *book, length tune.Ticks, n int, lineNumber, col int) tune.Ticks {
	if n == 0 {
		return length
	}
	k := uint(max(n, -n))
	if length%(1<<k) != 0 {
		b.warn(lineNumber, col, "a broken rhythm divides a note beyond all values and is left out")
		return length
	}
	if n > 0 {
		return length >> k * (2<<k - 1)
	}
	return length >> k
}

func (m noteReader) brokenRhythm() {
	v := m.voices.cur
	c, start := m.peek(), m.i
	n := 0
	for m.peek() == c {
		n++
		m.i++
	}
	p := v.cur.prev()
	if p == nil || n > 3 || v.broken != 0 {
		m.warn(start+1, "the broken rhythm %q is left out: it wants a note before it, and at most three signs", terms.Clip(m.s[start:m.i]))
		return
	}
	if c == '<' {
		n = -n
	}
	p.nominal = stretch(v.b, p.nominal, n, m.lineNumber, start+1)
	v.broken = n
}

func (m noteReader) tie() {
	v := m.voices.cur
	p := v.cur.prev()
	if p == nil || p.kind != tune.Sounding {
		m.warn(m.i, "a tie has no note before it and is left out")
		return
	}
	for i := range p.notes {
		p.notes[i].Tie = true
	}
}

func (m noteReader) rest() {
	v := m.voices.cur
	col := m.col()
	kind, most := tune.Rest, maxLen
	if m.peek() == 'x' {
		// What is not drawn needs no note value, and may fill up any bar.
		kind, most = tune.Skip, tune.MaxWholes*tune.Whole
	}
	m.i++
	it := m.restItem(kind, col)
	it.nominal = v.second(m.lengthTo(v.unit, most), m.lineNumber, col)
	v.add(it)
}

// restItem makes a rest of what waits for the next note. Graces go on waiting
// for a note.
func (m noteReader) restItem(kind tune.Kind, col int) item {
	v := m.voices.cur
	it := v.pending
	v.pending = item{graces: it.graces, joins: it.joins}
	it.graces, it.joins = nil, nil
	it.kind = kind
	it.at = place{int32(m.lineNumber), int32(col)}
	return it
}

// bars takes Z and X: rests of whole bars.
func (m noteReader) bars() {
	v := m.voices.cur
	col := m.col()
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
		m.warn(col, "%q is no number of bars to rest; one is taken", terms.Clip(m.s[start:m.i]))
		n = 1
	}
	length := v.meter.Len()
	if length == 0 {
		length = tune.Whole
	}
	if !v.cur.empty() && v.cur.on == 0 {
		v.closeBar(token{style: tune.SingleBarline, lineNumber: m.lineNumber, col: col})
	}
	v.broken = 0
	if len(v.tuplets) > 0 {
		m.warn(col, "a rest of whole bars ends the tuplet before it")
		v.endTuplets(m.lineNumber, col)
		v.tuplets = v.tuplets[:0]
	}
	for k := range n {
		it := m.restItem(kind, col)
		it.barRest, it.nominal = true, length
		v.add(it)
		if k < n-1 {
			v.closeBar(token{style: tune.SingleBarline, lineNumber: m.lineNumber, col: col})
		}
	}
}

// openBracket takes a tuplet or the start of a slur.
func (m noteReader) openBracket() {
	v := m.voices.cur
	start := m.i
	m.i++
	if c := m.peek(); c < '0' || c > '9' {
		m.b.things++
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
		m.warn(start+1, "%q is no tuplet and is left out", terms.Clip(m.s[start:m.i]))
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
