package main

import (
	"lapwright/internal/console"
	"lapwright/internal/guide"

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
	con.Printf("%s", guide.Manual(ctx.Model, version))
	return nil
}
