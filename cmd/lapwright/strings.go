package main

import (
	"fmt"
	"strings"

	"lapwright/internal/pitch"
	"lapwright/internal/retune"
	"lapwright/internal/rig"
	"lapwright/internal/wire"
)

// stringsCommand designs a string set.
type stringsCommand struct {
	Tuning    string   `arg:"" help:"A known tuning, a rig, or pitches low to high in quotes."`
	Scale     string   `help:"From nut to bridge, such as \"25in\" or \"635 mm\"." required:"" placeholder:"LENGTH"`
	Also      []string `help:"A further tuning that the same set must serve; may be given again." placeholder:"TUNING" sep:"none"`
	Pull      string   `help:"The pull wanted of string 1, such as \"120 N\" or \"27 lb\"." default:"120 N" placeholder:"LOAD"`
	Rise      float64  `help:"How much more the last string is to pull, in percent; 0 is an even pull." default:"0" placeholder:"PERCENT"`
	Limit     string   `help:"The most that all strings together may pull." placeholder:"LOAD"`
	Break     float64  `help:"The share of its least breaking load that no string may reach, in percent; 80 is the most." default:"60" placeholder:"PERCENT"`
	Body      string   `help:"The kind of body, whose usual limit holds when --limit is left out." default:"lap steel" enum:"square-neck resonator,tricone,hollow-neck acoustic,round-neck acoustic,lap steel,pedal steel" placeholder:"KIND"`
	Wrap      string   `help:"What wound strings are wrapped with." default:"nickel-plated steel" enum:"nickel-plated steel,stainless steel,phosphor bronze,80/20 bronze,pure nickel" placeholder:"MATERIAL"`
	Reference float64  `help:"The frequency of A4, in hertz." default:"440" placeholder:"HZ"`
	JSON      bool     `help:"Report as JSON."`
}

// Help gives an example that runs.
func (stringsCommand) Help() string {
	return "Example: lapwright strings high-open-g --scale 25in --also open-d --wrap \"phosphor bronze\"\n\n" + rig.TensionCaution
}

func (c *stringsCommand) Run(d *desk) error {
	scale, err := rig.ParseLength(c.Scale)
	if err != nil {
		return usagef("--scale: %v", err)
	}
	pull, err := rig.ParseLoad(c.Pull)
	if err != nil {
		return usagef("--pull: %v", err)
	}
	limit, source := rig.UsualLimit(rig.Body(c.Body)), "usual for a "+c.Body+" ("+rig.Practice+")"
	if c.Limit != "" {
		if limit, err = rig.ParseLoad(c.Limit); err != nil {
			return usagef("--limit: %v", err)
		}
		source = "as given"
	}
	w := retune.Wish{Scale: scale, Reference: pitch.Hz(c.Reference), Pull: pull, Rise: c.Rise / 100, Limit: limit, Share: c.Break / 100, Sold: wire.Sold(wire.Material(c.Wrap))}
	for _, text := range append([]string{c.Tuning}, c.Also...) {
		p, _, err := findTuning(text)
		if err != nil {
			return err
		}
		w.Tunings = append(w.Tunings, p)
	}
	design, err := retune.NewDesign(w)
	if err != nil {
		return unsuited(err)
	}
	rep := design.Report(w)
	if c.JSON {
		return d.json(rep)
	}
	d.printf("%s\n", d.strong("Strings for "+strings.Join(rep.Tunings, " and ")))
	d.printf("scale %s in, A4 = %g Hz, wound with %s\n\n", inches(scale), rep.Reference, c.Wrap)
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
	d.table(head, rows)
	d.printf("\n")
	d.paragraph("set        ", setWords(rep.Best))
	if rep.RunnerUp != nil {
		d.paragraph("runner-up  ", setWords(*rep.RunnerUp))
	} else {
		d.paragraph("runner-up  ", "none: no other set is possible")
	}
	d.paragraph("limit      ", fmt.Sprintf("%.0f N, %s", rep.LimitN, source))
	d.paragraph("", "Wound strings weigh what they do to within 3 %, and makers differ; the gauges tried are those commonly sold. Low to high, in thousandths of an inch, w for wound.")
	d.printf("\n")
	d.paragraph("", rep.SafetyCautions)
	return nil
}

func setWords(s retune.SetReport) string {
	totals := make([]string, len(s.TotalsN))
	for i, t := range s.TotalsN {
		totals[i] = fmt.Sprintf("%.0f N", t)
	}
	return fmt.Sprintf("%s (%s in all; the worst string is %.0f %% off the pull wanted)", s.Gauges, strings.Join(totals, " and "), s.WorstPercent)
}
