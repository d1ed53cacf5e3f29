package tabtext

import (
	"fmt"

	"lapwright/internal/fault"
	"lapwright/internal/rig"
	"lapwright/internal/tab"
)

// Parse reads a tab from text, in the exact form or as players type it. r is
// the rig it is for, without its capo; file names the text in messages. The
// list holds what was guessed or passed over, with line and column, and what
// tab.Check finds (a bar that can't be laid so, a held note moved), with bar and
// beat. For the exact form nothing is guessed.
//
// When nothing can be made of the text the error is a fault.List (see Caret for
// showing the places).
func Parse(src []byte, file string, r *rig.Rig) (*tab.Tab, fault.List, error) {
	if r == nil {
		return nil, nil, fault.List{{File: file, Line: 1, Col: 1, Msg: "a tab is read for a rig, and none is named"}}
	}
	if len(src) > MostBytes {
		return nil, nil, fault.List{{File: file, Line: 1, Col: 1, Msg: fmt.Sprintf("the text is longer than %d bytes", MostBytes)}}
	}
	lines := splitLines(src)
	for _, l := range lines {
		if len(l.text) > MostLine {
			return nil, nil, fault.List{{File: file, Line: l.no, Col: MostLine, Msg: fmt.Sprintf("the line is longer than %d bytes", MostLine)}}
		}
	}
	if len(lines) > 0 && lines[0].text == Magic {
		t, err := readExact(lines, file, r)
		if err != nil {
			return nil, nil, err
		}
		return t, checkTab(t, file), nil
	}
	return readLoose(lines, file, r)
}

// checkTab gives what tab.Check finds, as warnings about a file.
func checkTab(t *tab.Tab, file string) fault.List {
	list := t.Check()
	for _, f := range list {
		f.File = file
	}
	return list
}
