package abc

import (
	"strings"

	"lapwright/notation/abc/terms"
)

// musicReader reads the lines of music of a tune, sign by sign.
type musicReader struct {
	scan
	usage  *usage
	voices *voices
	joined bool // the line ends in a backslash, and the next goes on with it
}

// begin takes a line in hand.
func (m *musicReader) begin(l textLine) {
	text, joins := strings.CutSuffix(l.text, `\`)
	// A line that goes back over the bars above it has the same words under it.
	if !m.joined && !strings.HasPrefix(strings.TrimLeft(text, " \t"), "&") {
		m.voices.touched = m.voices.touched[:0]
	}
	m.joined = joins
	m.s, m.i, m.lineNumber = text, 0, l.lineNumber
}

// end ends the line in hand.
func (m *musicReader) end() {
	if m.joined {
		return
	}
	for _, v := range m.voices.touched {
		if v.over != nil && v.region == 0 {
			v.endLayer(m.lineNumber, len(m.s))
		}
		if p := v.cur.prev(); p != nil {
			p.beamEnd = true
		}
	}
	if strings.Contains(m.usage.breaks, "<EOL>") {
		m.voices.breakLine()
	}
}

// symbol takes one thing in a line of music.
func (m *musicReader) symbol() {
	v := m.voices.cur
	notes, bars := noteReader{&m.scan, m.usage, m.voices}, barReader{&m.scan, v}
	signs := notes.signs()
	c := m.peek()
	switch {
	case c == ' ' || c == '\t':
		for m.peek() == ' ' || m.peek() == '\t' {
			m.i++
		}
		if p := v.cur.prev(); p != nil {
			p.beamEnd = true
		}
	case c == '`':
		m.i++
	case isNote(c):
		notes.note()
	case c == 'z' || c == 'x':
		notes.rest()
	case c == 'Z' || c == 'X':
		notes.bars()
	case c == 'y':
		// A spacer: room on paper, no time.
		m.i++
		m.number(1000)
	case c == '[':
		m.bracket(notes, bars)
	case c == '|' || c == ':' || c == '.' && (m.byteAt(1) == '|' || m.byteAt(1) == ':'):
		bars.barline()
	case c == '(' && m.byteAt(1) == '&':
		bars.openRegion()
	case c == '(':
		notes.openBracket()
	case c == ')':
		m.i++
		if p := v.cur.prev(); p != nil {
			p.slurEnds++
		} else if v.cur.on > 0 || !v.bars.endSlur() {
			m.warn(m.i, "a slur ends before any note")
		}
	case c == '{':
		notes.graces()
	case c == '"':
		signs.quoted()
	case c == '!':
		signs.exclaimed()
	case c == '+':
		if !signs.plused() {
			m.warn(m.col(), "the sign %q is not understood and is left out", "+")
			m.i++
		}
	case c == '-':
		m.i++
		notes.tie()
	case c == '.' && m.byteAt(1) == '-' || c == '.' && m.byteAt(1) == '(':
		m.b.once("dotted", m.lineNumber, m.col(), "a dotted tie or slur is kept as a plain one")
		m.i++
	case c == '>' || c == '<':
		notes.brokenRhythm()
	case c == '&':
		bars.overlaySign()
	case c == '$' && strings.ContainsRune(m.usage.breaks, '$'):
		m.i++
		m.voices.breakLine()
	case c == '$' || c == '\\':
		m.i++
	case c == '*' || c == ';' || c == '?' || c == '@' || c == '#':
		// Kept free by the standard; "*" is an old way to fill a line.
		m.i++
		m.warn(m.i, "the sign %q has no meaning here and is left out", string(c))
	default:
		if !signs.letter(c) {
			m.unknown()
		}
	}
}

// bracket takes what begins with a square bracket: a chord, an ending or a barline. Fields
// have been taken before.
func (m *musicReader) bracket(notes noteReader, bars barReader) {
	switch next := m.byteAt(1); {
	case next == '|' || next == ']':
		bars.barline()
	case next >= '0' && next <= '9':
		m.i++
		bars.ending()
	case next == '"' && bars.namedEnding():
	default:
		notes.chord()
	}
}

// unknown passes over what is no ABC.
func (m *musicReader) unknown() {
	start := m.i
	if m.peek() >= 0x80 {
		for m.more() && m.s[m.i] >= 0x80 {
			m.i++
		}
	} else {
		m.i++
	}
	m.warn(start+1, "%q is not understood and is left out", terms.Clip(m.s[start:m.i]))
}
