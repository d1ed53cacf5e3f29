package notation

import (
	"fmt"
	"path"
	"strings"

	"lapwright/fault"
	"lapwright/notation/abc"
	"lapwright/tune"
)

// Piece is one tune of a file.
type Piece struct {
	Tune *tune.Tune
	Name string // of the part or track it is from; may be empty
	// ABC is the tune as text of its own: its part of the file when the file is
	// ABC, else what abc.Write makes of it.
	ABC string
	// Lost is what ABC can't say of a tune from another notation.
	Lost fault.List
	// Warnings are the reader's about this tune and about the head of the file.
	Warnings fault.List
}

// Endings lists the endings of the files that Read takes, for people.
func Endings() string { return ".abc, .musicxml, .xml, .mxl, .mid, .midi, .chart" }

// Read reads the tunes of a file whose name tells its notation. The warnings,
// those of all tunes, and the error are the notation's reader's.
func Read(src []byte, file string) ([]Piece, fault.List, error) {
	ending := strings.ToLower(path.Ext(file))
	format, ok := byEnding[ending]
	if !ok || format == TabText {
		return nil, nil, &fault.Fault{File: file, Msg: fmt.Sprintf("a file ending in %q can't be read as a tune", ending), Hint: "it reads " + Endings()}
	}
	m, err := Open(src, file, Options{Format: format})
	if err != nil {
		return nil, nil, err
	}
	warnings := m.Warnings
	var tunes []*tune.Tune
	for _, it := range m.Items {
		tunes = append(tunes, it.Tune)
		warnings = append(warnings, it.Lost...)
	}
	pieces := make([]Piece, len(tunes))
	var texts []string
	if ending == ".abc" {
		texts, _ = parts(string(src))
	}
	for i, t := range tunes {
		pieces[i].Name = m.Items[i].Name
		pieces[i].Tune, pieces[i].Warnings = t, append(m.WarningsOf(i), m.Items[i].Lost...)
		// A book whose parts do not match its tunes one to one (a tune was left
		// out) is written anew rather than mixed up.
		if len(texts) == len(tunes) {
			pieces[i].ABC = texts[i]
			continue
		}
		text, lost := abc.Write(t)
		pieces[i].ABC, pieces[i].Lost = string(text), lost
	}
	return pieces, warnings, nil
}

// parts cuts a book at its X: lines. What stands before the first one holds for
// every tune, so it goes before each. The lines at which the tunes start, counted
// from 1, come with them.
func parts(book string) ([]string, []int) {
	book = strings.ReplaceAll(strings.TrimPrefix(book, "\ufeff"), "\r\n", "\n")
	var head strings.Builder
	var out []string
	var starts []int
	for i, line := range strings.SplitAfter(book, "\n") {
		switch {
		case strings.HasPrefix(line, "X:"):
			out, starts = append(out, head.String()+line), append(starts, i+1)
		case len(out) == 0:
			head.WriteString(line)
		default:
			out[len(out)-1] += line
		}
	}
	for i := range out {
		out[i] = strings.TrimRight(out[i], " \n") + "\n"
	}
	return out, starts
}
