package abc

import (
	"slices"

	"lapwright/tune"
)

// barline takes a barline with its repeats (section 4.8), and the number of an
// ending that follows at once. The signs in any order are read: colons
// before the lines end a repeat, colons after them begin one.
func (r *reader) barline(m *scan) {
	v := r.cur
	t := token{no: m.no, col: m.col()}
	start := m.i
	if m.peek() == '.' {
		m.i++
		t.style = tune.DottedLine
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
		case c == '[' && lines == "" && (m.at(1) == '|' || m.at(1) == ']'):
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
			r.warn(m.no, t.col, "a colon alone is no barline and is left out")
			return
		}
		after = before / 2
		before -= after
	}
	switch lines {
	case "||":
		t.style = tune.DoubleLine
	case "|]", "||]":
		t.style = tune.FinalLine
	case "[|", "[||":
		t.style = tune.OpenLine
	case "[|]", "[]":
		t.style = tune.NoLine
	}
	t.right, t.left = min(before, tune.MostRepeats), min(after, tune.MostRepeats)
	v.closeBar(t)
	if c := m.peek(); c >= '0' && c <= '9' {
		r.ending(m)
	}
}

// ending takes the numbers of an ending: "1", "1,3", "1-3".
func (r *reader) ending(m *scan) {
	v := r.cur
	start := m.i
	var numbers []int
	for {
		n, ok := m.number(tune.MostRepeats)
		last := n
		if ok && m.peek() == '-' {
			m.i++
			last, ok = m.number(tune.MostRepeats)
		}
		if !ok || n < 1 || last < n {
			r.warn(m.no, start+1, "%q is no list of endings and is left out", clip(m.s[start:m.i]))
			return
		}
		for ; n <= last; n++ {
			if !slices.Contains(numbers, n) {
				numbers = append(numbers, n)
			}
		}
		if m.peek() != ',' || m.at(1) < '0' || m.at(1) > '9' {
			break
		}
		m.i++
	}
	slices.Sort(numbers)
	if !v.empty() {
		// An ending that begins inside a bar, without a barline before it.
		r.warn(m.no, start+1, "an ending begins inside a bar; a barline is put before it")
		v.closeBar(token{style: tune.NoLine, no: m.no, col: start + 1})
	}
	v.cur.Endings = numbers
}
