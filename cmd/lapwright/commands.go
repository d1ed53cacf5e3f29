package main

import "github.com/alecthomas/kong"

// commands is the command line: one field a verb, whose type is in the file of
// that name.
type commands struct {
	Version kong.VersionFlag `help:"Print the version and leave."`
}
