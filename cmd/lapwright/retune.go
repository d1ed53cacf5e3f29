package main

import (
	"errors"
	"fmt"
	"strings"

	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/say"
)

// retuneCommand plans the way from a rig's tuning to another.
type retuneCommand struct {
	Rig       string `arg:"" help:"A built-in rig or a rig file."`
	To        string `arg:"" help:"A known tuning, another rig, or pitches low to high in quotes."`
	Reference number `help:"The frequency of A4 to tune to, in hertz; the rig's when left out." placeholder:"HZ"`
	JSON      bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (retuneCommand) Help() string {
	return "Example: lapwright retune lap8-a6 c6\n\nOr: lapwright retune reso-open-g \"D2 A2 D3 F#3 A3 D4\"\n\nKnown tunings: lapwright tunings\n\n" + rig.TensionCaution
}

func (c *retuneCommand) Run(con *console.Console) error {
	if err := reference(c.Reference); err != nil {
		return err
	}
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	pitches, name, err := tuningFor(con, r, c.To)
	if err != nil {
		return err
	}
	plan, err := retune.NewPlan(r, pitches, name, pitch.Hz(c.Reference.value))
	if err != nil {
		return unsuited(err)
	}
	rep := report.PlanOf(plan)
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s: %s to %s", con.Strong(r.Name), rep.Rig.Tuning, rep.To)
	if name != "" {
		con.Printf(" (%s)", console.OneLine(name))
	}
	con.Printf("\n\n")
	var rows [][]string
	for i, m := range rep.Moves {
		rows = append(rows, []string{
			fmt.Sprint(m.String), plan.Moves[i].From.String(), plan.Moves[i].To.String(), retune.Signed(m.Semitones), retune.Signed(int(m.Cents)),
			fmt.Sprintf("%.0f", m.BeforeN), fmt.Sprintf("%.0f", m.AfterN), fmt.Sprintf("%.0f %%", m.BreakPercent), string(m.Finding), gaugeOf(m),
		})
	}
	con.Table([]string{">string", "from", "to", ">semitones", ">cents", ">before, N", ">after, N", ">of break", "finding", "change for"}, rows)
	con.Printf("\n")
	for _, m := range rep.Moves {
		if m.Why != "" {
			con.Paragraph("change  ", fmt.Sprintf("string %d for %s: %s", m.String, gaugeOf(m), m.Why))
		}
	}
	if rep.Kept > 0 {
		con.Paragraph("", fmt.Sprintf("The tuning is for %s; %s.", say.Count(len(pitches), "string"), keptWords(rep.Kept)))
	}
	if len(rep.Order) == 0 {
		con.Paragraph("order   ", "nothing to move")
	} else {
		var steps []string
		for _, s := range rep.Order {
			steps = append(steps, fmt.Sprintf("string %d to %s (%.0f N in all)", s.String, s.To, s.LoadN))
		}
		con.Paragraph("order   ", strings.Join(steps, "; "))
		con.Paragraph("load    ", fmt.Sprintf("%.0f N before, %.0f N after, never more than %.0f N on the way; the limit is %.0f N, %s",
			rep.StartN, rep.EndN, rep.PeakN, rep.LimitN, limitWords(rep.LimitSource)))
		con.Paragraph("passes  ", fmt.Sprintf("go round %s: %s", say.Times(rep.Passes), rep.PassesSource))
	}
	printFinding(con, rep.Finding, rep.Reasons)
	if c := rep.Changed; c != nil {
		con.Paragraph("changed ", fmt.Sprintf("with the strings above changed it is %s: %.0f N in all", con.Strong(string(c.Finding)), c.TotalN))
		for _, why := range c.Reasons {
			con.Paragraph("      - ", why)
		}
	}
	con.Printf("\n")
	con.Paragraph("", rep.SafetyCautions)
	return nil
}

// reference refuses a reference pitch that is out of range.
func reference(hz number) error {
	return hz.within("--reference", float64(pitch.MinReference), float64(pitch.MaxReference), " Hz")
}

func keptWords(n int) string {
	if n == 1 {
		return "the last is left as it is"
	}
	return fmt.Sprintf("the last %d are left as they are", n)
}

func gaugeOf(m report.StringMove) string {
	switch {
	case m.Gauge != "":
		return m.Gauge
	case m.Why != "":
		return "none that is sold"
	}
	return ""
}

// tuningFor is findTuning for the strings of a rig. Pitches that are typed out
// must be as many as the strings: one that was forgotten would shift the
// others. A tuning that has a name may be for fewer strings.
func tuningFor(con *console.Console, r *rig.Rig, text string) ([]pitch.Name, string, error) {
	pitches, name, typed, err := findTuning(con, text)
	if err == nil && typed && len(pitches) != len(r.Strings) {
		err = &fault.Fault{Msg: fmt.Sprintf("%q names %s, and the rig %q has %s", text, say.Count(len(pitches), "pitch"), r.Name, say.Count(len(r.Strings), "string")),
			Hint: "write one for each, low to high: it has " + r.TuningText()}
	}
	return pitches, name, err
}

// findTuning returns the pitches, string 1 first, and the name of a known tuning,
// of a rig, or of pitches written low to high, which typed says they are.
func findTuning(con *console.Console, text string) (pitches []pitch.Name, name string, typed bool, err error) {
	if t, ok := retune.FindTuning(text); ok {
		return t.Pitches, t.Title, false, nil
	}
	p, err := retune.ParseTuning(text)
	switch {
	case err == nil && len(p) > 0:
		return p, "", true, nil
	case len(strings.Fields(text)) != 1:
		return nil, "", false, &fault.Fault{Msg: err.Error()}
	}
	r, err := loadRig(con, text)
	if err != nil {
		if _, ok := rig.Builtin(text); !ok && !strings.ContainsAny(text, `./\`) {
			return nil, "", false, &fault.Fault{Msg: fmt.Sprintf("no tuning or rig is named %q", text),
				Hint: "lapwright tunings lists those that are known; or write pitches low to high in quotes, such as \"D2 A2 D3 F#3 A3 D4\""}
		}
		return nil, "", false, err
	}
	return r.TunedNames(), r.Tuning, false, nil
}

// unsuited makes an error of the bench a fault of the input, which it is.
func unsuited(err error) error {
	var list fault.List
	var one *fault.Fault
	if errors.As(err, &list) || errors.As(err, &one) {
		return err
	}
	return &fault.Fault{Msg: err.Error()}
}
