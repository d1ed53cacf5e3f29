package main

import (
	"time"

	"lapwright/internal/console"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/say"
)

type restoreCommand struct {
	dataFlag
	Copy string `arg:"" help:"A copy of the studio, such as one in the folder copies of its data folder."`
	JSON bool   `name:"json" help:"Report as JSON."`
}

// Help shows an example that runs.
func (restoreCommand) Help() string {
	return `Example:
  lapwright restore class/copies/studio-2026-03-14.db --data class/

What is in the data folder now is not lost: it is kept beside the copies.`
}

// Run puts a copy of the studio in its place.
func (c *restoreCommand) Run(con *console.Console) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	claim, err := studio.Claim(dir)
	if err != nil {
		return err
	}
	defer claim.Free()
	aside, err := studio.PutBack(con.Ctx, dir, c.Copy, time.Now)
	if err != nil {
		return err
	}
	// Opening it brings an older copy up to date.
	st, err := studio.OpenKept(con.Ctx, dir, time.Now)
	if err != nil {
		return err
	}
	defer st.Close()
	kept, err := st.Recent(con.Ctx, 1<<30)
	if err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(report.Restored{From: c.Copy, Data: dir, Items: len(kept), Aside: aside})
	}
	con.Printf("put back %s, with %s\n", console.OneLine(c.Copy), say.Count(len(kept), "item"))
	if aside != "" {
		con.Printf("what was there is kept as %s\n", console.OneLine(aside))
	}
	return nil
}
