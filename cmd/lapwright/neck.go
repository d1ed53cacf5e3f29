package main

import (
	"cmp"
	"strings"

	"lapwright/internal/console"
	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/sheet/png"
)

// facing is a neck.Facing as flags, for sheets too.
type facing struct {
	Left         bool `name:"left-handed" help:"Draw pictures of necks with the nut to the right."`
	StringOneLow bool `help:"Draw string 1 lowest."`
}

// neckCommand draws a rig's neck with chords and scales, or its cards.
type neckCommand struct {
	Rig    string   `arg:"" help:"A built-in rig or a rig file."`
	Chord  []string `help:"Show every place of a chord; may be given again." placeholder:"CHORD"`
	Scale  []string `help:"Show every place of a scale, such as \"E minor pentatonic\"; may be given again." placeholder:"SCALE"`
	Capo   int      `help:"With the capo at this fret." placeholder:"FRET"`
	Tuning bool     `help:"Draw the tuning card: pitch, hertz and gauge of every string."`
	To     string   `help:"Draw the retuning card to a known tuning, another rig, or pitches low to high in quotes." placeholder:"TUNING"`
	Out    string   `help:"The picture to write: .pdf, .svg or .png." short:"o" default:"neck.pdf" placeholder:"FILE"`
	Paper  string   `help:"a4 or letter." default:"a4" enum:"a4,letter" placeholder:"PAPER"`
	DPI    number   `help:"Resolution of .png in dots an inch." default:"150" placeholder:"N"`
	facing `embed:""`
}

// Help returns an example that runs.
func (neckCommand) Help() string {
	return "Example: lapwright neck lap8-c13 --chord C6 --chord Bb13 --scale \"C major\" --out neck.pdf\n\nOr: lapwright neck reso-open-g --to open-d --out card.pdf"
}

func (c *neckCommand) Run(con *console.Console) error {
	r, err := loadRigAt(con, c.Rig, c.Capo)
	if err != nil {
		return err
	}
	if err := c.DPI.within("--dpi", png.MinDPI, png.MaxDPI, ""); err != nil {
		return err
	}
	var necks []neck.View
	for _, s := range c.Chord {
		ch, err := pitch.ParseChord(s)
		if err != nil {
			return console.Usagef("--chord: %v", err)
		}
		necks = append(necks, neck.Chord(r, ch))
	}
	for _, s := range c.Scale {
		tonic, name, _ := strings.Cut(strings.TrimSpace(s), " ")
		k, err := pitch.ParseClass(tonic)
		if err != nil {
			return console.Usagef("--scale: %v", err)
		}
		sc, err := pitch.ParseScale(cmp.Or(name, "major"))
		if err != nil {
			return console.Usagef("--scale: %v", err)
		}
		necks = append(necks, neck.Scale(r, k, sc))
	}
	var drawing *draw.Drawing
	switch asked := 0; {
	case c.Tuning:
		asked++
		fallthrough
	case c.To != "":
		if c.To != "" {
			asked++
		}
		if len(necks) > 0 {
			asked++
		}
		if asked > 1 {
			return console.Usagef("a card is drawn by itself: give one of --tuning, --to, or chords and scales")
		}
		if c.Tuning {
			drawing = neck.TuningCard(r)
			break
		}
		pitches, name, err := tuningFor(con, r, c.To)
		if err != nil {
			return err
		}
		plan, err := retune.NewPlan(r, pitches, name, 0)
		if err != nil {
			return unsuited(err)
		}
		drawing = neck.RetuningCard(plan)
	case len(necks) == 0:
		return console.Usagef("say what to draw: --chord, --scale, --tuning or --to")
	default:
		title := r.Title
		if title == "" {
			title = r.Name
		}
		if drawing, err = neck.Page(title, necks, neck.Options{Paper: draw.Paper(c.Paper), Facing: neck.Facing(c.facing)}); err != nil {
			return err
		}
	}
	files, err := writeDrawing(drawing, c.Out, c.DPI.value, c.Rig, c.To)
	if err != nil {
		return err
	}
	con.Printf("%s: %s\n", strings.Join(files, ", "), say.Count(len(drawing.Pages), "page"))
	return nil
}
