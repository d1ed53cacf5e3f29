package main

import (
	"strings"

	"lapwright/internal/console"
	"lapwright/report"
	"lapwright/say"
)

// tellCommand reads a tab aloud in words.
type tellCommand struct {
	File   string `arg:"" help:"The tune's file, or tab text (.txt) made for the rig."`
	Tune   int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Rig    string `help:"A built-in rig or a rig file; none reads the tune alone. Left out, it is the one that tab text names, else reso-open-g." placeholder:"NAME"`
	wishes `embed:""`
	JSON   bool `help:"Report as JSON: one text a line."`
}

// Help returns an example that runs.
func (tellCommand) Help() string {
	return "Says where the steel lies and which strings are played, bar by bar, for a player who can't see the sheet.\n\nExample: lapwright tell waltz.abc --rig lap6-c6"
}

func (c *tellCommand) Run(con *console.Console) error {
	text := ""
	if c.Rig == "none" {
		t, err := loadTune(con, c.File, c.Tune)
		if err != nil {
			return err
		}
		text = say.TellTune(t)
	} else {
		t, err := loadTab(con, c.File, c.Tune, c.Rig, &c.wishes)
		if err != nil {
			return err
		}
		text = say.Tell(t)
	}
	if c.JSON {
		return con.JSON(report.Told{Lines: strings.Split(strings.TrimSpace(text), "\n")})
	}
	con.Printf("%s", text)
	return nil
}
