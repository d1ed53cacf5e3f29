package main

import (
	"strings"

	"lapwright/arrange/rank"
	"lapwright/internal/console"
	"lapwright/report"
	"lapwright/rig"
)

// rankCommand sorts rigs by how well a tune plays on them.
type rankCommand struct {
	File    string   `arg:"" help:"The tune's file."`
	Tune    int      `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Rig     []string `help:"A rig to rank, built in or a file; may be given again. Without it, all built-in rigs." placeholder:"NAME"`
	Key     string   `help:"The key to play in, by its tonic; else the tune's own if it plays well." placeholder:"KEY"`
	Octave  *int     `help:"Move the tune by so many octaves; else as plays best." placeholder:"N"`
	Grade   string   `help:"How far the student has come: first, second or third." default:"second" placeholder:"GRADE"`
	Level   string   `hidden:""`
	Harmony string   `help:"Add notes under a single-line melody: thirds, sixths or chord." placeholder:"KIND"`
	JSON    bool     `help:"Report as JSON."`
}

// Help returns an example that runs.
func (rankCommand) Help() string {
	return "Example: lapwright rank waltz.abc --rig reso-open-g --rig lap6-c6"
}

func (c *rankCommand) Run(con *console.Console) error {
	rigs := rig.Builtins()
	if len(c.Rig) > 0 {
		var err error
		if rigs, err = loadRigs(con, c.Rig); err != nil {
			return err
		}
	}
	w := wishes{Key: c.Key, Octave: c.Octave, Grade: c.Grade, Level: c.Level, Harmony: c.Harmony}
	o, err := w.options(rigs[0])
	if err != nil {
		return err
	}
	t, err := loadTune(con, c.File, c.Tune)
	if err != nil {
		return err
	}
	ranked, err := rank.Rigs(con.Ctx, t, rigs, o)
	if err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(report.RankedRigs(ranked))
	}
	con.Printf("best first, by points a note: what a note costs to play, more for notes not as written and for another key, less for notes that ring and a kind of tune that suits the rig\n")
	for i, k := range ranked {
		con.Printf("%d. %s: %.2f points a note, difficulty %.1f of 10\n", i+1, con.Strong(k.Rig.Name), k.Score, k.Difficulty)
		con.Printf("   %s\n", strings.Join(k.Reasons, "; "))
	}
	return nil
}
