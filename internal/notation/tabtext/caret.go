package tabtext

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"lapwright/internal/fault"
)

// Caret shows where a fault lies: the line of the source and a caret under the
// place, two lines in all. It is "" when the fault names no line of the source.
func Caret(src []byte, f *fault.Fault) string {
	if f == nil || f.Line < 1 {
		return ""
	}
	line := src
	for n := 1; n < f.Line; n++ {
		i := bytes.IndexByte(line, '\n')
		if i < 0 {
			return ""
		}
		line = line[i+1:]
	}
	if i := bytes.IndexByte(line, '\n'); i >= 0 {
		line = line[:i]
	}
	line = bytes.TrimRight(line, "\r")
	const widest = 200
	from := 0
	col := min(max(f.Col-1, 0), len(line))
	if col > widest/2 && len(line) > widest {
		from = col - widest/2
		for from > 0 && !utf8.RuneStart(line[from]) {
			from--
		}
	}
	to := min(from+widest, len(line))
	for to < len(line) && !utf8.RuneStart(line[to]) {
		to++
	}
	shown := strings.ToValidUTF8(strings.ReplaceAll(string(line[from:to]), "\t", " "), "?")
	under := utf8.RuneCountInString(strings.ToValidUTF8(string(line[from:col]), "?"))
	return shown + "\n" + strings.Repeat(" ", under) + "^"
}
