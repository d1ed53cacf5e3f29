package main

import (
	"cmp"
	"fmt"

	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/listen"
	"lapwright/listen/line"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/sound"
)

// tuneCommand says what to tune a rig's strings to.
type tuneCommand struct {
	Rig       string `arg:"" help:"A built-in rig or a rig file."`
	Reference number `help:"The frequency of A4, 415 to 466 Hz; the rig's when left out." placeholder:"HZ"`
	Chord     string `help:"The chord to be in tune with itself; that of the open strings when left out." placeholder:"CHORD"`
	Share     number `help:"How far to go from equal (0) to just (1) in the tuning between." default:"0.5" placeholder:"X"`
	Seventh   string `help:"Where a dominant seventh lies in just tuning: 7/4 (the seventh partial) or 9/5." default:"9/5" enum:"9/5,7/4" placeholder:"RATIO"`
	Tones     string `help:"Write reference tones for all strings, low to high, to this .wav, .flac or .opus." placeholder:"FILE"`
	As        string `help:"Which tuning the reference tones sound: equal, just or between; equal when left out." default:"" enum:",equal,just,between" placeholder:"WAY"`
	Listen    string `help:"Say how each open string stands in this recording of them plucked one after another." placeholder:"FILE"`
	JSON      bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (tuneCommand) Help() string {
	return "Example: lapwright tune reso-open-g --share 0.7 --tones tones.wav --as between\n\n" + sound.Caution
}

func (c *tuneCommand) Run(con *console.Console) error {
	if err := reference(c.Reference); err != nil {
		return err
	}
	if err := c.Share.within("--share", 0, 1, ""); err != nil {
		return err
	}
	if c.As != "" && c.Tones == "" {
		return console.Usagef("--as says which tuning the tones sound: name their file with --tones")
	}
	var encode encoder
	if c.Tones != "" {
		var err error
		if encode, err = encoderFor(c.Tones, 16); err != nil {
			return err
		}
	}
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	if err := whole.Apart([]string{c.Rig}, c.Tones); err != nil {
		return err
	}
	a4 := r.Reference
	if c.Reference.given() {
		a4 = pitch.Hz(c.Reference.value)
	}
	if c.Listen != "" {
		return c.reviewStrings(con, r, a4)
	}
	chord, err := retune.OpenChordOf(r)
	if c.Chord != "" {
		chord, err = pitch.ParseChord(c.Chord)
	}
	if err != nil {
		return &fault.Fault{Msg: err.Error(), Hint: "--chord names the chord to tune to"}
	}
	sevenths := pitch.FiveLimit
	if c.Seventh == "7/4" {
		sevenths = pitch.Harmonic
	}
	tuned, err := retune.NewTuned(r, chord, a4, c.Share.value, sevenths)
	if err != nil {
		return unsuited(err)
	}
	if c.Tones != "" {
		c.As = cmp.Or(c.As, "equal")
		way := map[string]retune.Way{"equal": retune.Equal, "just": retune.Just, "between": retune.Between}[c.As]
		if err := writeRecording(c.Tones, sound.Tones(tuned.Low(way)), encode, sound.Tags{}); err != nil {
			return err
		}
	}
	rep, names := report.TargetsOf(tuned, r), r.TunedNames()
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s (%s), to %s with A4 = %g Hz\n\n", con.Strong(console.OneLine(r.Title)), r.Name, chord.String(), rep.Reference)
	var rows [][]string
	for i, t := range rep.Targets {
		rows = append(rows, []string{
			fmt.Sprint(t.String), names[i].String(), t.Tone, fmt.Sprintf("%.2f", t.EqualHz), fmt.Sprintf("%.2f", t.JustHz), console.Signed(t.JustCents, 1),
			fmt.Sprintf("%.2f", t.BlendHz), console.Signed(t.BlendCents, 1),
		})
	}
	con.Table([]string{">string", "pitch", "tone", ">equal, Hz", ">just, Hz", ">cents", ">between, Hz", ">cents"}, rows)
	con.Printf("\n")
	rows = nil
	for _, b := range rep.Beats {
		partials := "none meet"
		if b.Partials[0] > 0 {
			partials = fmt.Sprintf("%d and %d", b.Partials[0], b.Partials[1])
		}
		rows = append(rows, []string{fmt.Sprintf("%d and %d", b.Strings[0], b.Strings[1]), partials,
			fmt.Sprintf("%.1f", b.Equal), fmt.Sprintf("%.1f", b.Just), fmt.Sprintf("%.1f", b.Blend)})
	}
	con.Table([]string{"strings", "partials", ">equal, beats a second", ">just", ">between"}, rows)
	con.Printf("\n")
	con.Paragraph("", fmt.Sprintf("Cents are from equal temperament. Between goes %.0f %% of the way to just, thirds most; the root stays. "+
		"Beats are of ideal strings: stiff ones shift them a little. Slacken below the pitch and come up to it; protect your eyes.", 100*rep.Share))
	if c.Tones != "" {
		con.Paragraph("", fmt.Sprintf("Wrote %s: %s tuning, string %d first. %s", c.Tones, c.As, len(r.Strings), sound.Caution))
	}
	return nil
}

// reviewStrings tells how the open strings of a recording stand.
func (c *tuneCommand) reviewStrings(con *console.Console, r *rig.Rig, a4 pitch.Hz) error {
	if c.Tones != "" {
		return console.Usagef("--listen hears strings and --tones sounds them: ask for one at a time")
	}
	tuned, err := listen.TunedTo(r, cmp.Or(c.As, "equal"))
	if err != nil {
		return console.Usagef("--as: %v", err)
	}
	take, err := loadTake(con, c.Listen)
	if err != nil {
		return err
	}
	at := r.Clone()
	at.Reference = a4
	v, err := line.Strings(take, at, tuned)
	if err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(report.OpenOf(v))
	}
	if v.Refused != "" {
		con.Paragraph("", v.Refused)
		return nil
	}
	var rows [][]string
	for _, s := range v.Strings {
		row := []string{fmt.Sprint(s.String), r.Strings[s.String-1].Open.String(), fmt.Sprintf("%.2f", float64(s.Wanted)), "", "", "not heard"}
		if s.Heard {
			off := float64(pitch.Between(s.Wanted, s.Hz))
			row[3], row[4], row[5] = fmt.Sprintf("%.2f", float64(s.Hz)), console.Signed(off, 1), turnWords(off)
		}
		rows = append(rows, row)
	}
	con.Table([]string{">string", "pitch", ">wanted, Hz", ">is, Hz", ">cents", ""}, rows)
	con.Printf("\n")
	con.Paragraph("", "Slacken below the pitch and come up to it; protect your eyes.")
	return nil
}

// turnWords says what to do with a peg.
func turnWords(cents float64) string {
	switch {
	case cents < -2:
		return "raise it"
	case cents > 2:
		return "lower it"
	}
	return "in tune"
}
