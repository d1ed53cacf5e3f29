package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"sync/atomic"
	"syscall"

	"github.com/alecthomas/kong"
	"golang.org/x/term"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/internal/whole"
)

// The exit codes.
const (
	exitDone        = 0
	exitMachine     = 1
	exitInput       = 2
	exitOurs        = 70
	exitInterrupted = 130
)

// console is what a verb works with: where it may talk, whether it may use colour,
// and the context that ends when the user interrupts.
type console struct {
	ctx            context.Context
	stdout, stderr io.Writer
	colour         bool // stdout is a terminal and NO_COLOR is not set
	live           bool // stderr is a terminal: progress may be shown
	// unhurried is set by a verb that ends by itself, tidily, when ctx does.
	unhurried atomic.Bool
}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run is the whole program but for the process around it.
func run(args []string, stdout, stderr *os.File) (code int) {
	defer func() {
		if p := recover(); p != nil {
			whole.Sweep()
			fmt.Fprintf(stderr, "lapwright: this is our own fault, not yours: %v\nPlease report it with the command you gave and these lines:\n%s", p, trace(debug.Stack()))
			code = exitOurs
		}
	}()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	out := &output{to: stdout}
	con := &console{
		ctx: ctx, stdout: out, stderr: stderr,
		colour: term.IsTerminal(int(stdout.Fd())) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb",
		live:   term.IsTerminal(int(stderr.Fd())),
	}
	idle := context.AfterFunc(ctx, func() {
		stop() // a second interrupt ends the process at once
		if !con.unhurried.Load() {
			whole.Sweep()
			fmt.Fprintln(stderr, "lapwright: interrupted; nothing was left half done")
			os.Exit(exitInterrupted)
		}
	})
	defer idle()

	var cli commands
	left := -1
	parser, err := kong.New(&cli,
		kong.Name("lapwright"),
		kong.Description("Turns tunes into sheets, sound and lessons for guitars that lie flat and are played with a steel bar."),
		kong.Vars{"version": versionLine()},
		kong.Writers(out, stderr),
		kong.Exit(func(c int) { left = c; panic(leave{}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true}),
		kong.ValueFormatter(helpOf),
		kong.Bind(con),
		kong.WithHyphenPrefixedParameters(true), // --octave -1
	)
	if err != nil {
		panic(err)
	}
	parsed, err := parse(parser, args)
	switch {
	case left >= 0:
		code = left
	case err != nil:
		why := mistyped(parser.Model, args)
		if why == "" {
			why = oneLine(err.Error())
		}
		fmt.Fprintf(stderr, "error: %s; see lapwright --help\n", why)
		code = exitInput
	default:
		code = con.report(parsed.Run(con))
	}
	return out.ended(code, stderr)
}

// leave unwinds kong after --help or --version.
type leave struct{}

// helpOf returns a flag's help with what holds when the flag is left out.
func helpOf(v *kong.Value) string {
	if !v.HasDefault || v.Default == "" || v.IsBool() {
		return kong.DefaultHelpValueFormatter(v)
	}
	return strings.TrimSuffix(kong.DefaultHelpValueFormatter(v), ".") + "; " + v.Default + " when left out."
}

func parse(p *kong.Kong, args []string) (ctx *kong.Context, err error) {
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(leave); !ok {
				panic(r)
			}
		}
	}()
	return p.Parse(args)
}

// report prints an error, one line for each fault, and chooses the exit code.
func (con *console) report(err error) int {
	var list fault.List
	var one *fault.Fault
	var use usage
	var place *whole.Trouble
	var none *studio.NoStudio
	var busy *studio.Busy
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, context.Canceled) && con.ctx.Err() != nil:
		fmt.Fprintln(con.stderr, "lapwright: interrupted")
		return exitInterrupted
	case errors.As(err, &list):
		for _, f := range list.FirstPerLine() {
			con.fault("error", f)
		}
		return exitInput
	case errors.As(err, &one):
		con.fault("error", one)
		return exitInput
	}
	line := oneLine(err.Error())
	if errors.As(err, &none) && none.Copy != "" {
		line += fmt.Sprintf(" (put the newest copy back with: lapwright restore %q --data %q)", none.Copy, none.Dir)
	}
	fmt.Fprintf(con.stderr, "error: %s\n", line)
	if none != nil || errors.As(err, &busy) || errors.As(err, &use) || errors.As(err, &place) && place.Misnamed {
		return exitInput
	}
	return exitMachine
}

// warn prints what a reader kept out or guessed, one line each.
func (con *console) warn(warnings fault.List) {
	for _, f := range warnings {
		con.fault("warning", f)
	}
}

func (con *console) fault(kind string, f *fault.Fault) {
	line := oneLine(f.Error())
	if f.Hint != "" {
		line += " (" + oneLine(f.Hint) + ")"
	}
	fmt.Fprintf(con.stderr, "%s: %s\n", kind, line)
	if f.Shown != "" {
		for l := range strings.SplitSeq(f.Shown, "\n") {
			fmt.Fprintf(con.stderr, "    %s\n", oneLine(l))
		}
	}
}

// oneLine keeps what could work the terminal, or draw one name as another, out
// of a line.
func oneLine(s string) string {
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

// printf writes to standard output. What it writes may hold texts from files and
// their names, so it leaves out whatever a terminal would obey but strong's marks.
func (con *console) printf(format string, a ...any) {
	io.WriteString(con.stdout, con.clean(fmt.Sprintf(format, a...)))
}

// The marks around bold text.
const boldOn, boldOff = "\x1b[1m", "\x1b[0m"

// clean puts a space for each rune that a terminal would obey.
func (con *console) clean(s string) string {
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

// json writes v to standard output as indented JSON.
func (con *console) json(v any) error {
	enc := json.NewEncoder(con.stdout)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// strong sets text in bold when the terminal may.
func (con *console) strong(s string) string {
	if !con.colour {
		return s
	}
	return boldOn + s + boldOff
}

// usage is a command line that parses but asks for something that is not there.
type usage string

func (u usage) Error() string { return string(u) }

func usagef(format string, a ...any) error { return usage(fmt.Sprintf(format, a...)) }

// trace shortens a stack to the lines a report needs.
func trace(stack []byte) string {
	lines := strings.SplitAfter(string(stack), "\n")
	return strings.Join(lines[:min(len(lines), 24)], "")
}
