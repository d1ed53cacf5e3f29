package main

import (
	_ "embed"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"lapwright/internal/console"
	"lapwright/rig"
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

var (
	//go:embed completion/bash
	bashScript string
	//go:embed completion/zsh
	zshScript string
	//go:embed completion/fish
	fishScript string
)

// Run prints the script.
func (c *completionCommand) Run(con *console.Console) error {
	con.Printf("%s", map[string]string{"bash": bashScript, "zsh": zshScript, "fish": fishScript}[c.Shell])
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
	candidates(con.Stdout, ctx.Model, words)
	return nil
}

// candidates writes what the last word could become.
func candidates(to io.Writer, m *kong.Application, words []string) {
	if len(words) == 0 {
		words = []string{""}
	}
	done, typed := words[:len(words)-1], words[len(words)-1]
	offer := func(word, about string) {
		if strings.HasPrefix(word, typed) {
			fmt.Fprintf(to, "%s\t%s\n", word, console.OneLine(about))
		}
	}
	verb := m.DefaultCmd
	if len(done) == 0 && !strings.HasPrefix(typed, "-") {
		for _, v := range verbs(m) {
			offer(v.Name, v.Help)
		}
		return
	}
	if len(done) > 0 {
		if i := slices.IndexFunc(m.Children, func(n *kong.Node) bool { return n.Name == done[0] }); i >= 0 {
			verb, done = m.Children[i], done[1:]
		}
	}
	flags := slices.Concat(m.Flags, verb.Flags)
	flagOf := func(word string) *kong.Flag {
		i := slices.IndexFunc(flags, func(f *kong.Flag) bool {
			return word == "--"+f.Name || f.Short != 0 && word == "-"+string(f.Short)
		})
		if i < 0 {
			return nil
		}
		return flags[i]
	}
	// The shell may part --flag=value at the sign.
	if n := len(done); n > 0 && done[n-1] == "=" {
		done = done[:n-1]
	} else if typed == "=" {
		typed = ""
	}
	if name, value, ok := strings.Cut(typed, "="); ok && strings.HasPrefix(name, "--") {
		if f := flagOf(name); f != nil {
			typed = value
			for _, w := range valuesOf(f.Value, verb) {
				if strings.HasPrefix(w, value) {
					fmt.Fprintf(to, "%s=%s\t\n", name, w)
				}
			}
		}
		return
	}
	if n := len(done); n > 0 {
		if f := flagOf(done[n-1]); f != nil && !f.IsBool() {
			for _, w := range valuesOf(f.Value, verb) {
				offer(w, "")
			}
			return
		}
	}
	if strings.HasPrefix(typed, "-") {
		for _, f := range flags {
			if !f.Hidden {
				offer("--"+f.Name, f.Help)
			}
		}
		return
	}
	// Which argument is it? Flags and their values don't count.
	at := 0
	for i := 0; i < len(done); i++ {
		if f := flagOf(done[i]); f != nil {
			if !f.IsBool() {
				i++
			}
		} else if !strings.HasPrefix(done[i], "-") {
			at++
		}
	}
	if n := len(verb.Positional); n > 0 {
		if p := verb.Positional[min(at, n-1)]; at < n || p.IsSlice() {
			for _, w := range valuesOf(p, verb) {
				offer(w, "")
			}
		}
	}
}

// valuesOf returns the words that a flag or argument takes, as far as they are
// known: those of an enum, the verbs, or the built-in rigs.
func valuesOf(v *kong.Value, verb *kong.Node) []string {
	switch {
	case v.Enum != "":
		return v.EnumSlice()
	case v.Name == "verb":
		var names []string
		for n := verb; n != nil; n = n.Parent {
			if n.Parent == nil {
				for _, c := range n.Children {
					if !c.Hidden {
						names = append(names, c.Name)
					}
				}
			}
		}
		return names
	case slices.Contains(rigValues, v.Name):
		return builtinNames()
	}
	return nil
}

// rigValues are the names of the flags and arguments that take a rig.
var rigValues = []string{"rig", "other", "from", "to"}

func builtinNames() []string {
	var names []string
	for _, r := range rig.Builtins() {
		names = append(names, r.Name)
	}
	return names
}
