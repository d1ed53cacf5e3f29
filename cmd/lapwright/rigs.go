package main

import (
	"fmt"
	"strings"

	"lapwright/internal/console"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/wire"
)

// rigsCommand lists the built-in rigs or shows one.
type rigsCommand struct {
	Rig  string `arg:"" optional:"" help:"A built-in rig or a rig file to show."`
	Text bool   `help:"Print it as a rig file, to start your own from."`
	JSON bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (rigsCommand) Help() string {
	return "Example: lapwright rigs lap8-c13\n\nA rig of your own: lapwright rigs reso-open-g --text > mine.toml"
}

func (c *rigsCommand) Run(con *console.Console) error {
	if c.Rig == "" {
		if c.Text {
			return console.Usagef("--text prints one rig: name it, as in lapwright rigs reso-open-g --text")
		}
		return c.list(con)
	}
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	switch {
	case c.Text && c.JSON:
		return console.Usagef("choose one of --text and --json")
	case c.Text:
		if src, ok := rig.BuiltinSource(c.Rig); ok {
			con.Printf("%s", src)
			return nil
		}
		con.Printf("%s", rig.Format(r))
		return nil
	case c.JSON:
		return con.JSON(report.RigOf(r))
	}
	showRig(con, r)
	return nil
}

func (c *rigsCommand) list(con *console.Console) error {
	all := rig.Builtins()
	if c.JSON {
		out := make([]report.RigEntry, len(all))
		for i, r := range all {
			out[i] = report.RigEntryOf(r)
		}
		return con.JSON(out)
	}
	var rows [][]string
	for _, r := range all {
		rows = append(rows, []string{r.Name, r.TuningText(), string(r.Body), inches(r.Scale) + " in", strings.Join(r.Styles, ", ")})
	}
	con.Table([]string{"rig", "tuning, low to high", "body", ">scale", "styles"}, rows)
	return nil
}

func showRig(con *console.Console, r *rig.Rig) {
	con.Printf("%s (%s)\n", con.Strong(console.OneLine(r.Title)), r.Name)
	limit, source := r.Limit()
	tuning, at := tuningWords(r), r.Capo.At
	r = r.WithoutCapo()
	lines := [][2]string{
		{"tuning", tuning},
		{"body", string(r.Body)},
		{"styles", strings.Join(r.Styles, ", ")},
		{"scale", fmt.Sprintf("%s in (%.0f mm), %d frets, A4 = %g Hz", inches(r.Scale), float64(r.Scale), r.Frets, float64(r.Reference))},
		{"spread", fmt.Sprintf("%.3g mm at the nut, %.3g mm at the bridge", float64(r.NutSpread), float64(r.BridgeSpread))},
		{"steel", steelText(r.Steel)},
		{"limit", fmt.Sprintf("%.0f N (%.0f lb) of pull in all; %s", float64(limit), float64(limit/wire.PoundForce), source)},
	}
	if r.Capo.Highest > 0 {
		how := "sliding"
		if r.Capo.Clamp {
			how = "clamped on"
		}
		capo := fmt.Sprintf("%s, up to fret %d", how, r.Capo.Highest)
		if at > 0 {
			capo += fmt.Sprintf(", now at %d", at)
		}
		lines = append(lines, [2]string{"capo", capo})
	}
	for _, l := range lines {
		if l[1] != "" {
			con.Paragraph(fmt.Sprintf("%-8s", l[0]), l[1])
		}
	}
	con.Printf("\n")
	var rows [][]string
	for i, s := range r.Strings {
		rows = append(rows, []string{fmt.Sprint(i + 1), s.Open.String(), gaugeWords(s.Wire), string(s.Wire.Material), bendWords(r, i+1)})
	}
	con.Table([]string{">string", "pitch", "gauge", "material", "benders"}, rows)
	if len(r.Benders) > 0 {
		con.Printf("\n")
		rows = nil
		for _, b := range r.Benders {
			var moves []string
			for _, m := range b.Moves {
				moves = append(moves, fmt.Sprintf("string %d %+d", m.String, m.Semitones))
			}
			rows = append(rows, []string{b.Mark, b.Name, string(b.Kind), strings.Join(moves, ", ")})
		}
		con.Table([]string{"mark", "bender", "kind", "moves"}, rows)
	}
}

func tuningWords(r *rig.Rig) string {
	if r.Tuning == "" {
		return r.TuningWords()
	}
	return r.TuningWords() + " (" + r.Tuning + ")"
}

func steelText(b rig.Steel) string {
	nose := "square ends"
	if b.Bullet {
		nose = "rounded nose"
	}
	mass := ""
	if b.Mass > 0 {
		mass = fmt.Sprintf(", %.0f g", b.Mass)
	}
	return fmt.Sprintf("%.0f mm long, %.0f mm thick%s, %s, leans up to %.0f degrees", float64(b.Length), float64(b.Diameter), mass, nose, b.MaxSlant)
}

func bendWords(r *rig.Rig, s int) string {
	var out []string
	for _, b := range r.Benders {
		for _, m := range b.Moves {
			if m.String == s {
				out = append(out, fmt.Sprintf("%s %+d", b.Mark, m.Semitones))
			}
		}
	}
	return strings.Join(out, ", ")
}

// gaugeWords writes a gauge as players say it: ".016 plain", ".042 wound".
func gaugeWords(s wire.String) string {
	kind := "plain"
	if s.Wound {
		kind = "wound"
	}
	text := fmt.Sprintf("%.4f", float64(s.Diameter/wire.Inch))
	text = strings.TrimPrefix(strings.TrimSuffix(text, "0"), "0")
	return text + " " + kind
}

// inches writes a length in inches to at most two decimals.
func inches(l wire.MM) string {
	text := fmt.Sprintf("%.2f", float64(l/wire.Inch))
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}
