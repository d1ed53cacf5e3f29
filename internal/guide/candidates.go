package guide

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

var (
	//go:embed completion/bash
	bashScript string
	//go:embed completion/zsh
	zshScript string
	//go:embed completion/fish
	fishScript string
)

// Script returns what a shell runs to complete words, for bash, zsh or fish. It asks
// the program itself, so it holds no list that could be out of date.
func Script(shell string) string {
	return map[string]string{"bash": bashScript, "zsh": zshScript, "fish": fishScript}[shell]
}

// Candidates writes what the last of some words, as typed after the program's name,
// could become: one candidate a line with a tab and a few words about it. Nothing
// written means: a file.
func Candidates(to io.Writer, m *kong.Application, words []string) {
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
		for _, v := range Verbs(m) {
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
