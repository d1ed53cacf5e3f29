package console

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"sync/atomic"

	"golang.org/x/term"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/internal/whole"
	"lapwright/say"
)

// The exit codes.
const (
	ExitDone        = 0
	ExitMachine     = 1
	ExitInput       = 2
	ExitOurs        = 70
	ExitInterrupted = 130
)

// Console is what a verb works with: where it may talk, whether it may use
// colour, and the context that ends when the user interrupts.
type Console struct {
	Ctx            context.Context
	Stdout, Stderr io.Writer
	colour         bool // Stdout is a terminal and NO_COLOR is not set
	live           bool // Stderr is a terminal: progress may be shown
	tidy           atomic.Bool
}

// New returns the console of a process. What is written to its Stdout may fail
// unheard: Ended tells of it.
func New(ctx context.Context, stdout, stderr *os.File) *Console {
	return &Console{
		Ctx: ctx, Stdout: &output{to: stdout}, Stderr: stderr,
		colour: term.IsTerminal(int(stdout.Fd())) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb",
		live:   term.IsTerminal(int(stderr.Fd())),
	}
}

// EndTidily says that the verb ends by itself, tidily, when Ctx does: it is not
// to be cut off. EndsTidily reports whether it has been said.
func (con *Console) EndTidily() { con.tidy.Store(true) }

// EndsTidily reports whether EndTidily has been called.
func (con *Console) EndsTidily() bool { return con.tidy.Load() }

// Report prints an error, one line for each fault, and chooses the exit code.
func (con *Console) Report(err error) int {
	var list fault.List
	var one *fault.Fault
	var use Usage
	var place *whole.Trouble
	var none *studio.NoStudio
	var busy *studio.Busy
	switch {
	case err == nil:
		return ExitDone
	case errors.Is(err, context.Canceled) && con.Ctx.Err() != nil:
		fmt.Fprintln(con.Stderr, "lapwright: interrupted")
		return ExitInterrupted
	case errors.As(err, &list):
		for _, f := range list.FirstPerLine() {
			con.fault("error", f)
		}
		return ExitInput
	case errors.As(err, &one):
		con.fault("error", one)
		return ExitInput
	}
	line := OneLine(err.Error())
	if errors.As(err, &none) && none.Copy != "" {
		line += fmt.Sprintf(" (put the newest copy back with: lapwright restore %q --data %q)", none.Copy, none.Dir)
	}
	fmt.Fprintf(con.Stderr, "error: %s\n", line)
	if none != nil || errors.As(err, &busy) || errors.As(err, &use) || errors.As(err, &place) && place.Misnamed {
		return ExitInput
	}
	return ExitMachine
}

// Warn prints what a reader kept out or guessed, one line each.
func (con *Console) Warn(warnings fault.List) {
	for _, f := range warnings {
		con.fault("warning", f)
	}
}

func (con *Console) fault(kind string, f *fault.Fault) {
	line := OneLine(f.Error())
	if f.Hint != "" {
		line += " (" + OneLine(f.Hint) + ")"
	}
	fmt.Fprintf(con.Stderr, "%s: %s\n", kind, line)
	if f.Shown != "" {
		for l := range strings.SplitSeq(f.Shown, "\n") {
			fmt.Fprintf(con.Stderr, "    %s\n", OneLine(l))
		}
	}
}

// OneLine keeps what could work the terminal, or draw one name as another, out
// of a line.
func OneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || works(r) {
			return ' '
		}
		return r
	}, s)
}

// works reports whether a rune is one that a terminal obeys rather than draws:
// the C0 and C1 controls but for a line's end and a tab, the separators of lines
// and paragraphs, and the marks that turn the direction of writing (Unicode
// Standard Annex 9, table of explicit formatting characters).
func works(r rune) bool {
	return r < ' ' && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 || r == 0x2028 || r == 0x2029 ||
		r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// Printf writes to standard output. What it writes may hold texts from files and
// their names, so it leaves out whatever a terminal would obey but Strong's marks.
func (con *Console) Printf(format string, a ...any) {
	io.WriteString(con.Stdout, con.clean(fmt.Sprintf(format, a...)))
}

// The marks around bold text.
const boldOn, boldOff = "\x1b[1m", "\x1b[0m"

// clean puts a space for each rune that a terminal would obey.
func (con *Console) clean(s string) string {
	var b strings.Builder
	for i, r := range s {
		mark := con.colour && (strings.HasPrefix(s[i:], boldOn) || strings.HasPrefix(s[i:], boldOff))
		if works(r) && !mark {
			r = ' '
		}
		b.WriteRune(r)
	}
	return b.String()
}

// JSON writes v to standard output as indented JSON.
func (con *Console) JSON(v any) error {
	enc := json.NewEncoder(con.Stdout)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// Strong sets text in bold when the terminal may.
func (con *Console) Strong(s string) string {
	if !con.colour {
		return s
	}
	return boldOn + s + boldOff
}

// Usage is a command line that parses but asks for something that is not there.
type Usage string

func (u Usage) Error() string { return string(u) }

// Usagef makes a Usage.
func Usagef(format string, a ...any) error { return Usage(fmt.Sprintf(format, a...)) }

// Known writes a number, nothing for what is none.
func Known(v float64, format string) string {
	if math.IsNaN(v) {
		return ""
	}
	return fmt.Sprintf(format, v)
}

// Signed writes a figure with its sign, with a minus that other programs read; nothing for what is none.
func Signed(v float64, decimals int) string {
	if math.IsNaN(v) {
		return ""
	}
	return strings.Replace(say.SignedTo(v, decimals), "−", "-", 1)
}

// When writes words where they hold, nothing elsewhere.
func When(holds bool, words string) string {
	if holds {
		return words
	}
	return ""
}
