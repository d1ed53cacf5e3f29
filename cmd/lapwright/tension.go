package main

import (
	"fmt"

	"lapwright/internal/console"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/wire"
)

// tensionCommand judges what the strings of a rig ask of it.
type tensionCommand struct {
	Rig   string `arg:"" help:"A built-in rig or a rig file."`
	Press string `help:"How far down the steel presses a string, for the pitch rise under it: such as \"1 mm\"." default:"1 mm" placeholder:"LENGTH"`
	More  bool   `help:"Also show stretch, travel of pegs and benders, stiffness and the rise under the steel."`
	JSON  bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (tensionCommand) Help() string {
	return "Example: lapwright tension reso-open-g --more\n\n" + rig.TensionCaution
}

func (c *tensionCommand) Run(con *console.Console) error {
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	depth, err := rig.ParseLength(c.Press)
	if err != nil {
		return console.Usagef("--press: %v", err)
	}
	if depth < 0 || depth > 25 {
		return console.Usagef("--press: %q is outside 0 to 25 mm", c.Press)
	}
	r = r.WithoutCapo()
	rep := report.TensionOf(r, depth)
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s (%s), scale %s in, A4 = %g Hz\n\n", con.Strong(console.OneLine(r.Title)), r.Name, inches(r.Scale), rep.Reference)
	var rows [][]string
	for i, s := range rep.Strings {
		row := []string{
			fmt.Sprint(s.String), r.Strings[i].Open.String(), gaugeWords(r.Strings[i].Wire),
			fmt.Sprintf("%.0f ± %.0f", s.PullN, plusMinus(s.PullN, s.PullPercent)), fmt.Sprintf("%.0f", s.PullLb),
			fmt.Sprintf("%.0f %% ± %.0f", s.BreakPercent, max(1, s.BreakSpread)), bentWords(s.Bent), s.Stiffness, string(s.Finding),
		}
		rows = append(rows, row)
	}
	con.Table([]string{">string", "pitch", "gauge", ">pull, N", ">lb", ">of break", "at its highest bend", "against its neighbours", "finding"}, rows)
	con.Printf("\n")
	con.Paragraph("in all  ", fmt.Sprintf("%.0f ± %.0f N (%.0f lb) of %.0f N (%.0f lb): %.0f %% of the limit; the limit is %s",
		rep.TotalN, rep.UncertaintyN, rep.TotalLb, rep.LimitN, rep.LimitLb, 100*rep.TotalN/rep.LimitN, limitWords(rep.LimitSource)))
	if rep.MostN > rep.TotalN {
		con.Paragraph("bent    ", fmt.Sprintf("%.0f N with the benders that pull most", rep.MostN))
	}
	printFinding(con, rep.Finding, rep.Reasons)
	if c.More {
		con.Printf("\n")
		printFindings(con, rep)
	}
	con.Printf("\n")
	con.Paragraph("", rep.SafetyCautions)
	return nil
}

// printFindings prints how the strings give and sound.
func printFindings(con *console.Console, rep *report.Tension) {
	var rows [][]string
	for _, s := range rep.Strings {
		rows = append(rows, []string{
			fmt.Sprint(s.String), fmt.Sprintf("%#.3g", s.Spec.GramsPerM), fmt.Sprintf("%.1f", s.StretchMM), fmt.Sprintf("%.2f", s.SemitoneMM),
			fmt.Sprintf("%.1f", s.Sharp5Cents), fmt.Sprintf("%.1f", s.Sharp10Cents), fmt.Sprintf("%.1f", s.PressedCents),
		})
	}
	con.Table([]string{">string", ">g/m", ">stretch, mm", ">a semitone, mm", ">5th partial, cents", ">10th, cents", ">pressed, cents"}, rows)
	if len(rep.Bends) > 0 {
		con.Printf("\n")
		rows = nil
		for _, b := range rep.Bends {
			rows = append(rows, []string{b.Mark, b.Bender, fmt.Sprint(b.String), b.From, b.To, fmt.Sprintf("%.0f", b.PullN), fmt.Sprintf("%.0f %%", b.BreakPercent), console.Signed(b.TravelMM, 2)})
		}
		con.Table([]string{"mark", "bender", ">string", "from", "to", ">pull, N", ">of break", ">travel, mm"}, rows)
	}
	con.Paragraph("", fmt.Sprintf("Stretch and travels are those of the vibrating length alone; pegs, benders and string beyond nut and bridge add theirs. "+
		"Pressed is the rise when the steel pushes the string down %.3g mm at the octave, in a straight elastic model. Steel is taken at %d GPa; sources say 190 to 210.",
		rep.PressedMM, wire.YoungsModulus/1000))
}

func plusMinus(v, percent float64) float64 { return max(1, v*percent/100) }

func bentWords(b *report.BentString) string {
	if b == nil {
		return ""
	}
	return fmt.Sprintf("%s: %.0f N, %.0f %%", b.Pitch, b.PullN, b.BreakPercent)
}

func limitWords(source string) string {
	if source == rig.Practice {
		return "usual for its kind of body (" + source + ")"
	}
	return "given for it (" + source + ")"
}

// printFinding prints a judgement and its reasons.
func printFinding(con *console.Console, f rig.Finding, reasons []string) {
	con.Printf("finding %s\n", con.Strong(string(f)))
	for _, why := range reasons {
		con.Paragraph("      - ", why)
	}
}
