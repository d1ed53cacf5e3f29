// Package notices holds the licences of everything that the program is made of:
// its own, the Go modules linked into it, the packages bundled into its scripts,
// and its fonts. notices.txt is made from the build by internal/notices/build
// (make assets) and committed.
package notices

import (
	_ "embed"
	"strings"
)

//go:embed notices.txt
var text string

// Rule begins each part of the text; the part's name follows on the same line.
const Rule = "======== "

// Text returns all notices as one text.
func Text() string { return text }

// Notice is what one part of the program is under.
type Notice struct {
	Name string // and version
	Text string
}

// Notices returns the notices one by one, Lapwright's own first.
func Notices() []Notice {
	var out []Notice
	for piece := range strings.SplitSeq(text, "\n"+Rule) {
		name, rest, _ := strings.Cut(strings.TrimPrefix(piece, Rule), "\n")
		out = append(out, Notice{Name: name, Text: strings.TrimSpace(rest)})
	}
	return out
}
