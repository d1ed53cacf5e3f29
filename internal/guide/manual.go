package guide

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"lapwright/internal/console"
)

// Told is a name or number with what it means.
type Told struct{ Name, About string }

// ExitCodes and Variables are what the manual tells of them; docs/environment.md
// tells more, and a test holds that it tells the same.
var (
	ExitCodes = []Told{
		{strconv.Itoa(console.ExitDone), "done"},
		{strconv.Itoa(console.ExitMachine), "the machine would not: a full disk, a taken port, no permission"},
		{strconv.Itoa(console.ExitInput), "the command line, or a file that was given, is wrong; the place is told"},
		{strconv.Itoa(console.ExitOurs), "our own fault; what is printed belongs into a report"},
		{strconv.Itoa(console.ExitInterrupted), "interrupted; nothing was left half done"},
	}
	Variables = []Told{
		{"LAPWRIGHT_DATA", "the folder that your work is kept in; --data goes before it"},
		{"NO_COLOR", "when set to anything, no bold text"},
		{"TERM", "dumb: no bold text"},
	}
)

// Manual returns the model of the command line as a page in the man macros of troff.
func Manual(m *kong.Application, version string) string {
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
	for _, v := range Verbs(m) {
		p(".SS %s", troff(v.Name))
		usage := ".B lapwright " + troff(v.Name)
		for _, a := range v.Positional {
			usage += " \\fR" + troff(a.Summary())
		}
		p("%s\\fR [\\fIflag\\fR ...]\n.PP\n%s", usage, troff(v.Help))
		for _, a := range v.Positional {
			p(".TP\n.I %s\n%s", troff(a.Name), troff(HelpOf(a)))
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
	for _, e := range ExitCodes {
		p(".TP\n.B %s\n%s", e.Name, troff(e.About))
	}
	p(".SH ENVIRONMENT")
	for _, v := range Variables {
		p(".TP\n.B %s\n%s", troff(v.Name), troff(v.About))
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
	p(".TP\n%s\n%s", name, troff(HelpOf(f.Value)))
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
