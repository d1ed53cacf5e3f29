package tabtext

import (
	"bytes"
	"fmt"
	"strings"

	"lapwright/notation/columns"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/tab"
)

// Is reports whether a text is in the exact form: its first line says so.
func Is(src []byte) bool {
	src = bytes.TrimPrefix(src, []byte("\ufeff"))
	if i := bytes.IndexAny(src, "\r\n"); i >= 0 {
		src = src[:i]
	}
	return string(bytes.TrimRight(src, " \t")) == Magic
}

// RigName returns the rig that the head of a text in the exact form names; "" when it
// names none.
func RigName(src []byte) string {
	if !Is(src) {
		return ""
	}
	for line := range strings.Lines(string(src)) {
		line = strings.TrimRight(line, " \t\r\n")
		if name, ok := strings.CutPrefix(line, "rig: "); ok {
			return strings.TrimSpace(name)
		}
		if line == "" {
			break
		}
	}
	return ""
}

// Parse reads a tab from text in the exact form. r is the rig it is for, without
// its capo; file names the text in messages. The list holds what tab.Check finds
// (a bar that can't be laid so, a held note moved), with bar and beat: nothing
// is guessed.
//
// When nothing can be made of the text the error is a fault.List. Every fault
// with a line carries that line and a caret in Shown.
func Parse(src []byte, file string, r *rig.Rig) (*tab.Tab, fault.List, error) {
	lines, err := columns.Cut(src, file, r)
	if err != nil {
		return nil, nil, err
	}
	if len(lines) == 0 || lines[0].Text != Magic {
		err := fault.List{{File: file, Line: 1, Col: 1, Msg: fmt.Sprintf("the first line is not %q", Magic)}}
		columns.Show(lines, err)
		return nil, nil, err
	}
	t, err := readExact(lines, file, r)
	if err != nil {
		if list, ok := err.(fault.List); ok {
			columns.Show(lines, list)
		}
		return nil, nil, err
	}
	said := columns.CheckTab(t, file)
	columns.Show(lines, said)
	return t, said, nil
}
