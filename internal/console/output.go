package console

import (
	"errors"
	"fmt"
	"io"

	"lapwright/internal/whole"
)

// output is standard output. It keeps the first error, so that nobody who
// prints needs to look: Ended tells it when the verb has ended.
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

// Ended returns the exit code of a verb that ended with another one, after
// telling whether all its words went out. A reader that wants no more, such
// as head, is no error.
func (con *Console) Ended(code int) int {
	out, ok := con.Stdout.(*output)
	if !ok || out.err == nil || whole.Why(out.err) == whole.Hung {
		return code
	}
	cause := out.err
	if inner := errors.Unwrap(cause); inner != nil {
		cause = inner
	}
	fmt.Fprintf(con.Stderr, "error: standard output can't be written: %v\n", cause)
	return max(code, ExitMachine)
}
