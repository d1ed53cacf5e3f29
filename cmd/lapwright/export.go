package main

import (
	"bytes"
	"errors"
	"io"
	"os"

	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/internal/studio"
	"lapwright/internal/whole"
	"lapwright/report"
)

type exportCommand struct {
	dataFlag
	Out   string `arg:"" help:"Zip file to write; only you may read it."`
	Takes bool   `help:"Take the sound of students' takes along."`
}

// Help shows an example that runs.
func (exportCommand) Help() string { return "Example:\n  lapwright export studio.zip" }

// Run writes the studio.
func (c *exportCommand) Run(con *console.Console) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	if whole.Within(c.Out, dir) {
		return console.Usagef("the archive %q would lie in the folder of the studio itself; choose another place", c.Out)
	}
	st, err := c.openKept(con.Ctx)
	if err != nil {
		return err
	}
	defer st.Close()
	out, err := whole.NewFile(c.Out, whole.Private)
	if err != nil {
		return err
	}
	defer out.Abandon()
	if err := st.Export(con.Ctx, out, studio.TakeSounds(c.Takes)); err != nil {
		return err
	}
	if err := out.Keep(); err != nil {
		return err
	}
	con.Printf("wrote %s\n", console.OneLine(c.Out))
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
func (c *importCommand) Run(con *console.Console) error {
	src, size, err := openArchive(c.File)
	if err != nil {
		return err
	}
	defer src.Close()
	st, err := c.open(con.Ctx)
	if err != nil {
		return err
	}
	defer st.Close()
	got, err := st.Import(con.Ctx, src, size)
	var bad *studio.BadArchive
	if errors.As(err, &bad) {
		return &fault.Fault{File: c.File, Msg: err.Error()}
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(report.Imported{Added: len(got.Added), Beside: len(got.Copied), Present: got.Present})
	}
	con.Printf("%d added, %d added beside ones that differ here, %d were here already\n", len(got.Added), len(got.Copied), got.Present)
	return nil
}

// archiveInput is an archive that can be read anywhere in it.
type archiveInput interface {
	io.ReaderAt
	io.Closer
}

// inMemory is an archive that came through a pipe.
type inMemory struct{ *bytes.Reader }

func (inMemory) Close() error { return nil }

// openArchive opens a file to be read piece by piece; what comes through a pipe
// is read whole.
func openArchive(name string) (archiveInput, int64, error) {
	if info, err := os.Stat(name); name != "-" && err == nil && info.Mode().IsRegular() {
		f, err := os.Open(name)
		if err != nil {
			return nil, 0, unreadable(name, err)
		}
		return f, info.Size(), nil
	}
	b, err := readInput(name)
	return inMemory{bytes.NewReader(b)}, int64(len(b)), err
}
