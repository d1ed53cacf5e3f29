package main

import (
	"fmt"
	"strings"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/listen/line"
	"lapwright/notation"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/say"
)

// transcribeCommand writes down a take of a single line.
type transcribeCommand struct {
	Take string `arg:"" help:"The recording: WAVE, FLAC, MP3 or Ogg Opus; one note at a time."`
	Rig  string `help:"The rig it was played on, and the tab is for: a built-in one or a file." default:"reso-open-g" placeholder:"NAME"`
	Out  string `help:"Write the tune to this file: .abc, .musicxml or .mid, or the tab to a .txt." short:"o" placeholder:"FILE"`
	JSON bool   `help:"Report as JSON."`
}

// Help gives an example that runs.
func (transcribeCommand) Help() string {
	return "Example: lapwright transcribe take.wav --rig lap6-c6 --out line.abc"
}

func (c *transcribeCommand) Run(con *console.Console) error {
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	if err := whole.Apart([]string{c.Take, c.Rig}, c.Out); err != nil {
		return err
	}
	var format notation.Format
	if c.Out != "" {
		if format, err = formatOf(c.Out); err != nil {
			return err
		}
	}
	take, err := loadTake(con, c.Take)
	if err != nil {
		return err
	}
	v := line.Transcribe(take, r)
	if v.Refused != "" {
		if c.Out != "" {
			return &fault.Fault{File: c.Take, Msg: strings.ToLower(v.Refused[:1]) + strings.TrimSuffix(v.Refused[1:], ".")}
		}
		if c.JSON {
			return con.JSON(report.WrittenOf(v))
		}
		con.Paragraph("", v.Refused)
		return nil
	}
	octave := 0
	tonic := v.Tune.Bars[0].Key.Tonic
	result, err := arrange.Arrange(con.Ctx, v.Tune, r, arrange.Options{Key: &tonic, Octave: &octave})
	if err != nil {
		return err
	}
	item := &notation.Item{Tune: v.Tune}
	if format == notation.TabText {
		item.Tab = result.Tab
	}
	if err := writeItem(con, c.Out, format, item); err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(report.WrittenOf(v))
	}
	con.Printf("%s\n", tabtext.Format(result.Tab))
	var rows [][]string
	for _, n := range v.Notes {
		rows = append(rows, []string{fmt.Sprint(n.BarNumber), n.At.String(), n.Len.String(), n.Name.String(), fmt.Sprintf("%.2f", n.Onset), console.Signed(n.Cents, 0), fmt.Sprintf("%.0f %%", 100*n.Sure)})
	}
	con.Table([]string{">bar", "at", "length", "pitch", ">onset, s", ">cents", ">confidence"}, rows)
	con.Printf("\n")
	con.Paragraph("", fmt.Sprintf("%s at about %.0f quarters a minute, written in 4/4. Meter, lengths and strings are guesses: correct them by ear.", say.Count(len(v.Notes), "note"), v.Tempo))
	return nil
}
