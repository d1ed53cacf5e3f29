package main

import (
	"fmt"
	"lapwright/internal/console"
	"strings"

	"github.com/alecthomas/kong"
)

// manualCommand prints the manual page, made from the same model of the command
// line as --help.
type manualCommand struct{}

// Help shows how it is read, and runs.
func (manualCommand) Help() string {
	return `Example: lapwright manual

Save it as lapwright.1 where man looks for pages, or read it at once:
  lapwright manual | man -l -`
}

// Run prints the page.
func (manualCommand) Run(con *console.Console, ctx *kong.Context) error {
	con.Printf("%s", manual(ctx.Model))
	return nil
}

// The exit codes and the variables, for the manual; docs/environment.md tells
// more, and a test holds that it tells the same.
var (
	exitCodes = []struct {
		code  int
		about string
	}{
		{console.ExitDone, "done"},
		{console.ExitMachine, "the machine would not: a full disk, a taken port, no permission"},
		{console.ExitInput, "the command line, or a file that was given, is wrong; the place is told"},
		{console.ExitOurs, "our own fault; what is printed belongs into a report"},
		{console.ExitInterrupted, "interrupted; nothing was left half done"},
	}
	variables = []struct{ name, about string }{
		{"LAPWRIGHT_DATA", "the folder that your work is kept in; --data goes before it"},
		{"NO_COLOR", "when set to anything, no bold text"},
		{"TERM", "dumb: no bold text"},
	}
)

// manual writes the model as a page in the man macros of troff.
func manual(m *kong.Application) string {
	var b strings.Builder
	p := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	p(".TH LAPWRIGHT 1 \"\" \"lapwright %s\" \"User Commands\"", version)
	p(".SH NAME\nlapwright \\- tunes into sheets, sound and lessons for guitars played flat with a steel")
	p(".SH SYNOPSIS\n.B lapwright\n[\\fIverb\\fR] [\\fIargument\\fR ...] [\\fIflag\\fR ...]")
	p(".SH DESCRIPTION\n%s", troff(m.Help))
	p("Without a verb it does what \\fB%s\\fR does.", m.DefaultCmd.Name)
	p(".SH FLAGS OF ALL VERBS")
	for _, f := range m.Flags {
		manualFlag(p, f)
	}
	p(".SH VERBS")
	for _, v := range verbs(m) {
		p(".SS %s", troff(v.Name))
		usage := ".B lapwright " + troff(v.Name)
		for _, a := range v.Positional {
			usage += " \\fR" + troff(a.Summary())
		}
		p("%s\\fR [\\fIflag\\fR ...]\n.PP\n%s", usage, troff(v.Help))
		for _, a := range v.Positional {
			p(".TP\n.I %s\n%s", troff(a.Name), troff(helpOf(a)))
		}
		for _, f := range v.Flags {
			if !f.Hidden {
				manualFlag(p, f)
			}
		}
		if v.Detail != "" {
			p(".PP\n.nf\n%s\n.fi", troff(v.Detail))
		}
	}
	p(".SH EXIT STATUS")
	for _, e := range exitCodes {
		p(".TP\n.B %d\n%s", e.code, troff(e.about))
	}
	p(".SH ENVIRONMENT")
	for _, v := range variables {
		p(".TP\n.B %s\n%s", troff(v.name), troff(v.about))
	}
	return b.String()
}

func manualFlag(p func(string, ...any), f *kong.Flag) {
	name := "\\fB" + troff("--"+f.Name) + "\\fR"
	if f.Short != 0 {
		name = "\\fB" + troff("-"+string(f.Short)) + "\\fR, " + name
	}
	if !f.IsBool() {
		name += "=\\fI" + troff(f.FormatPlaceHolder()) + "\\fR"
	}
	p(".TP\n%s\n%s", name, troff(helpOf(f.Value)))
}

// troff keeps text from being read as instructions: no backslash, no line that
// begins with a dot or an apostrophe, hyphens as they are typed.
func troff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
