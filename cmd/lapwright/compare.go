package main

import (
	"fmt"
	"strings"

	"lapwright/internal/console"
	"lapwright/report"
	"lapwright/retune"
)

// compareCommand weighs one rig against another.
type compareCommand struct {
	A    string `arg:"" name:"rig" help:"The rig that is known: built in or a rig file."`
	B    string `arg:"" name:"other" help:"The rig to pick up."`
	JSON bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (compareCommand) Help() string {
	return "Example: lapwright compare reso-open-g tricone-open-d"
}

// maxChords bounds the chords that are listed on the terminal; JSON has all.
const maxChords = 12

func (c *compareCommand) Run(con *console.Console) error {
	a, err := loadRig(con, c.A)
	if err != nil {
		return err
	}
	b, err := loadRig(con, c.B)
	if err != nil {
		return err
	}
	rep := report.ComparisonOf(retune.Compare(a, b))
	if c.JSON {
		return con.JSON(rep)
	}
	for _, s := range []report.ComparedRig{rep.A, rep.B} {
		con.Printf("%s  %s\n", con.Strong(s.Rig.Name), s.Rig.Tuning)
		if s.Chord != "" {
			con.Paragraph("  tones   ", fmt.Sprintf("%s of %s, low to high", s.Tones, s.Chord))
		}
		con.Paragraph("  range   ", fmt.Sprintf("%s to %s", s.Lowest, s.Highest))
		con.Paragraph("  scales  ", fmt.Sprintf("%s: %.2f frets of travel of the steel a step", s.Scales, s.Travel))
		con.Paragraph("  chords  ", chordWords(s.Chords))
	}
	con.Printf("\n")
	if len(rep.Runs) > 0 {
		var rows [][]string
		for _, r := range rep.Runs {
			together := "yes"
			if !r.Together {
				together = "no"
			}
			rows = append(rows, []string{fmt.Sprint(len(r.A)), retune.Numbers(r.A), retune.Numbers(r.B), retune.Signed(r.Up), together})
		}
		con.Table([]string{">shape of", rep.A.Rig.Name + " strings", rep.B.Rig.Name + " strings", ">semitones up", "side by side"}, rows)
		con.Printf("\n")
	}
	if len(rep.Relearn) > 0 {
		con.Printf("From %s to %s:\n", rep.A.Rig.Name, rep.B.Rig.Name)
		for _, s := range rep.Relearn {
			con.Paragraph("  - ", s)
		}
		con.Printf("\n")
	}
	con.Paragraph("", fmt.Sprintf("Shapes are strings with the same intervals between them; the steel and its slant carry over. Chords are those of a straight steel at the open position, and move up with it. "+
		"Scales are tight up to %.1f frets of travel of the steel a step, in the best octave of each key.", rep.TightAt))
	return nil
}

func chordWords(chords []report.ChordStrings) string {
	var out []string
	for i, c := range chords {
		if i == maxChords {
			out = append(out, fmt.Sprintf("and %d more", len(chords)-i))
			break
		}
		out = append(out, fmt.Sprintf("%s (%s)", c.Chord, retune.Numbers(c.Strings)))
	}
	if len(out) == 0 {
		return "none with a name"
	}
	return strings.Join(out, "; ")
}
