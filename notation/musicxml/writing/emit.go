package writing

import (
	"bytes"
	"strconv"
	"strings"
	"unicode/utf8"
)

// emitter writes indented XML. Names and attribute names are ours; values and
// texts are escaped, and characters XML can't hold are left out.
type emitter struct {
	bytes.Buffer
	stack []string
	// How much there is of what Read has bounds for.
	notes, directions int
	elements, most    int // in the measure or header in hand, attributes counted in, and the most of any
}

// open starts an element; attributes come in pairs of name and value, and a
// pair with an empty value is left out.
func (e *emitter) open(name string, attrs ...string) {
	e.indent()
	e.tag(name, attrs)
	e.WriteString(">\n")
	e.stack = append(e.stack, name)
}

// close ends the element last opened.
func (e *emitter) close() {
	name := e.stack[len(e.stack)-1]
	e.stack = e.stack[:len(e.stack)-1]
	e.indent()
	e.WriteString("</" + name + ">\n")
}

// empty writes an element with no content.
func (e *emitter) empty(name string, attrs ...string) {
	e.indent()
	e.tag(name, attrs)
	e.WriteString("/>\n")
}

// text writes an element that holds text.
func (e *emitter) text(name, text string, attrs ...string) {
	e.indent()
	e.tag(name, attrs)
	e.WriteByte('>')
	e.escape(text)
	e.WriteString("</" + name + ">\n")
}

func (e *emitter) number(name string, n int64, attrs ...string) {
	e.text(name, strconv.FormatInt(n, 10), attrs...)
}

func (e *emitter) indent() {
	for range e.stack {
		e.WriteByte(' ')
	}
}

func (e *emitter) tag(name string, attrs []string) {
	e.WriteByte('<')
	e.WriteString(name)
	switch name {
	case "note":
		e.notes++
	case "direction", "harmony", "sound":
		e.directions++
	case "measure", "part", "part-list":
		e.elements = 0
	}
	e.elements += 1 + len(attrs)/2
	e.most = max(e.most, e.elements)
	for i := 0; i+1 < len(attrs); i += 2 {
		if attrs[i+1] == "" {
			continue
		}
		e.WriteByte(' ')
		e.WriteString(attrs[i])
		e.WriteString(`="`)
		e.escape(attrs[i+1])
		e.WriteByte('"')
	}
}

// escape writes text. Control characters but tab and line feed, and what is
// not UTF-8, have no place in XML 1.0 (section 2.2).
func (e *emitter) escape(s string) {
	from := 0 // of what is not written yet
	for i, r := range s {
		var as string
		switch {
		case r == '<':
			as = "&lt;"
		case r == '>':
			as = "&gt;"
		case r == '&':
			as = "&amp;"
		case r == '"':
			as = "&quot;"
		case r == '\n' || r == '\t':
			as = "&#" + strconv.Itoa(int(r)) + ";"
		case r < ' ' || r == utf8.RuneError || r == 0xFFFE || r == 0xFFFF:
		default:
			continue
		}
		e.WriteString(s[from:i])
		e.WriteString(as)
		_, size := utf8.DecodeRuneInString(s[i:])
		from = i + size
	}
	e.WriteString(s[from:])
}

// decimal writes thousandths as a decimal number without trailing noughts.
func decimal(thousandths int64) string {
	s := strconv.FormatInt(thousandths/1000, 10)
	if rest := thousandths % 1000; rest != 0 {
		f := strconv.FormatInt(1000+rest, 10)[1:]
		s += "." + strings.TrimRight(f, "0")
	}
	return s
}
