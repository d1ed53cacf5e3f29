package main

import (
	"fmt"
	"strings"

	"lapwright/arrange"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/notation/tabtext"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tune"
)

// wishes are the flags that steer an arrangement.
type wishes struct {
	Key     string `help:"The key to play in, by its tonic; else the tune's own if it plays well." placeholder:"KEY"`
	Octave  *int   `help:"Move the tune by so many octaves; else as plays best." placeholder:"N"`
	Capo    *int   `help:"Put the capo at this fret; else as plays best." placeholder:"FRET"`
	Grade   string `help:"How far the student has come: first (an outline in one position), second (the whole tune) or third (with all that a seasoned player adds)." default:"second" placeholder:"GRADE"`
	Whole   bool   `help:"The whole tune in grade first too, in place of an outline."`
	Level   string `hidden:""`
	Closed  bool   `help:"Use no open strings."`
	Square  bool   `help:"Never lean the steel."`
	Touch   string `help:"How much is joined unasked: plain (every note plucked but those under slurs, glides and graces), light (small steps are hammered, pulled or slid off the beat) or full (slides into long notes, vibrato and rolls too); else as the grade has it." placeholder:"TOUCH"`
	Vibrato bool   `help:"Mark vibrato on the long stopped notes."`
	Frets   string `help:"Keep the steel between two frets, such as 3-12." placeholder:"LOW-HIGH"`
	Harmony string `help:"Add notes under a single-line melody: thirds, sixths, chord, full (a chord under strong beats) or none; else as the grade has it." placeholder:"KIND"`
	frames  `embed:""`
	Pin     []string `help:"Fix part of it: \"3-4 string 2\", \"5 fret 0\", \"1-8 frets 3-9\", \"2 closed\", \"4@1/4 grip 1:5 3:4\"; may be given again." sep:"none" placeholder:"PIN"`
}

func (w *wishes) options(r *rig.Rig) (arrange.Options, error) {
	o := arrange.Options{Octave: w.Octave, Capo: w.Capo, Closed: w.Closed, Square: w.Square, Vibrato: w.Vibrato}
	if w.Key != "" {
		if err := w.key(&o); err != nil {
			return o, err
		}
	}
	var err error
	if err := noLevel(w.Level); err != nil {
		return o, err
	}
	o.Whole = w.Whole
	if o.Grade, err = arrange.ParseGrade(w.Grade); err != nil {
		return o, console.Usagef("--grade: %v", err)
	}
	if o.Touch, err = arrange.ParseTouch(w.Touch); err != nil {
		return o, console.Usagef("--touch: %v", err)
	}
	if o.Harmony, err = arrange.ParseHarmony(w.Harmony); err != nil {
		return o, console.Usagef("--harmony: %v", err)
	}
	if w.Frets != "" {
		if n, err := fmt.Sscanf(w.Frets, "%d-%d", &o.Low, &o.High); n != 2 || err != nil {
			return o, console.Usagef("--frets: %q is no range such as 3-12", w.Frets)
		}
	}
	for _, text := range w.Pin {
		p, err := arrange.ParsePin(text, r)
		if err != nil {
			return o, console.Usagef("--pin: %v", err)
		}
		o.Pins = append(o.Pins, p)
	}
	return o, nil
}

// noLevel refuses --level, which --grade has taken the place of.
func noLevel(level string) error {
	if level == "" {
		return nil
	}
	return console.Usagef("--level is called --grade: first, second or third")
}

// key reads --key: a tonic, and a mode after a space for those who name it.
func (w *wishes) key(o *arrange.Options) error {
	text := strings.TrimSpace(w.Key)
	tonic, mode, _ := strings.Cut(text, " ")
	c, err := pitch.ParseClass(tonic)
	k, keyErr := pitch.ParseKey(text)
	switch {
	case keyErr == nil && err != nil, err == nil && mode != "" && keyErr != nil:
		return console.Usagef("--key: %q is more than a tonic: --key takes a tonic such as A", text)
	case err != nil:
		return console.Usagef("--key: %v", err)
	}
	o.Key = &c
	if mode != "" {
		o.Mode = &k.Mode
	}
	return nil
}

// placing is which tune is placed on which rig, and how.
type placing struct {
	Tune   int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Rig    string `help:"A built-in rig or a rig file. Left out, it is the one that tab text names, else reso-open-g." placeholder:"NAME"`
	wishes `embed:""`
}

// arrangeCommand places a tune on a rig and tells what that takes.
type arrangeCommand struct {
	File    string `arg:"" help:"The tune's file."`
	placing `embed:""`
	Ways    int    `help:"Also give up to so many ways that differ noticeably, in one line each." placeholder:"N"`
	At      string `help:"Tell what else could be done at one place: bar, @, and how far into it, such as 4@1/4." placeholder:"BAR@PLACE"`
	Out     string `help:"Write the tab text to this file." short:"o" placeholder:"FILE"`
	Why     bool   `help:"Tell what every stroke costs and why."`
	JSON    bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (arrangeCommand) Help() string {
	return "Example: lapwright arrange waltz.abc --rig lap6-c6 --key G --why"
}

func (c *arrangeCommand) Run(con *console.Console) error {
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	if err := whole.Apart([]string{c.File, c.Rig}, c.Out); err != nil {
		return err
	}
	switch {
	case c.At != "" && (c.Ways != 0 || c.Why):
		return console.Usagef("--at tells of one place: ask for --ways and --why without it")
	case c.Ways < 0:
		return console.Usagef("--ways: \"%d\" is no number of ways", c.Ways)
	}
	o, err := c.options(r)
	if err != nil {
		return err
	}
	t, err := loadTune(con, c.File, c.Tune)
	if err != nil {
		return err
	}
	framed, err := c.put(con.Ctx, t, r, &o)
	if err != nil {
		return err
	}
	t = framed.Tune
	result, err := arrange.Arrange(con.Ctx, t, r, o)
	if err != nil {
		return err
	}
	if c.Out != "" {
		if err := whole.WriteFile(c.Out, tabtext.Format(result.Tab)); err != nil {
			return err
		}
	}
	if c.At != "" {
		return c.choices(con, t, r, o)
	}
	var ways []arrange.Alternative
	if c.Ways > 0 {
		if ways, err = arrange.Alternatives(con.Ctx, t, r, o, c.Ways); err != nil {
			return err
		}
	}
	if c.JSON {
		return con.JSON(report.WithWays{Arrangement: report.ArrangementOf(result), Frame: report.FrameOf(framed), Ways: report.WaysOf(ways)})
	}
	if c.Out == "" {
		con.Printf("%s\n", tabtext.Format(result.Tab))
	}
	con.Printf("%s\n", con.Strong(summary(result)))
	printFrame(con, framed)
	printHarmony(con, result)
	for i := range result.Capos {
		con.Printf("%s\n", result.Capos[i].Words())
	}
	printCompromises(con, result.Tab)
	if len(ways) > 0 {
		con.Printf("\n")
	}
	for _, a := range ways {
		con.Printf("%s: %.2f points, %s\n", a.Name, a.Result.Cost, summary(a.Result))
	}
	if c.Why {
		con.Printf("\n")
		for _, e := range result.Events {
			var words []string
			for _, term := range e.Terms {
				words = append(words, fmt.Sprintf("%s (%.2f)", term.Words, term.Cost))
			}
			con.Printf("bar %d, %s into it: %.2f points: %s\n", e.BarNumber, e.At, e.Cost, strings.Join(words, "; "))
		}
	}
	return nil
}

// choices tells what else could be done at one place.
func (c *arrangeCommand) choices(con *console.Console, t *tune.Tune, r *rig.Rig, o arrange.Options) error {
	bar, at, err := arrange.ParseMoment(c.At)
	if err != nil {
		return console.Usagef("--at: %v", err)
	}
	choices, err := arrange.Choices(con.Ctx, t, r, o, bar, at)
	if err != nil {
		return err
	}
	if c.JSON {
		out := []report.MomentWay{}
		for i := range choices {
			out = append(out, report.MomentWayOf(&choices[i]))
		}
		return con.JSON(out)
	}
	for _, ch := range choices {
		mark := " "
		if ch.Now {
			mark = "*"
		}
		con.Printf("%s %+8.2f  %s\n", mark, ch.Extra, ch.Words)
	}
	return nil
}

// printHarmony tells what came of a harmony that was asked for, and of an outline.
func printHarmony(con *console.Console, r *arrange.Result) {
	if r.Outline != nil {
		con.Printf("%s\n", r.Outline.Words())
		for _, pin := range r.Outline.Asleep {
			con.Printf("a pin is asleep: %s\n", pin)
		}
	}
	if r.Harmony != nil {
		con.Printf("%s\n", r.Harmony.Words())
	}
}

// summary tells an arrangement in one line.
func summary(r *arrange.Result) string {
	low, high := r.Tab.Frets()
	s := r.Key.String()
	if moved := say.MovedBy(r.Transposed); moved != "" {
		s += ", " + moved
	}
	if at := r.Tab.Rig.Capo.At; at > 0 {
		s += fmt.Sprintf(", capo at fret %d", at)
	}
	if high == 0 {
		s += ", all open"
	} else {
		s += fmt.Sprintf(", frets %g to %g", low, high)
	}
	return s + fmt.Sprintf(", %s, %s, difficulty %.1f of 10", say.Count(slantsOf(r), "slant"), say.Count(len(r.Tab.Compromises), "compromise"), r.Difficulty)
}

// slantsOf counts how often an arrangement leans the bar afresh.
func slantsOf(r *arrange.Result) int {
	n, _ := r.Tab.Slants()
	return n
}
