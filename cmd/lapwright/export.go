package main

import (
	"bytes"
	"errors"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/internal/whole"
)

type exportCommand struct {
	dataFlag
	Out string `arg:"" help:"Zip file to write."`
}

// Help shows an example that runs.
func (exportCommand) Help() string { return "Example:\n  lapwright export studio.zip" }

// Run writes the studio.
func (c *exportCommand) Run(d *desk) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	if whole.Within(c.Out, dir) {
		return usagef("the archive %q would lie in the folder of the studio itself; choose another place", c.Out)
	}
	st, err := c.open(d.ctx)
	if err != nil {
		return err
	}
	defer st.Close()
	var b bytes.Buffer
	if err := st.Export(d.ctx, &b); err != nil {
		return err
	}
	if err := whole.WriteFile(c.Out, b.Bytes()); err != nil {
		return err
	}
	d.printf("wrote %s\n", c.Out)
	return nil
}

type importCommand struct {
	dataFlag
	File string `arg:"" help:"Zip file that export wrote."`
	JSON bool   `name:"json" help:"Report as JSON."`
}

// Help shows an example that runs.
func (importCommand) Help() string { return "Example:\n  lapwright import studio.zip" }

// Run takes a studio in.
func (c *importCommand) Run(d *desk) error {
	src, err := readInput(c.File)
	if err != nil {
		return err
	}
	st, err := c.open(d.ctx)
	if err != nil {
		return err
	}
	defer st.Close()
	got, err := st.Import(d.ctx, bytes.NewReader(src), int64(len(src)))
	var machine *studio.Trouble
	if err != nil && !errors.As(err, &machine) {
		return &fault.Fault{File: c.File, Msg: err.Error()}
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return d.json(map[string]int{"added": len(got.Added), "beside": len(got.Copied), "present": got.Present})
	}
	d.printf("%d added, %d added beside ones that differ here, %d were here already\n", len(got.Added), len(got.Copied), got.Present)
	return nil
}
