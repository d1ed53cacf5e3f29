package main

import (
	"context"

	"lapwright/arrange"
	"lapwright/arrange/frame"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/notation"
	"lapwright/notation/abc"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/tune"
)

// frames are the flags that set phrases around a tune.
type frames struct {
	Intro      string `help:"Set an intro before the tune, by name, or any for the one that fits best; lapwright phrases names them." placeholder:"NAME"`
	Turnaround string `help:"Play the tune twice, led back by this turnaround, or any." placeholder:"NAME"`
	Ending     string `help:"Set an ending after the tune, or any." placeholder:"NAME"`
}

// names returns what is asked for, by frame.Kind.
func (f *frames) names() frame.Names { return frame.Names{f.Intro, f.Turnaround, f.Ending} }

// put frames a tune for a rig, and moves the pins of the wishes with it. A rig of nil
// takes the first phrase that fits.
func (f *frames) put(ctx context.Context, t *tune.Tune, r *rig.Rig, o *arrange.Options) (*frame.Framed, error) {
	s, err := frame.Choose(ctx, t, r, *o, f.names())
	if err != nil {
		return nil, err
	}
	framed, err := frame.Put(t, s)
	if err != nil {
		return nil, err
	}
	o.Pins = framed.Pins(o.Pins)
	return framed, nil
}

// arrange frames a tune and places it on a rig, as the wishes say.
func (w *wishes) arrange(ctx context.Context, t *tune.Tune, r *rig.Rig) (*arrange.Result, error) {
	o, err := w.options(r)
	if err != nil {
		return nil, err
	}
	f, err := w.put(ctx, t, r, &o)
	if err != nil {
		return nil, err
	}
	return arrange.Arrange(ctx, f.Tune, r, o)
}

// printFrame tells which phrases stand around a tune.
func printFrame(con *console.Console, f *frame.Framed) {
	for _, p := range report.FrameOf(f) {
		con.Printf("%s\n", p.Line())
	}
}

// phrasesCommand lists intros, turnarounds and endings.
type phrasesCommand struct {
	File  string `arg:"" optional:"" help:"A tune: only what fits it is listed, what is made for its kind first."`
	Tune  int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Rig   string `help:"A built-in rig or a rig file: with a tune, what each phrase asks of the player there." default:"reso-open-g" placeholder:"NAME"`
	Grade string `help:"How far the student has come: first, second or third." default:"second" placeholder:"GRADE"`
	Level string `hidden:""`
	Out   string `help:"Write the phrases that fit the tune to this file, each as a tune in its key: .abc." short:"o" placeholder:"FILE"`
	JSON  bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (phrasesCommand) Help() string {
	return "Intros, turnarounds and endings that --intro, --turnaround and --ending set around a tune.\n\nExample: lapwright phrases waltz.abc --rig lap6-c6 --out phrases.abc"
}

func (c *phrasesCommand) Run(con *console.Console) error {
	out := report.Phrases()
	switch {
	case c.File != "":
		var err error
		if out, err = c.fitting(con); err != nil {
			return err
		}
	case c.Out != "":
		return console.Usagef("--out needs a tune: the phrases are written in its key")
	}
	if c.JSON {
		return con.JSON(out)
	}
	for _, p := range out {
		con.Printf("%s\n", p.Line())
	}
	return nil
}

// fitting lists what fits the tune, with what it costs on the rig.
func (c *phrasesCommand) fitting(con *console.Console) ([]report.Phrase, error) {
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return nil, err
	}
	w := wishes{Grade: c.Grade, Level: c.Level}
	o, err := w.options(r)
	if err != nil {
		return nil, err
	}
	t, err := loadTune(con, c.File, c.Tune)
	if err != nil {
		return nil, err
	}
	all, err := frame.Judge(con.Ctx, t, r, o)
	if err == nil && c.Out != "" {
		err = c.write(con, t)
	}
	return report.PhrasesOf(all), err
}

// write writes the phrases that fit a tune to the file asked for.
func (c *phrasesCommand) write(con *console.Console, t *tune.Tune) error {
	if f, err := formatOf(c.Out); err != nil || f != notation.ABC {
		return console.Usagef("--out: %q: phrases are written as .abc, the format that holds several tunes", c.Out)
	}
	if err := whole.Apart([]string{c.File, c.Rig}, c.Out); err != nil {
		return err
	}
	book, err := frame.Book(t)
	if err != nil {
		return err
	}
	b, lost := abc.WriteAll(book)
	con.Warn(lost)
	return whole.WriteFile(c.Out, b)
}
