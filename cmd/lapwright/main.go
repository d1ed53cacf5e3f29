package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"lapwright/internal/console"
	"lapwright/internal/guide"
	"lapwright/internal/whole"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run is the whole program but for the process around it.
func run(args []string, stdout, stderr *os.File) (code int) {
	defer func() {
		if p := recover(); p != nil {
			whole.Sweep()
			fmt.Fprintf(stderr, "lapwright: this is our own fault, not yours: %v\nPlease report it with the command you gave and these lines:\n%s", p, trace(debug.Stack()))
			code = console.ExitOurs
		}
	}()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	con := console.New(ctx, stdout, stderr)
	idle := context.AfterFunc(ctx, func() {
		stop() // a second interrupt ends the process at once
		if !con.EndsTidily() {
			whole.Sweep()
			fmt.Fprintln(stderr, "lapwright: interrupted; nothing was left half done")
			os.Exit(console.ExitInterrupted)
		}
	})
	defer idle()

	var cli commands
	left := -1
	parser, err := kong.New(&cli,
		kong.Name("lapwright"),
		kong.Description("Turns tunes into sheets, sound and lessons for guitars that lie flat and are played with a steel."),
		kong.Vars{"version": versionLine()},
		kong.Writers(con.Stdout, stderr),
		kong.Exit(func(c int) { left = c; panic(leave{}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true}),
		kong.ValueFormatter(guide.HelpOf),
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
		why := guide.Mistyped(parser.Model, args)
		if why == "" {
			why = console.OneLine(err.Error())
		}
		fmt.Fprintf(stderr, "error: %s; see lapwright --help\n", why)
		code = console.ExitInput
	default:
		code = con.Report(parsed.Run(con))
	}
	return con.Ended(code)
}

// leave unwinds kong after --help or --version.
type leave struct{}

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

// trace shortens a stack to the lines a report needs.
func trace(stack []byte) string {
	lines := strings.SplitAfter(string(stack), "\n")
	return strings.Join(lines[:min(len(lines), 24)], "")
}
