package main

import (
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"

	"lapwright/feel"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sound"
	"lapwright/sound/band"
	"lapwright/sound/flac"
	"lapwright/sound/loudness"
	"lapwright/sound/opus"
	"lapwright/sound/wav"
	"lapwright/tab"
)

// hearCommand sounds a tune or a tab on a rig and writes the recording.
type hearCommand struct {
	File     string `arg:"" help:"The tune's file, or tab text (.txt) made for the rig."`
	placing  `embed:""`
	Out      string `help:"The recording to write: .wav, .flac or .opus." short:"o" default:"tune.wav" placeholder:"FILE"`
	Speed    number `help:"How fast: 0.5 is half as fast at the same pitch." default:"1" placeholder:"X"`
	CountIn  int    `help:"Bars of clicks before the music." default:"1" placeholder:"N"`
	Click    bool   `help:"Go on clicking through the music."`
	Part     string `help:"What to write: full (all together; both says the same), lead (the instrument alone), backing (the band alone), noise (the steel's own, which lead has too), drone or click; each is as long as the others to the sample." enum:"full,both,lead,backing,noise,drone,click" default:"full"`
	Drone    string `help:"Hold a drone under it: tonic, or fifth for tonic and fifth; of the key that the tune begins in." enum:"none,tonic,fifth" default:"none" placeholder:"TONES"`
	Feel     string `help:"Have a band play along from the chord symbols, in this feel: usual is what is usual for the meter and the kind of tune; lapwright accompany --list names the others." placeholder:"FEEL"`
	practice `embed:""`
	Dry      bool   `help:"Leave out the room and the springs."`
	Contact  number `help:"How loud the steel's own noise is: 1 is as it is, 0 leaves it out." default:"1" placeholder:"LEVEL"`
	Drive    number `help:"How hard a steel guitar's amplifier is driven, from 0, clean, to 1; without it as is usual." placeholder:"LEVEL"`
	Spring   number `help:"How much there is of the amplifier's spring reverberation, from 0 to 1; without it as is usual." placeholder:"LEVEL"`
	Bits     int    `help:"Bits of each sample in a .wav file: 16 or 24." enum:"16,24" default:"16"`
	Timing   string `help:"Also write when each bar and stroke is heard, as JSON." placeholder:"FILE"`
	JSON     bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (hearCommand) Help() string {
	return "Example: lapwright hear waltz.abc --rig lap6-c6 --speed 0.5 --click --drone fifth --out slow.flac\n\n" +
		"With a band: lapwright hear waltz.abc --feel usual --out band.flac\n\n" +
		"Four bars over and over, faster each time: lapwright hear waltz.abc --bars 1-4 --times 6 --speed 0.6 --climb 8 --feel usual\n\n" +
		"My turn, your turn: lapwright hear waltz.abc --turns 2 --feel usual --click\n\n" + sound.Caution
}

func (c *hearCommand) Run(con *console.Console) error {
	if err := c.Speed.within("--speed", sound.SlowestSpeed, sound.FastestSpeed, ""); err != nil {
		return err
	}
	if c.CountIn < 0 || c.CountIn > sound.MaxCountIn {
		return console.Usagef("--count-in: \"%d\" is not from 0 to %d bars", c.CountIn, sound.MaxCountIn)
	}
	if err := c.Contact.within("--contact", 0, sound.MaxContact, ""); err != nil {
		return err
	}
	encode, err := encoderFor(c.Out, c.Bits)
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
	t, backing, err := c.backing(t)
	if err != nil {
		return err
	}
	if t, err = c.practise(t, c.Speed.value); err != nil {
		return err
	}
	o := sound.Options{Speed: c.Speed.value, CountIn: c.CountIn, Click: c.Click, Dry: c.Dry, Contact: &c.Contact.value}
	if err := c.practice.set(&o); err != nil {
		return err
	}
	if err := c.setAmplifier(&o, t.Rig); err != nil {
		return err
	}
	if backing != nil {
		o.Band = backing
	}
	m := con.Progress()
	con.EndTidily()
	o.Progress = func(done float64) bool {
		m.Draw(int(100*done), 100, "sounding")
		return con.Ctx.Err() == nil
	}
	levels, samples, err := c.write(t, o, encode)
	m.End()
	if errors.Is(err, sound.ErrStopped) {
		return con.Ctx.Err()
	}
	if err != nil {
		return err
	}
	times, err := sound.Timeline(t, o)
	if err != nil {
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
	heard := report.NewHeard(c.Out, t, samples, levels, times.CountIn)
	if backing != nil {
		heard.Feel, heard.GuessedChords = backing.Feel.Name, backing.Guessed
	}
	return c.printHeard(con, heard, backing)
}

// setAmplifier puts what is asked of the amplifier into the options; an instrument that has none can't be asked.
func (c *hearCommand) setAmplifier(o *sound.Options, r *rig.Rig) error {
	for _, f := range []struct {
		name  string
		given *number
		to    **float64
	}{{"--drive", &c.Drive, &o.Drive}, {"--spring", &c.Spring, &o.Spring}} {
		if err := f.given.within(f.name, 0, 1, ""); err != nil {
			return err
		}
		if !f.given.given() {
			continue
		}
		if !sound.HasAmplifier(r.Body) {
			return console.Usagef("%s: a %s has no pickup, and is not heard through an amplifier", f.name, r.Body)
		}
		*f.to = &f.given.value
	}
	return nil
}

// write sounds the tab into the file, a piece at a time, and says how loud it came out.
func (c *hearCommand) write(t *tab.Tab, o sound.Options, begin encoder) (*loudness.Meter, int, error) {
	s, err := sound.NewStream(t, o)
	if err != nil {
		return nil, 0, err
	}
	f, err := whole.NewFile(c.Out, 0)
	if err != nil {
		return nil, 0, err
	}
	defer f.Abandon()
	channels := 2
	if c.Part == "click" || c.Part == "noise" || c.Part == "drone" {
		channels = 1
	}
	drone, err := c.drone(t, s.Len())
	if err != nil {
		return nil, 0, err
	}
	out, err := begin(f, channels, s.Len(), sound.TagsOf(t, o))
	if err != nil {
		return nil, 0, err
	}
	var levels loudness.Meter
	for {
		b, err := s.Next(4096)
		if err != nil {
			return nil, 0, err
		}
		if b == nil {
			break
		}
		heard := c.heard(b, drone)
		levels.Add(heard...)
		if err := out.Write(heard...); err != nil {
			return nil, 0, err
		}
	}
	if err := out.Close(); err != nil {
		return nil, 0, err
	}
	return &levels, s.Len(), f.Keep()
}

// drone makes the drone that is asked for, so many samples long; nil for none.
func (c *hearCommand) drone(t *tab.Tab, samples int) (*band.Drone, error) {
	tones, err := band.ParseTones(c.Drone)
	switch {
	case err != nil:
		return nil, console.Usagef("--drone: %v", err)
	case tones == band.NoDrone && c.Part == "drone":
		return nil, console.Usagef("--part drone: say which with --drone tonic or --drone fifth")
	case tones == band.NoDrone:
		return nil, nil
	}
	a4 := t.Rig.Reference
	if a4 == 0 {
		a4 = pitch.StandardA
	}
	return band.NewDrone(t.Tune.Bars[0].Key.Tonic, tones, a4, samples), nil
}

// backing prepares the band that is asked for, nil for none, and the tab as it moves with it.
func (c *hearCommand) backing(t *tab.Tab) (*tab.Tab, *band.Backing, error) {
	if c.Feel == "" && c.Part != "backing" {
		return t, nil, nil
	}
	var f *feel.Feel
	if c.Feel != "" && c.Feel != "usual" {
		var err error
		if f, err = feel.Find(c.Feel); err != nil {
			return nil, nil, console.Usagef("--feel: %v", err)
		}
	}
	b, err := band.NewBacking(t, f)
	if err != nil {
		return nil, nil, err
	}
	return b.Swung(t), b, nil
}

// heard takes from a block what is to be written.
func (c *hearCommand) heard(b *sound.Block, drone *band.Drone) [][]float32 {
	if drone != nil {
		for _, part := range [][]float32{b.Left, b.Right, b.Click, b.Contact, b.Backing[0], b.Backing[1]} {
			for i := range part {
				part[i] *= band.Under()
			}
		}
	}
	switch c.Part {
	case "lead":
		return [][]float32{b.Left, b.Right}
	case "backing":
		return b.Backing[:]
	case "noise":
		return [][]float32{b.Contact}
	case "click":
		return [][]float32{b.Click}
	}
	held := make([]float32, len(b.Left))
	if drone != nil {
		drone.Add(held)
	}
	if c.Part == "drone" {
		return [][]float32{held}
	}
	b.Mix()
	for i, v := range held {
		b.Left[i] += v
		b.Right[i] += v
	}
	return [][]float32{b.Left, b.Right}
}

func (c *hearCommand) printHeard(con *console.Console, h report.Heard, backing *band.Backing) error {
	if c.JSON {
		return con.JSON(h)
	}
	con.Printf("%s: %.1f seconds on %s", h.File, h.Seconds, h.Rig)
	if h.Loudness != nil {
		con.Printf(", %.1f LUFS", *h.Loudness)
	}
	if h.TruePeak != nil {
		con.Printf(", true peak %.1f dBTP", *h.TruePeak)
	}
	con.Printf("\n")
	if backing != nil {
		con.Printf("the band plays %s\n", backing.Words())
	}
	if h.Compromises > 0 {
		con.Printf("%s not as written; lapwright arrange lists them\n", say.Count(h.Compromises, "note"))
	}
	return nil
}

// encoder begins a file of so many channels and samples in each.
type encoder func(to flac.Target, channels, samples int, tags sound.Tags) (recorder, error)

// recorder writes a recording into a file.
type recorder interface {
	Write(channels ...[]float32) error
	Close() error
}

// encoderFor chooses the format of a recording by its ending; bits are those of a WAVE file's samples.
func encoderFor(name string, bits int) (encoder, error) {
	switch ending := strings.ToLower(filepath.Ext(name)); ending {
	case ".wav":
		return func(to flac.Target, channels, samples int, tags sound.Tags) (recorder, error) {
			return wav.NewWriter(to, channels, samples, bits, tags)
		}, nil
	case ".flac":
		return func(to flac.Target, channels, samples int, tags sound.Tags) (recorder, error) {
			return flac.NewWriter(to, channels, samples, tags)
		}, nil
	case ".opus":
		return func(to flac.Target, channels, _ int, tags sound.Tags) (recorder, error) {
			return opus.NewWriter(to, channels, tags)
		}, nil
	default:
		return nil, console.Usagef("a recording ending in %q can't be written; use .wav, .flac or .opus", ending)
	}
}

// writeRecording writes a whole recording into a file.
func writeRecording(name string, a *sound.Audio, begin encoder, tags sound.Tags) error {
	f, err := whole.NewFile(name, 0)
	if err != nil {
		return err
	}
	defer f.Abandon()
	out, err := begin(f, len(a.Channels), a.Len(), tags)
	if err != nil {
		return err
	}
	if err := errors.Join(out.Write(a.Channels...), out.Close()); err != nil {
		return err
	}
	return f.Keep()
}
