package main

import (
	"fmt"

	"github.com/alecthomas/kong"

	"lapwright/internal/console"
	"lapwright/internal/notices"
)

// licencesFlag prints the licences and leaves.
type licencesFlag bool

// BeforeReset runs before anything else that the command line asks for.
func (licencesFlag) BeforeReset(app *kong.Kong) error {
	fmt.Fprint(app.Stdout, notices.Text())
	app.Exit(console.ExitDone)
	return nil
}
