package main

import (
	"strings"

	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/report"
	"lapwright/retune"
)

// tuningsCommand lists the known tunings.
type tuningsCommand struct {
	Strings *int   `help:"Only those for so many strings." placeholder:"N"`
	Family  string `help:"Only those of one family: major, minor, suspended, seventh, sixth, ninth or thirteenth." placeholder:"NAME"`
	JSON    bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (tuningsCommand) Help() string {
	return "Example: lapwright tunings --family sixth --strings 6"
}

func (c *tuningsCommand) Run(con *console.Console) error {
	out := []report.Tuning{}
	for _, t := range retune.Catalogue() {
		if c.Strings != nil && len(t.Pitches) != *c.Strings || c.Family != "" && t.Family != c.Family {
			continue
		}
		out = append(out, report.TuningOf(t))
	}
	if c.JSON {
		return con.JSON(out)
	}
	if len(out) == 0 {
		return &fault.Fault{Msg: "no known tuning is of that kind", Hint: "lapwright tunings lists them all"}
	}
	var rows [][]string
	for _, t := range out {
		rows = append(rows, []string{t.Name, t.Title, t.Pitches, t.Gauges, strings.Join(t.Styles, ", ")})
	}
	con.Table([]string{"tuning", "title", "low to high", "usual gauges, thousandths of an inch", "styles"}, rows)
	con.Printf("\nAll are common practice, with no written source; w is for wound.\n")
	return nil
}
