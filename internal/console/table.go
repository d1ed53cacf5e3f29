package console

import (
	"strings"
	"unicode/utf8"
)

// Table prints rows under a head in aligned columns. A heading that begins
// with ">" is of a column aligned on the right.
func (con *Console) Table(head []string, rows [][]string) {
	right := make([]bool, len(head))
	titles := make([]string, len(head))
	for i, h := range head {
		titles[i], right[i] = strings.CutPrefix(h, ">")
	}
	width := make([]int, len(head))
	for _, row := range append([][]string{titles}, rows...) {
		for i, cell := range row {
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	line := func(row []string) string {
		var b strings.Builder
		for i, cell := range row {
			if i > 0 {
				b.WriteString("  ")
			}
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
			if right[i] {
				b.WriteString(pad + cell)
			} else {
				b.WriteString(cell + pad)
			}
		}
		return strings.TrimRight(b.String(), " ")
	}
	con.Printf("%s\n", con.Strong(line(titles)))
	for _, row := range rows {
		con.Printf("%s\n", OneLine(line(row)))
	}
}

// Paragraph prints a text broken at 78 columns, each line after the first
// indented like it.
func (con *Console) Paragraph(first, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(first))
	line := first
	for i, w := range strings.Fields(OneLine(text)) {
		if i > 0 && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) > 78 {
			con.Printf("%s\n", line)
			line = indent + w
			continue
		}
		if i > 0 {
			line += " "
		}
		line += w
	}
	con.Printf("%s\n", line)
}
