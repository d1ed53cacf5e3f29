package main

import (
	"strings"

	"lapwright/internal/console"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/sheet/png"
)

// bookletCommand draws what a student begins a key with on an instrument.
type bookletCommand struct {
	Rig    string `arg:"" help:"A built-in rig or a rig file."`
	Key    string `help:"The key, such as G or \"E minor\"." default:"G" placeholder:"KEY"`
	Capo   int    `help:"With the capo at this fret." placeholder:"FRET"`
	Out    string `help:"The booklet to write: .pdf for all pages, .svg or .png for one file a page." short:"o" default:"booklet.pdf" placeholder:"FILE"`
	Paper  string `help:"a4 or letter." default:"a4" enum:"a4,letter" placeholder:"PAPER"`
	DPI    number `help:"Resolution of .png in dots an inch." default:"150" placeholder:"N"`
	JSON   bool   `help:"Report as JSON."`
	facing `embed:""`
}

// Help returns an example that runs.
func (bookletCommand) Help() string {
	return "Example: lapwright booklet bender-open-d --key D --out booklet.pdf\n\nIt has the tuning, the chords I, IV and V over the whole neck with straight grips joined, again with benders and pedals, the scale, and pairs in thirds and sixths."
}

func (c *bookletCommand) Run(con *console.Console) error {
	ending := strings.ToLower(c.Out[strings.LastIndex(c.Out, ".")+1:])
	if ending != "pdf" && ending != "svg" && ending != "png" {
		return console.Usagef("a booklet can't be written as %q; use .pdf, .svg or .png", c.Out)
	}
	k, err := pitch.ParseKey(c.Key)
	if err != nil {
		return console.Usagef("--key: %v", err)
	}
	if err := c.DPI.within("--dpi", png.MinDPI, png.MaxDPI, ""); err != nil {
		return err
	}
	r, err := loadRigAt(con, c.Rig, c.Capo)
	if err != nil {
		return err
	}
	drawing, err := neck.Booklet(r, k, neck.Options{Paper: draw.Paper(c.Paper), Facing: neck.Facing(c.facing)})
	if err != nil {
		return console.Usagef("--key: %v", err)
	}
	rep := report.KeyBooklet{Rig: r.Name, Key: k.String(), Pages: len(drawing.Pages)}
	for _, b := range drawing.Bookmarks[1:] {
		rep.Parts = append(rep.Parts, b.Title)
	}
	if rep.Files, err = writeDrawing(drawing, c.Out, c.DPI.value, c.Rig); err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s: %s\n", strings.Join(rep.Files, ", "), say.Count(rep.Pages, "page"))
	return nil
}
