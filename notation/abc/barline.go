package abc

import (
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// barReader reads what parts a line of music into bars: barlines, repeats and
// endings, and the overlays that go back over bars.
type barReader struct {
	*scan
	v *voice
}

// barline takes a barline with its repeats (section 4.8), and the number of an
// ending that follows at once. The signs in any order are read: colons
// before the lines end a repeat, colons after them begin one.
func (m barReader) barline() {
	v := m.v
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
			m.warn(t.col, "a colon alone is no barline and is left out")
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
		m.ending()
	}
}

// ending takes the numbers of an ending: "1", "1,3", "1-3".
func (m barReader) ending() {
	start := m.i
	if numbers, ok := m.endings(); ok {
		m.beginEnding(numbers, start+1)
	} else {
		m.warn(start+1, "%q is no list of endings and is left out", terms.Clip(m.s[start:m.i]))
	}
}

// beginEnding puts an ending at the bar in hand.
func (m barReader) beginEnding(numbers []int, col int) {
	v := m.v
	if !v.cur.empty() {
		// An ending that begins inside a bar, without a barline before it.
		m.warn(col, "an ending begins inside a bar; a barline is put before it")
		v.closeBar(token{style: tune.NoBarline, lineNumber: m.lineNumber, col: col})
	}
	v.cur.Endings = numbers
}

// namedEnding takes an ending whose bracket has words instead of numbers, as in
// ["last time" …, and reports false where the bracket is that of a chord. Words
// that are numbers count as such ("1.", "2, 3"); others name the ending that comes
// after those before it, and are kept over it.
func (m barReader) namedEnding() bool {
	v := m.v
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
		m.beginEnding(numbers, start+1)
		return true
	}
	if text := terms.DecodeText(strings.TrimLeft(words, "^_<>@")); text != "" {
		v.pending.texts = append(v.pending.texts, tune.TextAt{Text: text})
	}
	if !v.cur.empty() {
		m.beginEnding(nil, start+1)
	}
	if n := v.bars.endingBefore(); n > 0 && n < tune.MaxRepeats {
		v.cur.Endings = []int{n + 1}
	} else {
		m.warn(start+1, "the ending %q follows no other; it is played where it stands", terms.Clip(words))
	}
	return true
}

// openRegion takes "(&", to whose bar the overlays go back until "&)".
func (m barReader) openRegion() {
	m.i += 2
	m.v.region = len(m.v.bars) + 1
}

// overlaySign takes & and runs of it, "(&" having been seen by openRegion: each
// sets the time back by one barline. Between "(&" and "&)" it goes back to where
// the first stands.
func (m barReader) overlaySign() {
	v := m.v
	start, n := m.i, 0
	for m.peek() == '&' {
		n++
		m.i++
	}
	if m.peek() == ')' {
		m.i++
		if v.region == 0 {
			m.warn(start+1, "an overlay of several bars ends that did not begin")
			return
		}
		v.region = 0
		if v.over != nil {
			v.endLayer(m.lineNumber, start+1)
		}
		return
	}
	at := len(v.bars)
	if v.over != nil {
		at = v.over.target
	}
	from := at - n + 1
	if v.region > 0 {
		from = v.region - 1
	} else if v.cur.empty() && v.cur.on == 0 {
		from = at - n
	}
	switch {
	case from < 0 && n == 1 || from == at && v.over == nil:
		v.overlay(m.lineNumber, start+1)
	case from < 0:
		m.warn(start+1, "the overlay %q goes back to before the first bar; its notes are put beside this one", terms.Clip(m.s[start:m.i]))
		v.overlay(m.lineNumber, start+1)
	default:
		v.goBack(from, m.lineNumber, start+1)
	}
}
