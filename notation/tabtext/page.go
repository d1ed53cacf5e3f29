package tabtext

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"lapwright/fault"
)

// The bounds on a text, so that hostile input stays cheap.
const (
	MostBytes = 1 << 19 // of a whole text: some thousands of bars
	MostLine  = 1 << 16 // of one line
)

// line is one line of the text.
type line struct {
	no   int    // 1-based
	text string // without its line end
	// begins gives the byte at which each rune begins; nil when every rune is
	// one byte.
	begins []int
}

func newLine(no int, text string) line {
	l := line{no: no, text: text}
	if n := utf8.RuneCountInString(text); n < len(text) {
		l.begins = make([]int, 0, n)
		for i := range text {
			l.begins = append(l.begins, i)
		}
	}
	return l
}

// column gives the rune column, from 0, of a byte.
func (l line) column(byteAt int) int {
	if l.begins == nil {
		return byteAt
	}
	i, _ := slices.BinarySearch(l.begins, byteAt)
	return i
}

// byteAt gives the byte at which a rune column begins, the line's length when
// it is shorter.
func (l line) byteAt(col int) int {
	switch {
	case col < 0:
		return 0
	case l.begins != nil && col < len(l.begins):
		return l.begins[col]
	case l.begins != nil:
		return len(l.text)
	}
	return min(col, len(l.text))
}

// splitLines cuts a text into lines, with "\n", "\r\n" or "\r" line ends, tabs
// made blanks to the next multiple of eight, and a leading byte order mark
// dropped.
func splitLines(src []byte) []line {
	text := strings.TrimPrefix(string(src), "\ufeff")
	text = strings.ReplaceAll(text, "\r\n", "\n")
	text = strings.ReplaceAll(text, "\r", "\n")
	var out []line
	for i, t := range strings.Split(text, "\n") {
		out = append(out, newLine(i+1, strings.TrimRight(untab(t), " ")))
	}
	for len(out) > 0 && out[len(out)-1].text == "" {
		out = out[:len(out)-1]
	}
	return out
}

func untab(s string) string {
	if !strings.Contains(s, "\t") {
		return s
	}
	var b strings.Builder
	col := 0
	for _, r := range s {
		if r == '\t' {
			n := 8 - col%8
			b.WriteString(strings.Repeat(" ", n))
			col += n
			continue
		}
		b.WriteRune(r)
		col++
	}
	return b.String()
}

// span is a token on a line.
type span struct {
	text string
	byte int // where it begins, in bytes from 0
	col  int // and in runes from 0
}

// words cuts a stretch of a line (bytes from, to) into tokens at blanks. Quotes
// and braces keep blanks inside a token.
func (l line) words(from, to int) []span {
	var out []span
	to = min(to, len(l.text))
	col := 0
	if from < len(l.text) {
		col = l.column(from)
	}
	i := from
	for i < to {
		if l.text[i] == ' ' {
			i++
			col++
			continue
		}
		start, startCol := i, col
		deep := 0
		for i < to && (l.text[i] != ' ' || deep > 0) {
			switch l.text[i] {
			case '"':
				if q, err := strconv.QuotedPrefix(l.text[i:to]); err == nil {
					col += utf8.RuneCountInString(q)
					i += len(q)
					continue
				}
			case '{':
				deep++
			case '}':
				deep--
			}
			_, size := utf8.DecodeRuneInString(l.text[i:])
			i += size
			col++
		}
		out = append(out, span{l.text[start:i], start, startCol})
	}
	return out
}

// faultAt makes a fault at a byte of a line.
func faultAt(file string, l line, byteAt int, msg string) *fault.Fault {
	return &fault.Fault{File: file, Line: l.no, Col: min(byteAt, len(l.text)) + 1, Msg: msg}
}
