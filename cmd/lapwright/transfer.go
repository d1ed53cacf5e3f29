package main

import (
	"lapwright/arrange/transfer"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/say"
	"lapwright/tab"
)

// transferCommand takes a tab from one rig to another.
type transferCommand struct {
	File   string `arg:"" help:"Tab text (.txt), or a tune's file, which is arranged on --from first."`
	Tune   int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	From   string `help:"The rig that the tab is for. Left out, it is the one that tab text names, else reso-open-g." placeholder:"NAME"`
	To     string `help:"The rig to take it to." required:"" placeholder:"NAME"`
	wishes `embed:""`
	Out    string `help:"Write the tab text to this file." short:"o" placeholder:"FILE"`
	JSON   bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (transferCommand) Help() string {
	return "Example: lapwright transfer waltz.txt --from reso-open-g --to tricone-open-d"
}

func (c *transferCommand) Run(con *console.Console) error {
	from, err := loadRigFor(con, c.File, c.From)
	if err != nil {
		return err
	}
	to, err := loadRig(con, c.To)
	if err != nil {
		return err
	}
	if err := whole.Apart([]string{c.File, c.From, c.To}, c.Out); err != nil {
		return err
	}
	o, err := c.options(to)
	if err != nil {
		return err
	}
	t, err := loadTabOn(con, c.File, c.Tune, from, &wishes{frames: c.frames})
	if err != nil {
		return err
	}
	moved, err := transfer.Tab(con.Ctx, t, to, o)
	if err != nil {
		return err
	}
	if c.Out != "" {
		if err := whole.WriteFile(c.Out, tabtext.Format(moved.Result.Tab)); err != nil {
			return err
		}
	}
	if c.JSON {
		return con.JSON(report.TransferOf(from, to, moved))
	}
	if c.Out == "" {
		con.Printf("%s\n", tabtext.Format(moved.Result.Tab))
	}
	con.Printf("%s\n", con.Strong(summary(moved.Result)))
	printHarmony(con, moved.Result)
	for _, w := range moved.Words {
		con.Printf("%s\n", w)
	}
	printCompromises(con, moved.Result.Tab)
	return nil
}

// printCompromises lists what a tab does not sound as its tune says, what it adds and what
// it leaves out.
func printCompromises(con *console.Console, t *tab.Tab) {
	for _, m := range t.Compromises {
		con.Printf("bar %d, %s into it: %s wanted, %s: %s\n", m.BarNumber, m.At, m.Wanted, m.Got, m.Why)
	}
	for _, l := range say.Added(t) {
		con.Printf("%s\n", l)
	}
}
