package fault_test

import (
	"testing"

	"lapwright/fault"
)

// The one line names the place as the kind of input has it: a text by line and
// column, as compilers do (GNU Coding Standards, 4.4 "Formatting Error Messages":
// sourcefile:lineno:column: message), bytes by offset, music by bar and beat.
func TestOneLineNamesThePlace(t *testing.T) {
	for want, f := range map[string]fault.Fault{
		`no key`:                                    {Msg: "no key"},
		`a.abc: no key`:                             {File: "a.abc", Msg: "no key"},
		`a.abc:12: no key`:                          {File: "a.abc", Line: 12, Msg: "no key"},
		`a.abc:12:5: no key`:                        {File: "a.abc", Line: 12, Col: 5, Msg: "no key"},
		`12:5: no key`:                              {Line: 12, Col: 5, Msg: "no key"},
		`1:1: no key`:                               {Line: 1, Col: 1, Msg: "no key"},
		`a.abc: column alone`:                       {File: "a.abc", Col: 5, Msg: "column alone"},
		`a.mid: byte 0: no header`:                  {File: "a.mid", Binary: true, Msg: "no header"},
		`a.mid: track 2, byte 70: no event`:         {File: "a.mid", Binary: true, Part: "track 2", Offset: 70, Msg: "no event"},
		`bar 3: too long`:                           {Bar: "3", Msg: "too long"},
		`bar 3, 1/4 into it: too long`:              {Bar: "3", Beat: "1/4", Msg: "too long"},
		`bar 3, 1/4 into it, string 1: too far`:     {Bar: "3", Beat: "1/4", Str: 1, Msg: "too far"},
		`a.abc:9:2: bar 3, string 6: out of reach`:  {File: "a.abc", Line: 9, Col: 2, Bar: "3", Str: 6, Msg: "out of reach"},
		`a place in a bar, but no bar, is no place`: {Beat: "1/4", Str: 1, Msg: "a place in a bar, but no bar, is no place"},
	} {
		if got := f.Error(); got != want {
			t.Errorf("%+v: %q, want %q", f, got, want)
		}
	}
}

// Of a line that is wrong in several ways the first thing is told; lines of
// the same number in two files are two lines, and what has no line is all told.
func TestFirstPerLine(t *testing.T) {
	list := fault.List{
		{File: "b", Line: 1, Col: 1, Msg: "b1"}, {File: "a", Line: 2, Col: 9, Msg: "a2 later"}, {File: "a", Line: 2, Col: 3, Msg: "a2"},
		{File: "a", Line: 1, Col: 1, Msg: "a1"}, {File: "a", Line: 1, Col: 1, Msg: "a1 again"},
		{File: "a", Offset: 9, Binary: true, Msg: "byte 9"}, {File: "a", Offset: 4, Binary: true, Msg: "byte 4"},
	}
	var got []string
	for _, f := range list.FirstPerLine() {
		got = append(got, f.Msg)
	}
	want := []string{"byte 4", "byte 9", "a1", "a2", "b1"}
	if len(got) != len(want) {
		t.Fatalf("%q, want %q", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("%q, want %q", got, want)
		}
	}
}

// Two faults of the only line there is: the one farther left is told.
func TestFirstPerLineOfOneLine(t *testing.T) {
	list := fault.List{{Line: 3, Col: 2, Msg: "second"}, {Line: 3, Col: 1, Msg: "first"}}
	if got := list.FirstPerLine(); len(got) != 1 || got[0].Msg != "first" {
		t.Errorf("%v, want the first alone", got)
	}
}

// A list as one error tells its first fault and counts the rest; an empty one
// is no error.
func TestListAsError(t *testing.T) {
	list := fault.List{}
	if list.Err() != nil || list.Error() != "no faults" {
		t.Errorf("an empty list: %v, %q", list.Err(), list.Error())
	}
	for _, want := range []string{"7:1: first", "7:1: first (and 1 more)", "7:1: first (and 2 more)"} {
		list.Add(&fault.Fault{Line: 7 + len(list), Col: 1, Msg: "first"})
		if err := list.Err(); err == nil || err.Error() != want {
			t.Errorf("%d faults: %v, want %q", len(list), err, want)
		}
	}
}
