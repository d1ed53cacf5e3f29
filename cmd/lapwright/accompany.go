package main

import (
	"fmt"
	"strings"

	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/arrange/frame"
	"lapwright/feel"
	"lapwright/grip"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/notation"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet/chart"
	"lapwright/tune"
)

// accompanyCommand makes a part that accompanies, from chord symbols.
type accompanyCommand struct {
	File    string `arg:"" optional:"" help:"A tune with chord symbols, or a chart of chords (.chart)."`
	Tune    int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Rig     string `help:"A built-in rig or a rig file." default:"reso-open-g" placeholder:"NAME"`
	Feel    string `help:"How it moves; else as is usual for the meter and the kind of tune. --list names them." placeholder:"FEEL"`
	List    bool   `help:"List the feels."`
	Key     string `help:"The key to play in, by its tonic; else the tune's own." placeholder:"KEY"`
	Capo    *int   `help:"Put the capo at this fret." placeholder:"FRET"`
	Grade   string `help:"How far the student has come: first, second or third." default:"second" placeholder:"GRADE"`
	Level   string `hidden:""`
	Closed  bool   `help:"Use no open strings."`
	Square  bool   `help:"Never lean the steel."`
	Frets   string `help:"Keep the steel between two frets, such as 3-12." placeholder:"LOW-HIGH"`
	frames  `embed:""`
	Numbers bool   `help:"Write the numbers of the key beside the chords' names."`
	Chart   string `help:"Also draw a chart of the bars on one page: .pdf, .svg or .png." placeholder:"FILE"`
	Out     string `help:"Write the part to this file: .txt (tab text), .musicxml, .mxl, .mid or .abc." short:"o" placeholder:"FILE"`
	JSON    bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (accompanyCommand) Help() string {
	return "Example: lapwright accompany waltz.abc --rig reso-open-g --feel waltz --out backup.txt\n\nThe tab text is drawn and sounded like any other: lapwright sheet backup.txt; lapwright hear backup.txt"
}

func (c *accompanyCommand) Run(con *console.Console) error {
	if c.List {
		return c.list(con)
	}
	if c.File == "" {
		return console.Usagef("name a tune's file or a chart, or ask for --list")
	}
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	if err := whole.Apart([]string{c.File, c.Rig}, c.Out, c.Chart); err != nil {
		return err
	}
	var format notation.Format
	if c.Out != "" {
		if format, err = formatOf(c.Out); err != nil {
			return err
		}
	}
	o, err := c.options()
	if err != nil {
		return err
	}
	t, err := loadTune(con, c.File, c.Tune)
	if err != nil {
		return err
	}
	framed, err := c.put(con.Ctx, t, r, &arrange.Options{Level: o.Level, Whole: true, Closed: o.Closed, Square: o.Square, Low: o.Low, High: o.High})
	if err != nil {
		return err
	}
	res, err := accompany.Accompany(con.Ctx, framed.Tune, r, o)
	if err != nil {
		return err
	}
	if err := c.write(con, res, format); err != nil {
		return err
	}
	if c.JSON {
		b := report.BackupOf(res)
		b.Frame = report.FrameOf(framed)
		return con.JSON(b)
	}
	return c.tell(con, res, framed, r)
}

// options reads the wishes.
func (c *accompanyCommand) options() (accompany.Options, error) {
	w := wishes{Key: c.Key, Capo: c.Capo, Grade: c.Grade, Level: c.Level, Closed: c.Closed, Square: c.Square, Frets: c.Frets}
	a, err := w.options(nil)
	if err != nil {
		return accompany.Options{}, err
	}
	o := accompany.OptionsOf(a)
	if c.Feel != "" {
		if o.Feel, err = feel.Find(c.Feel); err != nil {
			return o, console.Usagef("--feel: %v", err)
		}
	}
	return o, nil
}

// write writes the part and the chart.
func (c *accompanyCommand) write(con *console.Console, res *accompany.Result, format notation.Format) error {
	if c.Chart != "" {
		drawing := chart.Lay(res.Tab.Tune, chart.Options{Numbers: c.Numbers, Feel: res.Feel.Name})
		if _, err := writeDrawing(drawing, c.Chart, 150, c.File, c.Rig); err != nil {
			return err
		}
	}
	return writeItem(con, c.Out, format, &notation.Item{Tune: res.Tab.Tune, Tab: res.Tab})
}

// tell prints the part: the tab unless it went to a file, and what each chord asks.
func (c *accompanyCommand) tell(con *console.Console, res *accompany.Result, framed *frame.Framed, r *rig.Rig) error {
	if c.Out == "" {
		con.Printf("%s\n", tabtext.Format(res.Tab))
	}
	con.Printf("%s\n", con.Strong(fmt.Sprintf("%s on %s, %s", res.Feel.Name, r.Name, summary(res.Result))))
	if !res.Feel.Swing.Even() {
		con.Printf("%s\n", res.Feel.Swing.Words())
	}
	printFrame(con, framed)
	seen := map[string]bool{}
	for i := range res.Chords {
		ch := &res.Chords[i]
		line := c.chordWords(res.Tab.Tune, ch)
		if !seen[line] {
			seen[line] = true
			con.Printf("  %s\n", line)
		}
	}
	for _, u := range res.Unread {
		con.Printf("bar %d, %s into it: \"%s\" is no chord that is known; the one before goes on\n", u.BarNumber, u.At, console.OneLine(u.Text))
	}
	printCompromises(con, res.Tab)
	return nil
}

// chordWords says how one chord is played.
func (c *accompanyCommand) chordWords(t *tune.Tune, ch *accompany.Chord) string {
	name := ch.Played.String()
	if c.Numbers {
		name += " (" + ch.Played.Degree(t.Bars[0].Key.Tonic) + ")"
	}
	words := fmt.Sprintf("%-12s %s", name, accompany.GripWords(ch.Grip))
	if ch.Second != nil {
		words += ", then " + accompany.GripWords(ch.Second)
	}
	if ch.Bass != nil {
		words += fmt.Sprintf("; bass %s", accompany.GripWords([]grip.Sounded{*ch.Bass}))
	}
	if len(ch.Missing) > 0 {
		words += "; without its " + strings.Join(ch.Missing, " and ")
	}
	return words
}

// list names the feels.
func (c *accompanyCommand) list(con *console.Console) error {
	if c.JSON {
		return con.JSON(report.Feels())
	}
	for _, f := range feel.All() {
		con.Printf("%-14s %s; %s. %s, in %s.\n", f.Name, f.Words, f.Suits, f.Swing.Words(), say.List(f.Meters()))
	}
	return nil
}
