package main

import (
	"errors"
	"fmt"
	"io"

	"lapwright/internal/whole"
)

// output is standard output. It keeps the first error, so that nobody who
// prints needs to look: run reports it when the verb has ended.
type output struct {
	to  io.Writer
	err error
}

// Write writes, unless a write failed before.
func (o *output) Write(b []byte) (int, error) {
	if o.err == nil {
		_, o.err = o.to.Write(b)
	}
	// Kept, not given: an error is told once, at the end.
	return len(b), nil
}

// ended returns the exit code of a verb that ended with another one, after
// telling whether all its words went out. A reader that wants no more, such
// as head, is no error.
func (o *output) ended(code int, stderr io.Writer) int {
	if o.err == nil || whole.Why(o.err) == whole.Hung {
		return code
	}
	cause := o.err
	if inner := errors.Unwrap(cause); inner != nil {
		cause = inner
	}
	fmt.Fprintf(stderr, "error: standard output can't be written: %v\n", cause)
	return max(code, exitMachine)
}
