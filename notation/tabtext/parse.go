package tabtext

import (
	"fmt"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/tab"
)

// Parse reads a tab from text, in the exact form or as players type it. r is
// the rig it is for, without its capo; file names the text in messages. The
// list holds what was guessed or passed over, with line and column, and what
// tab.Check finds (a bar that can't be laid so, a held note moved), with bar and
// beat. For the exact form nothing is guessed.
//
// When nothing can be made of the text the error is a fault.List. Every fault
// with a line carries that line and a caret in Shown.
func Parse(src []byte, file string, r *rig.Rig) (*tab.Tab, fault.List, error) {
	lines, t, said, err := parse(src, file, r)
	show(lines, said)
	if list, ok := err.(fault.List); ok {
		show(lines, list)
	}
	return t, said, err
}

// show gives faults the line that they are about, with a caret.
func show(lines []line, list fault.List) {
	for _, f := range list {
		f.Shown = caret(lines, f)
	}
}

func parse(src []byte, file string, r *rig.Rig) (lines []line, t *tab.Tab, said fault.List, err error) {
	if r == nil {
		return nil, nil, nil, fault.List{{File: file, Line: 1, Col: 1, Msg: "a tab is read for a rig, and none is named"}}
	}
	if len(src) > MostBytes {
		return nil, nil, nil, fault.List{{File: file, Line: 1, Col: 1, Msg: fmt.Sprintf("the text is longer than %d bytes", MostBytes)}}
	}
	lines = splitLines(src)
	for _, l := range lines {
		if len(l.text) > MostLine {
			return nil, nil, nil, fault.List{{File: file, Line: l.no, Col: MostLine, Msg: fmt.Sprintf("the line is longer than %d bytes", MostLine)}}
		}
	}
	if len(lines) > 0 && lines[0].text == Magic {
		t, err := readExact(lines, file, r)
		if err != nil {
			return lines, nil, nil, err
		}
		return lines, t, checkTab(t, file), nil
	}
	t, said, err = readLoose(lines, file, r)
	return lines, t, said, err
}

// checkTab gives what tab.Check finds, as warnings about a file.
func checkTab(t *tab.Tab, file string) fault.List {
	list := t.Check()
	for _, f := range list {
		f.File = file
	}
	return list
}
