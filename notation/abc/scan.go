package abc

import (
	"math"
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// scan is a line of music being read: its text, the place in it, and what is told of
// it. It knows how things are written, not what they do.
type scan struct {
	b          *book
	s          string
	i          int
	lineNumber int
}

// warn warns of what stands at a column of the line.
func (m *scan) warn(col int, format string, args ...any) {
	m.b.warn(m.lineNumber, col, format, args...)
}

// more reports whether the line goes on.
func (m *scan) more() bool { return m.i < len(m.s) }

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
func (m *scan) length(unit tune.Ticks) tune.Ticks { return m.lengthTo(unit, maxLen) }

// lengthTo reads a length of at most so much.
func (m *scan) lengthTo(unit, most tune.Ticks) tune.Ticks {
	col := m.col()
	num, den, text, ok := m.multiple()
	length, fits := times(unit, num, den, most)
	if !ok || !fits {
		m.warn(col, "%q is no length that a note can have; the unit length is taken", terms.Clip(text))
		return unit
	}
	return length
}

// maxLen is the length of the longest single note that is read.
const maxLen = 64 * tune.Whole

// endings reads a list of numbers of endings, given in order and once each.
func (m *scan) endings() ([]int, bool) {
	var numbers []int
	for {
		n, ok := m.number(tune.MaxRepeats)
		last := n
		if ok && m.peek() == '-' {
			m.i++
			last, ok = m.number(tune.MaxRepeats)
		}
		if !ok || n < 1 || last < n {
			return nil, false
		}
		for ; n <= last; n++ {
			if !slices.Contains(numbers, n) {
				numbers = append(numbers, n)
			}
		}
		if m.peek() != ',' || m.byteAt(1) < '0' || m.byteAt(1) > '9' {
			break
		}
		m.i++
	}
	slices.Sort(numbers)
	return numbers, true
}

func isNote(c byte) bool {
	return c >= 'A' && c <= 'G' || c >= 'a' && c <= 'g' || c == '^' || c == '_' || c == '='
}

// atField reports whether a field such as [K:G] begins here.
func (m *scan) atField() bool {
	c := m.byteAt(1)
	return m.peek() == '[' && (c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z') && m.byteAt(2) == ':' && m.byteAt(3) != ':' && m.byteAt(3) != '|'
}

// field takes the field that begins here, with the column of its value. It is false,
// with a warning, where that can't be taken in a line.
func (m *scan) field() (letter byte, value string, col int, ok bool) {
	end := fieldEnd(m.s[m.i:])
	if end < 0 {
		m.warn(m.col(), "the field %q has no closing bracket; the rest of the line is left out", terms.Clip(m.s[m.i:]))
		m.i = len(m.s)
		return 0, "", 0, false
	}
	letter, value, col = m.byteAt(1), m.s[m.i+3:m.i+end], m.col()+3
	m.i += end + 1
	if letter == 'w' || letter == 's' {
		m.warn(col-2, "the field %q can't stand inside a line and is left out", "["+terms.Clip(string(letter)+":"+value)+"]")
		return 0, "", 0, false
	}
	return letter, value, col, true
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
