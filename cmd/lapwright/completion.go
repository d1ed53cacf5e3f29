package main

import (
	_ "embed"

	"github.com/alecthomas/kong"

	"lapwright/internal/console"
	"lapwright/internal/guide"
)

// completionCommand prints the script that completes words in a shell. The
// scripts ask the program itself, by candidatesCommand, so they hold no list
// that could be out of date.
type completionCommand struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"The shell: ${enum}."`
}

// Help shows how it is set up, and runs.
func (completionCommand) Help() string {
	return `Example: lapwright completion bash

To set it up, put one of these where the shell reads it when it starts:
  bash  source <(lapwright completion bash)      in ~/.bashrc
  zsh   source <(lapwright completion zsh)       in ~/.zshrc, after compinit
  fish  lapwright completion fish | source       in ~/.config/fish/config.fish`
}

// Run prints the script.
func (c *completionCommand) Run(con *console.Console) error {
	con.Printf("%s", guide.Script(c.Shell))
	return nil
}

// candidatesCommand prints what the last of some words could become, one
// candidate a line with a tab and a few words about it. Nothing means: a file.
type candidatesCommand struct {
	Words []string `arg:"" optional:"" passthrough:"" help:"The words after lapwright; the last is the one being typed."`
}

// Run prints the candidates.
func (c *candidatesCommand) Run(con *console.Console, ctx *kong.Context) error {
	words := c.Words
	if len(words) > 0 && words[0] == "--" {
		words = words[1:]
	}
	guide.Candidates(con.Stdout, ctx.Model, words)
	return nil
}
