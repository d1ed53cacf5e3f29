package main

import (
	"fmt"
	"lapwright/internal/console"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
)

// helpCommand says what --help says.
type helpCommand struct {
	Verb string `arg:"" optional:"" help:"The verb to explain; all of them when left out."`
}

// Help returns an example that runs.
func (helpCommand) Help() string { return "Example: lapwright help arrange" }

// Run asks the parser for the verb's help.
func (c *helpCommand) Run(ctx *kong.Context) error {
	args := []string{"--help"}
	if c.Verb != "" {
		if !slices.ContainsFunc(verbs(ctx.Model), func(n *kong.Node) bool { return n.Name == c.Verb }) {
			return console.Usagef("%q is no verb%s; see lapwright --help", c.Verb, nearest(ctx.Model, c.Verb))
		}
		args = []string{c.Verb, "--help"}
	}
	_, err := parse(ctx.Kong, args)
	return err
}

// verbs returns the verbs that are shown, in the order of the command line's help.
func verbs(m *kong.Application) []*kong.Node {
	return slices.DeleteFunc(slices.Clone(m.Children), func(n *kong.Node) bool { return n.Hidden })
}

// mistyped explains a first word that is no verb, or gives "".
func mistyped(m *kong.Application, args []string) string {
	if len(args) == 0 || strings.HasPrefix(args[0], "-") || slices.ContainsFunc(m.Children, func(n *kong.Node) bool { return n.Name == args[0] }) {
		return ""
	}
	return fmt.Sprintf("%q is no verb%s", console.OneLine(args[0]), nearest(m, args[0]))
}

// nearest returns a clause with the verb that a word was likely meant to be, or "".
// Up to a third of the letters may be wrong.
func nearest(m *kong.Application, word string) string {
	best, fewest := "", 1+max(1, len(word)/3)
	for _, v := range verbs(m) {
		if d := slips(word, v.Name); d < fewest {
			best, fewest = v.Name, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", best)
}

// slips counts the letters left out, put in, put for another or swapped with
// their neighbour between two words (F. J. Damerau, A technique for computer
// detection and correction of spelling errors, CACM 7(3), 1964).
func slips(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			wrong := 0
			if a[i-1] != b[j-1] {
				wrong = 1
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+wrong)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
