package abc

import (
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// barline takes a barline with its repeats (section 4.8), and the number of an
// ending that follows at once. The signs in any order are read: colons
// before the lines end a repeat, colons after them begin one.
func (r *reader) barline(m *scan) {
	v := r.cur
	t := token{lineNumber: m.lineNumber, col: m.col()}
	start := m.i
	if m.peek() == '.' {
		m.i++
		t.style = tune.DottedBarline
	}
	lines := ""
	before, after := 0, 0
scan:
	for m.i < len(m.s) && m.i-start < 64 {
		switch c := m.peek(); {
		case c == ':':
			if lines == "" {
				before++
			} else {
				after++
			}
		case c == '|' && after > 0, c == '|' && len(lines) >= 2 && lines != "[":
			// A new barline right after this one, as in ":|:|" or "|||".
			break scan
		case c == '|' || c == ']' && lines != "" && after == 0:
			lines += string(c)
		case c == '[' && lines == "" && (m.byteAt(1) == '|' || m.byteAt(1) == ']'):
			lines += "["
		default:
			break scan
		}
		m.i++
		if len(lines) > 0 && lines[len(lines)-1] == ']' {
			if m.peek() == '|' || m.peek() == ':' {
				continue
			}
			break
		}
	}
	if lines == "" {
		// "::" ends one repeat and begins the next; a lone colon is a slip.
		if before < 2 {
			r.warn(m.lineNumber, t.col, "a colon alone is no barline and is left out")
			return
		}
		after = before / 2
		before -= after
	}
	switch lines {
	case "||":
		t.style = tune.DoubleBarline
	case "|]", "||]":
		t.style = tune.FinalBarline
	case "[|", "[||":
		t.style = tune.OpenBarline
	case "[|]", "[]":
		t.style = tune.NoBarline
	}
	t.right, t.left = min(before, tune.MaxRepeats), min(after, tune.MaxRepeats)
	v.closeBar(t)
	if c := m.peek(); c >= '0' && c <= '9' {
		r.ending(m)
	}
}

// ending takes the numbers of an ending: "1", "1,3", "1-3".
func (r *reader) ending(m *scan) {
	start := m.i
	if numbers, ok := m.endings(); ok {
		r.beginEnding(numbers, m.lineNumber, start+1)
	} else {
		r.warn(m.lineNumber, start+1, "%q is no list of endings and is left out", terms.Clip(m.s[start:m.i]))
	}
}

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

// beginEnding puts an ending at the bar in hand.
func (r *reader) beginEnding(numbers []int, lineNumber, col int) {
	v := r.cur
	if !v.empty() {
		// An ending that begins inside a bar, without a barline before it.
		r.warn(lineNumber, col, "an ending begins inside a bar; a barline is put before it")
		v.closeBar(token{style: tune.NoBarline, lineNumber: lineNumber, col: col})
	}
	v.cur.Endings = numbers
}

// namedEnding takes an ending whose bracket has words instead of numbers, as in
// ["last time" …, and reports false where the bracket is that of a chord. Words
// that are numbers count as such ("1.", "2, 3"); others name the ending that comes
// after those before it, and are kept over it.
func (r *reader) namedEnding(m *scan) bool {
	v := r.cur
	start := m.i
	end := strings.IndexByte(m.s[m.i+2:], '"')
	if end < 0 {
		return false
	}
	words, after := m.s[m.i+2:m.i+2+end], m.i+2+end+1
	// A chord's bracket is closed before anything that no chord has.
	quoted := false
	for i := after; i < len(m.s); i++ {
		switch c := m.s[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == ']' && i > after:
			return false
		case strings.IndexByte("|[{]", c) >= 0:
			i = len(m.s)
		}
	}
	m.i = after
	if m.peek() == ']' {
		m.i++
	}
	list := &scan{s: strings.TrimRight(strings.ReplaceAll(words, " ", ""), ".:")}
	if numbers, ok := list.endings(); ok && list.i == len(list.s) {
		r.beginEnding(numbers, m.lineNumber, start+1)
		return true
	}
	if text := terms.DecodeText(strings.TrimLeft(words, "^_<>@")); text != "" {
		v.pending.texts = append(v.pending.texts, tune.TextAt{Text: text})
	}
	if !v.empty() {
		r.beginEnding(nil, m.lineNumber, start+1)
	}
	if n := v.endingBefore(); n > 0 && n < tune.MaxRepeats {
		v.cur.Endings = []int{n + 1}
	} else {
		r.warn(m.lineNumber, start+1, "the ending %q follows no other; it is played where it stands", terms.Clip(words))
	}
	return true
}

// endingBefore returns the highest number of the endings that end where the bar in
// hand begins, or 0.
func (v *voice) endingBefore() int {
	most := 0
	for i := len(v.bars) - 1; i >= 0; i-- {
		b := v.bars[i]
		if i < len(v.bars)-1 && b.Right.Repeat > 0 && most == 0 {
			break
		}
		for _, n := range b.Endings {
			most = max(most, n)
		}
		if most > 0 || b.Left.Repeat > 0 {
			break
		}
	}
	return most
}
