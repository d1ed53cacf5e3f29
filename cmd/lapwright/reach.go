package main

import (
	"fmt"

	"lapwright/internal/console"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/say"
)

// reachCommand says which known tunings a rig's strings reach.
type reachCommand struct {
	Rig  string `arg:"" help:"A built-in rig or a rig file."`
	All  bool   `help:"Also list the tunings that are not within reach, with what stands in the way."`
	JSON bool   `help:"Report as JSON: all tunings."`
}

// Help returns an example that runs.
func (reachCommand) Help() string {
	return "Example: lapwright reach lap6-c6\n\n" + rig.TensionCaution
}

func (c *reachCommand) Run(con *console.Console) error {
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	reached, err := retune.Reach(r)
	if err != nil {
		return unsuited(err)
	}
	rep := report.ReachOf(r, reached)
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s (%s), strung for %s\n\n", con.Strong(console.OneLine(r.Title)), r.Name, rep.Rig.Tuning)
	var rows [][]string
	out := 0
	for _, t := range rep.Tunings {
		if t.Finding != rig.Fine {
			out++
			continue
		}
		rows = append(rows, []string{t.Tuning.Name, t.Tuning.Title, t.Tuning.Pitches, retune.Signed(t.Up), retune.Signed(-t.Down), fmt.Sprintf("%.0f", t.TotalN)})
	}
	if len(rep.Tunings) == 0 {
		con.Paragraph("", fmt.Sprintf("No known tuning is for %s.", say.Count(len(r.Strings), "string")))
	} else if len(rows) == 0 {
		con.Paragraph("", "No known tuning leaves every string inside its band.")
	} else {
		con.Table([]string{"within reach", "title", "low to high", ">semitones up", ">down", ">pull, N"}, rows)
	}
	if out > 0 && !c.All {
		con.Printf("\n%d more are not within reach; --all says why.\n", out)
	}
	if c.All {
		for _, t := range rep.Tunings {
			if t.Finding == rig.Fine {
				continue
			}
			con.Printf("\n%s: %s (%s)\n", t.Tuning.Name, con.Strong(string(t.Finding)), t.Tuning.Pitches)
			for _, why := range t.Reasons {
				con.Paragraph("  - ", why)
			}
		}
	}
	con.Printf("\n")
	con.Paragraph("", "Within reach means fine: "+rep.FineMeans+".")
	con.Printf("\n")
	con.Paragraph("", rep.SafetyCautions)
	return nil
}
