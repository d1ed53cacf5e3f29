package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lapwright/internal/console"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/wire"
)

// stringsCommand designs a string set.
type stringsCommand struct {
	Tuning    string   `arg:"" help:"A known tuning, a rig, or pitches low to high in quotes."`
	Scale     string   `help:"From nut to bridge, such as \"25in\" or \"635 mm\"." required:"" placeholder:"LENGTH"`
	Also      []string `help:"A further tuning that the same set must serve; may be given again." placeholder:"TUNING" sep:"none"`
	Pull      string   `help:"The pull wanted of string 1, such as \"120 N\" or \"27 lb\"." default:"120 N" placeholder:"LOAD"`
	Rise      number   `help:"How much more the last string is to pull, in percent; 0 is an even pull." default:"0" placeholder:"PERCENT"`
	Limit     string   `help:"The most that all strings together may pull: the maker's figure when you know it." placeholder:"LOAD"`
	Break     number   `help:"The share of its least breaking load that no string may reach, in percent; 80 is the most." default:"60" placeholder:"PERCENT"`
	Body      string   `help:"The kind of body: square-neck resonator, tricone, hollow-neck acoustic, round-neck acoustic, lap steel or pedal steel. Its usual limit holds without --limit; without either, the strictest, a hollow-neck acoustic's." placeholder:"KIND"`
	Wrap      string   `help:"What wound strings are wrapped with." default:"nickel-plated steel" enum:"nickel-plated steel,stainless steel,phosphor bronze,80/20 bronze,pure nickel" placeholder:"MATERIAL"`
	Reference number   `help:"The frequency of A4, in hertz." default:"440" placeholder:"HZ"`
	JSON      bool     `help:"Report as JSON."`
}

// Help returns an example that runs.
func (stringsCommand) Help() string {
	return "Example: lapwright strings high-open-g --scale 25in --also open-d --wrap \"phosphor bronze\"\n\n" + rig.TensionCaution
}

func (c *stringsCommand) Run(con *console.Console) error {
	scale, err := rig.ParseLength(c.Scale)
	if err != nil {
		return console.Usagef("--scale: %v", err)
	}
	pull, err := rig.ParseLoad(c.Pull)
	if err != nil {
		return console.Usagef("--pull: %v", err)
	}
	body, limit, source, err := c.limit()
	if err != nil {
		return err
	}
	switch {
	case !(scale >= rig.MinScale && scale <= rig.MaxScale):
		return console.Usagef("--scale: %q is not from %g to %g mm (%.1f to %.1f in)", c.Scale, float64(rig.MinScale), float64(rig.MaxScale),
			float64(rig.MinScale/wire.Inch), float64(rig.MaxScale/wire.Inch))
	case !(pull >= rig.Slackest && pull <= retune.MaxPull):
		return console.Usagef("--pull: %q is not from %.0f to %.0f N (%.0f to %.0f lb)", c.Pull, float64(rig.Slackest), float64(retune.MaxPull),
			float64(rig.Slackest/wire.PoundForce), float64(retune.MaxPull/wire.PoundForce))
	}
	err = cmp.Or(reference(c.Reference), c.Rise.within("--rise", 100*retune.MinRise, 100*retune.MaxRise, " percent"),
		c.Break.within("--break", 100*retune.MinShare, 100*wire.BreakShare, " percent"))
	if err != nil {
		return err
	}
	w := retune.Requirements{Scale: scale, Reference: pitch.Hz(c.Reference.value), Pull: pull, Rise: c.Rise.value / 100,
		Limit: limit, LimitSource: source, Body: body, Share: c.Break.value / 100, Sold: wire.Sold(wire.Material(c.Wrap))}
	for _, text := range append([]string{c.Tuning}, c.Also...) {
		p, _, _, err := findTuning(con, text)
		if err != nil {
			return err
		}
		w.Tunings = append(w.Tunings, p)
	}
	design, err := retune.NewDesign(w)
	if err != nil {
		return unsuited(err)
	}
	rep := report.DesignOf(design, w)
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s\n", con.Strong("Strings for "+say.List(rep.Tunings)))
	con.Printf("scale %s in, A4 = %g Hz, wound with %s\n\n", inches(scale), rep.Reference, c.Wrap)
	head := []string{">string", "gauge", ">wanted, N"}
	for _, t := range rep.Tunings {
		head = append(head, ">"+t+", N")
	}
	head = append(head, ">of break")
	var rows [][]string
	for i, s := range rep.Best.Strings {
		row := []string{fmt.Sprint(s.String), gaugeWords(design.Best.Strings[i]), fmt.Sprintf("%.0f", s.WantedN)}
		for _, n := range s.PullsN {
			row = append(row, fmt.Sprintf("%.0f", n))
		}
		rows = append(rows, append(row, fmt.Sprintf("%.0f %%", s.BreakPercent)))
	}
	con.Table(head, rows)
	con.Printf("\n")
	con.Paragraph("set        ", setWords(rep.Best))
	if rep.RunnerUp != nil {
		con.Paragraph("runner-up  ", setWords(*rep.RunnerUp))
	} else {
		con.Paragraph("runner-up  ", "none: no other set is possible")
	}
	con.Paragraph("limit      ", fmt.Sprintf("%.0f N, %s", rep.LimitN, source))
	printFinding(con, rep.Finding, rep.Reasons)
	con.Paragraph("", "Wound strings weigh what they do to within 3 %, and makers differ; the gauges tried are those commonly sold. Low to high, in thousandths of an inch, w for wound.")
	con.Printf("\n")
	con.Paragraph("", rep.SafetyCautions)
	return nil
}

// limit returns the kind of body to go by, its limit and whose figure that is. A
// body that nobody names is taken to be the most delicate.
func (c *stringsCommand) limit() (rig.Body, wire.Newtons, string, error) {
	body := rig.Body(c.Body)
	switch {
	case c.Body == "":
		body = rig.StrictestBody()
	case !slices.Contains(rig.Bodies(), body):
		var known []string
		for _, b := range rig.Bodies() {
			known = append(known, string(b))
		}
		return "", 0, "", console.Usagef("--body: %q is none of %s", c.Body, strings.Join(known, ", "))
	}
	if c.Limit != "" {
		limit, err := rig.ParseLoad(c.Limit)
		switch {
		case err != nil:
			return "", 0, "", console.Usagef("--limit: %v", err)
		case !(limit > 0):
			return "", 0, "", console.Usagef("--limit: %q is not above zero", c.Limit)
		}
		return body, limit, "as given", nil
	}
	source := "usual for a " + string(body) + " (" + rig.Practice + ")"
	if c.Body == "" {
		source += ", the strictest, because no --body says which kind yours is"
	}
	return body, rig.UsualLimit(body), source, nil
}

func setWords(s report.StringSet) string {
	totals := make([]string, len(s.TotalsN))
	for i, t := range s.TotalsN {
		totals[i] = fmt.Sprintf("%.0f N", t)
	}
	return fmt.Sprintf("%s (%s in all; the worst string is %.0f %% off the pull wanted)", s.Gauges, strings.Join(totals, " and "), s.WorstPercent)
}
