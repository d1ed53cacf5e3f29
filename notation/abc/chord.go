package abc

import (
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// chord takes [CEG].
func (m noteReader) chord() {
	v := m.voices.cur
	col := m.col()
	m.i++
	var (
		notes  []tune.Note
		length tune.Ticks
		unlike bool
		slurs  int
		closed bool
	)
	for m.i < len(m.s) && !closed {
		c := m.peek()
		switch {
		case c == ']':
			m.i++
			closed = true
		case isNote(c):
			n, ok := m.pitchOf()
			own := m.length(v.unit)
			if m.peek() == '.' && m.byteAt(1) == '-' {
				m.i++
			}
			if m.peek() == '-' {
				n.Tie = true
				m.i++
			}
			if !ok {
				continue
			}
			if len(notes) == tune.MaxNotes {
				m.warn(m.col(), "a chord has more than %d notes; the rest is left out", tune.MaxNotes)
				continue
			}
			if len(notes) == 0 {
				length = own
			} else if own != length {
				unlike = true
			}
			notes = append(notes, n)
			m.b.things++
		case c == '(':
			m.i++
			m.b.things++
			v.pending.slurs++
		case c == ')':
			m.i++
			slurs++
		case c == '"':
			m.signs().quoted()
		case c == '!':
			m.signs().exclaimed()
		case c == ' ' || c == '\t':
			m.i++
		case c == '|' || c == '[':
			// The bracket was never closed.
			m.warn(col, "a chord has no closing bracket")
			closed = true
		case c == '+' && m.signs().plused():
		case c == 'z' || c == 'x':
			m.i++
			m.length(v.unit)
			m.warn(m.i, "a rest inside a chord is left out")
		case m.signs().letter(c):
		default:
			m.warn(m.col(), "%q inside a chord is not understood and is left out", string(rune(c)))
			m.i++
		}
	}
	if !closed {
		m.warn(col, "a chord has no closing bracket")
	}
	num, den, _, ok := m.multiple()
	if len(notes) == 0 {
		m.warn(col, "a chord has no note and is left out")
		return
	}
	if unlike {
		m.b.once("unlike", m.lineNumber, col, "the notes of a chord differ in length; all take that of the first")
	}
	total, fits := times(length, num, den, maxLen)
	if !ok || !fits {
		m.warn(col, "a chord's length is no length that a note can have; that of its first note is taken")
		total = length
	}
	m.sound(notes, total, col)
	if p := v.cur.prev(); p != nil {
		p.slurEnds += slurs
	}
}

// graces takes {g} and {/g}.
func (m noteReader) graces() {
	v := m.voices.cur
	col := m.col()
	m.i++
	slash := false
	if m.peek() == '/' {
		slash = true
		m.i++
	}
	end := strings.IndexByte(m.s[m.i:], '}')
	if end < 0 {
		m.warn(col, "grace notes have no closing brace; the rest of the line is left out")
		m.i = len(m.s)
		return
	}
	stop := m.i + end
	var (
		groups []tune.Grace
		sizes  []tune.Ticks
	)
	broken := 0
	outer := v.pending.joins // for the note after the graces
	v.pending.joins = nil
	defer func() { v.pending.joins = outer }()
	for m.i < stop {
		c := m.peek()
		var notes []tune.Note
		size := tune.Ticks(0)
		switch {
		case isNote(c):
			if n, ok := m.pitchOf(); ok {
				notes = append(notes, n)
			}
			size = m.length(tune.Whole)
		case c == '[':
			notes, size = m.graceChord(stop)
		case c == '>' || c == '<':
			n := 1
			if c == '<' {
				n = -1
			}
			m.i++
			if k := len(sizes); k > 0 && broken == 0 {
				sizes[k-1] = stretch(m.b, sizes[k-1], n, m.lineNumber, m.i)
				broken = -n
			}
			continue
		case c == '!':
			// Glides and scoops are for the grace that follows.
			m.signs().exclaimed()
			continue
		case c == ' ' || c == '\t' || c == '`':
			m.i++
			continue
		default:
			m.warn(m.col(), "%q among grace notes is left out", string(rune(c)))
			m.i++
			continue
		}
		if len(notes) == 0 {
			continue
		}
		for _, j := range v.pending.joins {
			j.apply(m.b, notes, m.lineNumber, m.i)
		}
		v.pending.joins = nil
		groups = append(groups, tune.Grace{Notes: notes, Slash: slash})
		sizes = append(sizes, stretch(m.b, size, broken, m.lineNumber, m.i))
		broken = 0
	}
	m.i = stop + 1
	if room := tune.MaxGraces - len(v.pending.graces); len(groups) > room {
		m.warn(col, "a note has more than %d graces; the rest is left out", tune.MaxGraces)
		groups = groups[:room]
	}
	unit := terms.GraceUnit(len(groups))
	for i := range groups {
		value, ok := tune.ValueOf(sizes[i] / (tune.Whole / unit))
		if !ok {
			m.warn(col, "a grace note has no plain value; a sixteenth is drawn")
			value = tune.Value{Log2: 4}
		}
		groups[i].Value = value
	}
	v.pending.graces = append(v.pending.graces, groups...)
	m.b.things += len(groups)
}

// graceChord takes [ce] among graces that end at stop, with the length that its
// graces have as parts of the unit.
func (m noteReader) graceChord(stop int) (notes []tune.Note, size tune.Ticks) {
	m.i++
	for m.i < stop && m.peek() != ']' {
		if !isNote(m.peek()) {
			m.warn(m.col(), "%q in a grace chord is left out", string(rune(m.peek())))
			m.i++
			continue
		}
		n, ok := m.pitchOf()
		own := m.length(tune.Whole)
		if ok && len(notes) < tune.MaxNotes {
			notes = append(notes, n)
		}
		if size == 0 {
			size = own
		}
	}
	m.i = min(m.i+1, stop)
	num, den := m.length(tune.Whole).Fraction()
	size = max(size, 1) * tune.Ticks(num) / tune.Ticks(den)
	slices.SortStableFunc(notes, func(a, b tune.Note) int { return a.Name.Key() - b.Name.Key() })
	return notes, size
}
