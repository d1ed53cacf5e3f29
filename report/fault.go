package report

import (
	"errors"

	"lapwright/fault"
)

// Fault is one thing that is wrong, dropped or guessed, with its place; what does
// not apply is left out.
type Fault struct {
	Line   int    `json:"line,omitempty"`   // counted from 1
	Column int    `json:"column,omitempty"` // in bytes, counted from 1
	Byte   *int64 `json:"byte,omitempty"`   // in a binary file
	Part   string `json:"part,omitempty"`   // format, track or chunk of it
	Bar    string `json:"bar,omitempty"`
	At     string `json:"at,omitempty"`
	String int    `json:"string,omitempty"`
	Text   string `json:"text"`
	Hint   string `json:"hint,omitempty"`
	Shown  string `json:"shown,omitempty"` // the line of the file and a caret under the place
	Error  bool   `json:"error,omitempty"` // it keeps the rest from being read
}

// FaultOf returns the form of a fault.
func FaultOf(f *fault.Fault) Fault {
	x := Fault{Line: f.Line, Column: f.Col, Part: f.Part, Bar: f.Bar, At: f.Beat, String: f.Str, Text: f.Msg, Hint: f.Hint, Shown: f.Shown}
	if f.Binary {
		x.Byte = &f.Offset
	}
	return x
}

// Faults returns the forms of warnings.
func Faults(list fault.List) []Fault {
	out := []Fault{}
	for _, f := range list {
		out = append(out, FaultOf(f))
	}
	return out
}

// Errors returns the forms of an error's faults, and of one that is none.
func Errors(err error) []Fault {
	var list fault.List
	var one *fault.Fault
	switch {
	case errors.As(err, &list):
	case errors.As(err, &one):
		list = fault.List{one}
	default:
		list = fault.List{{Msg: err.Error()}}
	}
	out := Faults(list)
	for i := range out {
		out[i].Error = true
	}
	return out
}
