package columns

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"lapwright/fault"
	"lapwright/rig"
)

// The bounds on a text, so that hostile input stays cheap.
const (
	MaxBytes = 1 << 19 // of a whole text: some thousands of bars
	MaxLine  = 1 << 16 // of one line
)

// Cut cuts a text for a rig into lines and refuses what is too long or is for
// no rig.
func Cut(src []byte, file string, r *rig.Rig) ([]TextLine, error) {
	if r == nil {
		return nil, fault.List{{File: file, Line: 1, Col: 1, Msg: "a tab is read for a rig, and none is named"}}
	}
	if len(src) > MaxBytes {
		return nil, fault.List{{File: file, Line: 1, Col: 1, Msg: fmt.Sprintf("the text is longer than %d bytes", MaxBytes)}}
	}
	lines := SplitLines(src)
	for _, l := range lines {
		if len(l.Text) > MaxLine {
			return nil, fault.List{{File: file, Line: l.Number, Col: MaxLine, Msg: fmt.Sprintf("the line is longer than %d bytes", MaxLine)}}
		}
	}
	return lines, nil
}

// TextLine is one line of the text.
type TextLine struct {
	Number int    // 1-based
	Text   string // without its line end
	// begins gives the byte at which each rune begins; nil when every rune is
	// one byte.
	begins []int
}

func NewTextLine(no int, text string) TextLine {
	l := TextLine{Number: no, Text: text}
	if n := utf8.RuneCountInString(text); n < len(text) {
		l.begins = make([]int, 0, n)
		for i := range text {
			l.begins = append(l.begins, i)
		}
	}
	return l
}

// column returns the rune column, from 0, of a byte.
func (l TextLine) column(byteAt int) int {
	if l.begins == nil {
		return byteAt
	}
	i, _ := slices.BinarySearch(l.begins, byteAt)
	return i
}

// ByteAt returns the byte at which a rune column begins, the line's length when
// it is shorter.
func (l TextLine) ByteAt(col int) int {
	switch {
	case col < 0:
		return 0
	case l.begins != nil && col < len(l.begins):
		return l.begins[col]
	case l.begins != nil:
		return len(l.Text)
	}
	return min(col, len(l.Text))
}

// SplitLines cuts a text into lines, with "\n", "\r\n" or "\r" line ends, tabs
// made blanks to the next multiple of eight, and a leading byte order mark
// dropped.
func SplitLines(src []byte) []TextLine {
	text := strings.TrimPrefix(string(src), "\ufeff")
	text = strings.ReplaceAll(text, "\r\n", "\n")
	text = strings.ReplaceAll(text, "\r", "\n")
	var out []TextLine
	for i, t := range strings.Split(text, "\n") {
		out = append(out, NewTextLine(i+1, strings.TrimRight(untab(t), " ")))
	}
	for len(out) > 0 && out[len(out)-1].Text == "" {
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

// Span is a token on a line.
type Span struct {
	Text string
	Byte int // where it begins, in bytes from 0
	Col  int // and in runes from 0
}

// Words cuts a stretch of a line (bytes from, to) into tokens at blanks. Quotes
// and braces keep blanks inside a token.
func (l TextLine) Words(from, to int) []Span {
	var out []Span
	to = min(to, len(l.Text))
	col := l.column(from)
	i := from
	for i < to {
		if l.Text[i] == ' ' {
			i++
			col++
			continue
		}
		start, startCol := i, col
		deep := 0
		for i < to && (l.Text[i] != ' ' || deep > 0) {
			switch l.Text[i] {
			case '"':
				if q, err := strconv.QuotedPrefix(l.Text[i:to]); err == nil {
					col += utf8.RuneCountInString(q)
					i += len(q)
					continue
				}
			case '{':
				deep++
			case '}':
				deep--
			}
			_, size := utf8.DecodeRuneInString(l.Text[i:])
			i += size
			col++
		}
		out = append(out, Span{l.Text[start:i], start, startCol})
	}
	return out
}

// FaultAt makes a fault at a byte of a line.
func FaultAt(file string, l TextLine, byteAt int, msg string) *fault.Fault {
	return &fault.Fault{File: file, Line: l.Number, Col: min(byteAt, len(l.Text)) + 1, Msg: msg}
}

// Glyph is a barline on the page.
type Glyph struct {
	From, To int // bytes of the string line, which is plain ASCII
	Text     string
}
