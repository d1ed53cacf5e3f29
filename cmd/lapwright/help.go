package main

import (
	"slices"

	"lapwright/internal/console"
	"lapwright/internal/guide"

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
		if !slices.ContainsFunc(guide.Verbs(ctx.Model), func(n *kong.Node) bool { return n.Name == c.Verb }) {
			return console.Usagef("%q is no verb%s; see lapwright --help", c.Verb, guide.Nearest(ctx.Model, c.Verb))
		}
		args = []string{c.Verb, "--help"}
	}
	_, err := parse(ctx.Kong, args)
	return err
}
