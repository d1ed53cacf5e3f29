package main

import (
	"context"
	"fmt"
	"strings"

	"lapwright/arrange"
	"lapwright/arrange/frame"
	"lapwright/internal/console"
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
		bars := fmt.Sprintf("bar %d", p.FromBar)
		if p.ToBar > p.FromBar {
			bars = fmt.Sprintf("bars %d–%d", p.FromBar, p.ToBar)
		}
		con.Printf("%s: %s, %s\n", p.Kind, p.Name, bars)
	}
}

// phrasesCommand lists intros, turnarounds and endings.
type phrasesCommand struct {
	File  string `arg:"" optional:"" help:"A tune: only what fits it is listed, what is made for its kind first."`
	Tune  int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Rig   string `help:"A built-in rig or a rig file: with a tune, what each phrase asks of the player there." default:"reso-open-g" placeholder:"NAME"`
	Grade string `help:"How far the student has come: first, second or third." default:"second" placeholder:"GRADE"`
	Level string `hidden:""`
	JSON  bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (phrasesCommand) Help() string {
	return "Intros, turnarounds and endings that --intro, --turnaround and --ending set around a tune.\n\nExample: lapwright phrases waltz.abc --rig lap6-c6"
}

func (c *phrasesCommand) Run(con *console.Console) error {
	out := report.Phrases()
	if c.File != "" {
		var err error
		if out, err = c.fitting(con); err != nil {
			return err
		}
	}
	if c.JSON {
		return con.JSON(out)
	}
	for _, p := range out {
		cost := ""
		if p.Cost != nil {
			cost = fmt.Sprintf("; %.2f points a note", *p.Cost)
		}
		if len(p.Made) > 0 {
			cost = "; made for " + strings.Join(p.Made, ", ") + cost
		}
		con.Printf("%-10s  %-18s  %s; %s, %s%s\n", p.Kind, p.Name, p.Words, strings.Join(p.Modes, " and "), p.Meter, cost)
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
	out := []report.Phrase{}
	for _, k := range frame.Kinds() {
		for _, p := range frame.Fitting(k, t) {
			x := report.PhraseOf(p)
			cost, err := frame.Cost(con.Ctx, t, r, o, p)
			if con.Ctx.Err() != nil {
				return nil, con.Ctx.Err()
			}
			if err == nil {
				x.Costs(cost)
			}
			out = append(out, x)
		}
	}
	return out, nil
}
