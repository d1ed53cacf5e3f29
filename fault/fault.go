package fault

import (
	"cmp"
	"fmt"
	"strings"

	"lapwright/inorder"
)

// Fault is one thing wrong in an input. Fields that do not apply are zero.
type Fault struct {
	File   string // as the user named it; "" when there is no file
	Line   int    // 1-based; 0 when the input is not text
	Col    int    // 1-based byte column; 0 when unknown
	Offset int64  // byte offset into binary input; used when Binary is set
	Binary bool   // the input is bytes, and Offset and Part say where
	Part   string // the part of a binary format: "track 2", "chunk MTrk"
	Bar    string // bar as printed, for music
	Beat   string // place in the bar as a fraction of a whole note, for music
	Str    int    // string of the instrument, 1-based
	Msg    string // lower case, no full stop, the bad value quoted
	Hint   string // what to do about it; may be empty
	// Shown is the line of the text and, on a second line, a caret under the
	// place; "" when the reader gives none.
	Shown string
}

// Error returns the one-line form, such as "waltzes.abc:12:5: unknown key "H"".
func (f *Fault) Error() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(f.File)
		b.WriteByte(':')
	}
	if f.Line > 0 {
		fmt.Fprintf(&b, "%d:", f.Line)
		if f.Col > 0 {
			fmt.Fprintf(&b, "%d:", f.Col)
		}
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if f.Binary {
		if f.Part != "" {
			b.WriteString(f.Part + ", ")
		}
		fmt.Fprintf(&b, "byte %d: ", f.Offset)
	}
	if f.Bar != "" {
		fmt.Fprintf(&b, "bar %s", f.Bar)
		if f.Beat != "" {
			fmt.Fprintf(&b, ", %s into it", f.Beat)
		}
		if f.Str > 0 {
			fmt.Fprintf(&b, ", string %d", f.Str)
		}
		b.WriteString(": ")
	}
	b.WriteString(f.Msg)
	return b.String()
}

// List is a collection of faults.
type List []*Fault

// Add appends a fault.
func (l *List) Add(f *Fault) { *l = append(*l, f) }

// Sort orders the list by file, line, column and offset, keeping the order of
// equals.
func (l List) Sort() {
	inorder.Stable(l, func(a, b *Fault) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col), cmp.Compare(a.Offset, b.Offset))
	})
}

// FirstPerLine sorts the list and keeps the first fault of each line; faults
// without a line are all kept.
func (l List) FirstPerLine() List {
	l.Sort()
	var out List
	for i, f := range l {
		if i > 0 && f.Line > 0 && f.Line == l[i-1].Line && f.File == l[i-1].File {
			continue
		}
		out = append(out, f)
	}
	return out
}

// Err returns nil for an empty list, else the list as an error.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Error returns the first fault and how many more there are.
func (l List) Error() string {
	switch len(l) {
	case 0:
		return "no faults"
	case 1:
		return l[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", l[0].Error(), len(l)-1)
}
