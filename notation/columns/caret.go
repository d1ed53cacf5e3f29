package columns

import (
	"strings"
	"unicode/utf8"

	"lapwright/fault"
)

// Caret shows where a fault lies: the line of the source and a caret under the
// place, two lines in all. It is "" when the fault names no line of the source.
func Caret(src []byte, f *fault.Fault) string {
	return caret(SplitLines(src), f)
}

func caret(lines []TextLine, f *fault.Fault) string {
	if f == nil || f.Line < 1 || f.Line > len(lines) {
		return ""
	}
	line := lines[f.Line-1].Text
	const maxWidth = 200
	from := 0
	col := min(max(f.Col-1, 0), len(line))
	if col > maxWidth/2 && len(line) > maxWidth {
		from = col - maxWidth/2
		for from > 0 && !utf8.RuneStart(line[from]) {
			from--
		}
	}
	to := min(from+maxWidth, len(line))
	for to < len(line) && !utf8.RuneStart(line[to]) {
		to++
	}
	shown := strings.ToValidUTF8(line[from:to], "?")
	under := utf8.RuneCountInString(strings.ToValidUTF8(line[from:col], "?"))
	return shown + "\n" + strings.Repeat(" ", under) + "^"
}

// Show gives faults the line that they are about, with a caret.
func Show(lines []TextLine, list fault.List) {
	for _, f := range list {
		f.Shown = caret(lines, f)
	}
}
