package main

import (
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"

	"lapwright/internal/whole"
	"lapwright/report"
	"lapwright/say"
	"lapwright/sound"
	"lapwright/sound/flac"
	"lapwright/sound/opus"
	"lapwright/sound/wav"
)

// hearCommand sounds a tune or a tab on a rig and writes the recording.
type hearCommand struct {
	File    string `arg:"" help:"The tune's file, or tab text (.txt) made for the rig."`
	Tune    int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Rig     string `help:"A built-in rig or a rig file." default:"reso-open-g" placeholder:"NAME"`
	wishes  `embed:""`
	Out     string `help:"The recording to write: .wav, .flac or .opus." short:"o" default:"tune.wav" placeholder:"FILE"`
	Speed   number `help:"How fast: 0.5 is half as fast at the same pitch." default:"1" placeholder:"X"`
	CountIn int    `help:"Bars of clicks before the music." default:"1" placeholder:"N"`
	Click   bool   `help:"Go on clicking through the music."`
	Part    string `help:"What to write: both, lead (the instrument alone) or click." enum:"both,lead,click" default:"both"`
	Dry     bool   `help:"Leave out the room."`
	Timing  string `help:"Also write when each bar and stroke is heard, as JSON." placeholder:"FILE"`
	JSON    bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (hearCommand) Help() string {
	return "Example: lapwright hear waltz.abc --rig lap6-c6 --speed 0.5 --click --out slow.flac\n\n" + sound.Caution
}

func (c *hearCommand) Run(con *console) error {
	if err := c.Speed.within("--speed", sound.SlowestSpeed, sound.FastestSpeed, ""); err != nil {
		return err
	}
	if c.CountIn < 0 || c.CountIn > sound.MaxCountIn {
		return usagef("--count-in: \"%d\" is not from 0 to %d bars", c.CountIn, sound.MaxCountIn)
	}
	encode, err := encoderFor(c.Out)
	if err != nil {
		return err
	}
	if err := whole.Apart([]string{c.File, c.Rig}, c.Out, c.Timing); err != nil {
		return err
	}
	t, err := loadTab(con, c.File, c.Tune, c.Rig, &c.wishes)
	if err != nil {
		return err
	}
	o := sound.Options{Speed: c.Speed.value, CountIn: c.CountIn, Click: c.Click, Dry: c.Dry}
	m := con.progress()
	con.unhurried.Store(true)
	o.Progress = func(done float64) bool {
		m.draw(int(100*done), 100, "sounding")
		return con.ctx.Err() == nil
	}
	stems, err := sound.RenderStems(t, o)
	m.end()
	if errors.Is(err, sound.ErrStopped) {
		return con.ctx.Err()
	}
	if err != nil {
		return err
	}
	times, err := sound.Timeline(t, o)
	if err != nil {
		return err
	}
	var a *sound.Audio
	switch c.Part {
	case "lead":
		a = stems.Lead
	case "click":
		a = stems.Click
	default:
		a = stems.Mix()
	}
	b, err := encode(a)
	if err != nil {
		return err
	}
	if err := whole.WriteFile(c.Out, b); err != nil {
		return err
	}
	if c.Timing != "" {
		b, err := json.Marshal(times)
		if err != nil {
			return err
		}
		if err := whole.WriteFile(c.Timing, append(b, '\n')); err != nil {
			return err
		}
	}
	return c.printHeard(con, report.NewHeard(c.Out, t, a, times.CountIn))
}

func (c *hearCommand) printHeard(con *console, h report.Heard) error {
	if c.JSON {
		return con.json(h)
	}
	con.printf("%s: %.1f seconds on %s", h.File, h.Seconds, h.Rig)
	if h.Loudness != nil {
		con.printf(", %.1f LUFS", *h.Loudness)
	}
	if h.TruePeak != nil {
		con.printf(", true peak %.1f dBTP", *h.TruePeak)
	}
	con.printf("\n")
	if h.Compromises > 0 {
		con.printf("%s not as written; lapwright arrange lists them\n", say.Count(h.Compromises, "note"))
	}
	return nil
}

// encoderFor chooses the format of a recording by its ending.
func encoderFor(name string) (func(*sound.Audio) ([]byte, error), error) {
	switch ending := strings.ToLower(filepath.Ext(name)); ending {
	case ".wav":
		return func(a *sound.Audio) ([]byte, error) { return wav.Write(a), nil }, nil
	case ".flac":
		return flac.Write, nil
	case ".opus":
		return opus.Write, nil
	default:
		return nil, usagef("a recording ending in %q can't be written; use .wav, .flac or .opus", ending)
	}
}
