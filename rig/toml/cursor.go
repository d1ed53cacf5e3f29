package toml

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
)

// cursor goes through a text.
type cursor struct {
	src   []byte
	at    int
	lines []int // where each line starts
}

// place returns where a byte stands.
func (r *cursor) place(at int) Place {
	line := sort.SearchInts(r.lines, at+1)
	return Place{line, at - r.lines[line-1] + 1}
}

// fail ends the reading with a fault at a byte; Read gives it back.
func (r *cursor) fail(at int, format string, args ...any) {
	if at == len(r.src) && at > 0 {
		at-- // what is missing at the end is told at the last byte
	}
	panic(&Fault{r.place(at), fmt.Sprintf(format, args...)})
}

func (r *cursor) failHere(format string, args ...any) { r.fail(r.at, format, args...) }

// peek returns the next byte, 0 at the end.
func (r *cursor) peek() byte {
	if r.at == len(r.src) {
		return 0
	}
	return r.src[r.at]
}

// seen says what comes next.
func (r *cursor) seen() string {
	if r.at == len(r.src) {
		return "the end"
	}
	c, _ := utf8.DecodeRune(r.src[r.at:])
	return strconv.Quote(string(c))
}

// take takes what comes next, if it is that.
func (r *cursor) take(what string) bool {
	if r.at+len(what) > len(r.src) || string(r.src[r.at:r.at+len(what)]) != what {
		return false
	}
	r.at += len(what)
	return true
}

// lineEnd takes the end of a line.
func (r *cursor) lineEnd() bool { return r.take("\n") || r.take("\r\n") }

func (r *cursor) skipSpace() {
	for r.peek() == ' ' || r.peek() == '\t' {
		r.at++
	}
}

// blanks skips white space, ends of lines and comments.
func (r *cursor) blanks() {
	for {
		r.skipSpace()
		switch {
		case r.lineEnd():
		case r.peek() == '#':
			for r.at < len(r.src) && !r.lineEnd() {
				r.plain("a comment")
			}
		default:
			return
		}
	}
}

// plain takes one byte of a text, which is no control character but a tab.
func (r *cursor) plain(of string) byte {
	c := r.src[r.at]
	if c < ' ' && c != '\t' || c == 0x7f {
		what := "control characters"
		if c == '\n' || c == '\r' {
			what = "new lines"
		}
		r.failHere("%s can't have %s", of, what)
	}
	r.at++
	return c
}

// text reads a text in quotes of any kind.
func (r *cursor) text() string {
	switch {
	case r.take(`"""`):
		return r.lined('"')
	case r.take(`'''`):
		return r.lined('\'')
	case r.take(`"`):
		return r.basic()
	}
	r.at++
	return r.literal()
}

// basic reads on to the closing quote.
func (r *cursor) basic() string {
	var b strings.Builder
	for r.at < len(r.src) {
		switch {
		case r.take(`"`):
			return b.String()
		case r.take(`\`):
			r.escape(&b)
		default:
			b.WriteByte(r.plain("a text in quotes"))
		}
	}
	r.failHere("a text in quotes is not closed")
	return ""
}

// literal reads on to the closing quote, in which nothing is escaped.
func (r *cursor) literal() string {
	start := r.at
	for r.at < len(r.src) {
		if r.take("'") {
			return string(r.src[start : r.at-1])
		}
		r.plain("a text in quotes")
	}
	r.failHere("a text in quotes is not closed")
	return ""
}

// lined reads on to three closing quotes; up to two more before them are the text's.
func (r *cursor) lined(quote byte) string {
	r.lineEnd()
	var b strings.Builder
	for r.at < len(r.src) {
		start := r.at
		switch {
		case r.peek() == quote:
			for r.peek() == quote {
				r.at++
			}
			n := r.at - start
			if n > 5 {
				r.fail(start, "too many quotes at the end of a text")
			}
			if n >= 3 {
				b.Write(r.src[start : r.at-3])
				return b.String()
			}
			b.Write(r.src[start:r.at])
		case r.lineEnd():
			b.Write(r.src[start:r.at])
		case quote == '"' && r.take(`\`):
			if !r.lineGoesOn() {
				r.escape(&b)
			}
		default:
			b.WriteByte(r.plain("a text of several lines"))
		}
	}
	r.failHere("a text of several lines is not closed")
	return ""
}

// lineGoesOn skips the end of a line behind a backslash and the white space after it.
func (r *cursor) lineGoesOn() bool {
	start := r.at
	r.skipSpace()
	if !r.lineEnd() {
		r.at = start
		return false
	}
	for r.peek() == ' ' || r.peek() == '\t' || r.lineEnd() {
		r.skipSpace()
	}
	return true
}

// escapes are what a letter behind a backslash says.
var escapes = map[byte]byte{'b': '\b', 't': '\t', 'n': '\n', 'f': '\f', 'r': '\r', 'e': 0x1b, '"': '"', '\\': '\\'}

// escape reads what stands behind a backslash.
func (r *cursor) escape(b *strings.Builder) {
	start := r.at - 1
	if r.at == len(r.src) {
		r.failHere("a text in quotes is not closed")
	}
	c := r.src[r.at]
	r.at++
	if plain, ok := escapes[c]; ok {
		b.WriteByte(plain)
		return
	}
	n := map[byte]int{'x': 2, 'u': 4, 'U': 8}[c]
	code, err := uint64(0), error(nil)
	if n > 0 && r.at+n <= len(r.src) {
		code, err = strconv.ParseUint(string(r.src[r.at:r.at+n]), 16, 32)
	}
	if n == 0 || r.at+n > len(r.src) || err != nil || code > utf8.MaxRune || !utf8.ValidRune(rune(code)) {
		r.at = start + 1
		r.fail(start, "a backslash stands before %s, where it says nothing; write two for a backslash", r.seen())
	}
	r.at += n
	b.WriteRune(rune(code))
}
