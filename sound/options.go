package sound

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/sound/amp"
	"lapwright/sound/click"
	"lapwright/tab"
)

// The bounds on Options.Speed.
const (
	SlowestSpeed = 0.25
	FastestSpeed = 2
)

// MaxSeconds is the longest piece that is sounded, count-in and ending
// included: a quarter of an hour, which keeps a stereo recording with its click
// at 520 MB in memory, and under 900 MB while the limiter works on it.
const MaxSeconds = 900

// MaxCountIn is the most bars of count-in.
const MaxCountIn = 8

// MaxGlides is how many times as long as usual glides may take.
const MaxGlides = 4

// MaxContact is the most that the steel's own noise can be raised by.
const MaxContact = 4

// DefaultLoudness is the loudness the lead is brought to, in LUFS: what AES
// TD1008 recommends for music.
const DefaultLoudness = -16.0

// maxGain bounds Options.Gain, in decibels.
const maxGain = 80

// Ceiling is the highest true peak in dBTP.
const Ceiling = -1.0

// Caution is shown wherever there is sound to play.
const Caution = "Start quietly and turn up slowly. Loud sound harms hearing, and through headphones one hardly notices. " +
	"The WHO and ITU standard for safe listening (H.870) allows 80 dB for 40 hours a week, 75 dB for children; " +
	"each 3 dB more halves the time. Rest your ears, and have ringing that stays looked at."

// Options says how a tab is to be sounded. The zero value plays it as written,
// without clicks.
type Options struct {
	// Speed scales the tempo: 0.5 is half as fast at the same pitch. 0 means 1;
	// otherwise SlowestSpeed to FastestSpeed.
	Speed float64
	// CountIn is how many bars of clicks come before the music, 0 to MaxCountIn.
	// A pickup is counted up to.
	CountIn int
	// Click goes on clicking through the music.
	Click bool
	// ClickOn says on which beats it clicks through the music; ClickOut lets it drop out: so many bars with it, so many
	// without, 0 for never.
	ClickOn  click.On
	ClickOut int
	// Glides is how many times as long glides take as is usual, 1 to MaxGlides; 0 means 1.
	Glides float64
	// Dry leaves out the room, and the springs unless Spring says how much of them is wanted.
	Dry bool
	// Contact is the level of the steel's own noise, sliding, landing and lifting: nil
	// for 1, as it is; 0 leaves it out exactly; at most MaxContact.
	Contact *float64
	// Strength is how strongly the hand plays, from 0, softly, to 1; nil for UsualStrength. As the lead is brought to
	// Loudness all the same, it changes the tone.
	Strength *float64
	// Drive is how hard a steel guitar's amplifier is driven, and Spring how much of its spring reverberation there is, each from 0
	// to 1; nil for what is usual for the instrument. An instrument without a pickup has neither.
	Drive, Spring *float64
	// Loudness is what the lead is brought to, in LUFS; 0 means DefaultLoudness,
	// otherwise −40 to −10.
	Loudness float64
	// Gain is by how many decibels the lead is turned up, where that is known beforehand (Gain); nil has
	// it measured, so that the lead comes to Loudness.
	Gain *float64
	// Band plays along; nil for none. What it plays is as loud whatever the lead is brought to by Gain.
	Band Band
	// Seed changes the small unevennesses of the playing hand; any value is
	// as good as another.
	Seed uint64
	// Progress, when not nil, is told now and then which part of the work is
	// done, from 0 to 1. When it gives false the work ends with ErrStopped.
	Progress func(done float64) bool
}

// ErrStopped is the error when Options.Progress asked to stop.
var ErrStopped = errors.New("stopped before the sound was finished")

// contact returns the level of the steel's own noise.
func (o Options) contact() float64 {
	if o.Contact == nil {
		return 1
	}
	return *o.Contact
}

// glides returns how many times as long as usual glides take.
func (o Options) glides() float64 { return max(1, o.Glides) }

// strength returns how strongly the hand plays.
func (o Options) strength() float64 {
	if o.Strength == nil {
		return UsualStrength
	}
	return *o.Strength
}

// amplifier returns how an amplifier that is usually set so is to be.
func (o Options) amplifier(usual amp.Voicing) (drive, spring float64) {
	drive, spring = usual.Drive, usual.Spring
	if o.Dry {
		spring = 0
	}
	if o.Drive != nil {
		drive = *o.Drive
	}
	if o.Spring != nil {
		spring = *o.Spring
	}
	return drive, spring
}

// HasAmplifier reports whether an instrument of a kind is heard through an amplifier.
func HasAmplifier(b rig.Body) bool { return voices[b].amp != nil }

// settled fills in the defaults and refuses what is out of range.
func (o Options) settled() (Options, error) {
	if o.Speed == 0 {
		o.Speed = 1
	}
	if o.Loudness == 0 {
		o.Loudness = DefaultLoudness
	}
	switch {
	case !(o.contact() >= 0 && o.contact() <= MaxContact):
		return o, refuse("a level of the steel's noise of %v is not between 0 and %d", o.contact(), MaxContact)
	case !(o.strength() >= 0 && o.strength() <= 1):
		return o, refuse("a strength of %v is not between 0 and 1", o.strength())
	case o.Drive != nil && !(*o.Drive >= 0 && *o.Drive <= 1):
		return o, refuse("a drive of %v is not between 0 and 1", *o.Drive)
	case o.Spring != nil && !(*o.Spring >= 0 && *o.Spring <= 1):
		return o, refuse("springs at %v are not between 0 and 1", *o.Spring)
	case !(o.Speed >= SlowestSpeed && o.Speed <= FastestSpeed):
		return o, refuse("speed %v is not between %v and %v", o.Speed, SlowestSpeed, FastestSpeed)
	case !(o.Glides == 0 || o.Glides >= 1 && o.Glides <= MaxGlides):
		return o, refuse("glides %v times as long are not between 1 and %d", o.Glides, MaxGlides)
	case o.ClickOn > click.Subdivided:
		return o, refuse("there is no click on beats of kind %d", o.ClickOn)
	case o.ClickOut < 0 || o.ClickOut > click.MaxOut:
		return o, refuse("a click that drops out for %d bars is not between 0 and %d", o.ClickOut, click.MaxOut)
	case o.CountIn < 0 || o.CountIn > MaxCountIn:
		return o, refuse("a count-in of %d bars is not between 0 and %d", o.CountIn, MaxCountIn)
	case o.Gain != nil && !(math.Abs(*o.Gain) <= maxGain):
		return o, refuse("a gain of %v dB is not between -%d and %d", *o.Gain, maxGain, maxGain)
	case !(o.Loudness >= -40 && o.Loudness <= -10):
		return o, refuse("a loudness of %v LUFS is not between -40 and -10", o.Loudness)
	}
	return o, nil
}

func refuse(format string, args ...any) error {
	return &fault.Fault{Msg: fmt.Sprintf(format, args...)}
}

// Audio is a recording at Rate samples a second.
type Audio struct {
	Channels [][]float32 // left and right, or one for mono; all of one length; −1 to 1
}

// Len returns the number of samples in each channel.
func (a *Audio) Len() int {
	if len(a.Channels) == 0 {
		return 0
	}
	return len(a.Channels[0])
}

// Seconds returns the length in seconds.
func (a *Audio) Seconds() float64 { return float64(a.Len()) / Rate }

// Check refuses audio that no file could hold.
func (a *Audio) Check() error {
	if len(a.Channels) < 1 || len(a.Channels) > 2 {
		return refuse("%d channels is neither mono nor stereo", len(a.Channels))
	}
	for _, c := range a.Channels {
		if len(c) != a.Len() {
			return refuse("channels of %d and %d samples differ in length", a.Len(), len(c))
		}
		for i, v := range c {
			if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
				return refuse("sample %d is not a number", i)
			}
		}
	}
	return nil
}

// Tags are what a file tells of the recording in it.
type Tags struct {
	Title     string
	PerMinute float64 // beats a minute at the start; 0 for unknown
}

// TagsOf returns the title of a tab's tune and the tempo that it begins at.
func TagsOf(t *tab.Tab, o Options) Tags {
	out := Tags{Title: t.Tune.Title}
	speed := o.Speed
	if speed == 0 {
		speed = 1
	}
	out.PerMinute = float64(t.Performance().Clock.Speeds()[0].PerMinute) / 1000 * speed
	return out
}

// Tempo returns the beats a minute as a number in words, empty for none.
func (t Tags) Tempo() string {
	if t.PerMinute <= 0 {
		return ""
	}
	return strconv.FormatFloat(math.Round(10*t.PerMinute)/10, 'f', -1, 64)
}

// Comments returns the tags as Vorbis comments (Xiph.Org, Ogg Vorbis I format specification:
// comment field and header specification), which FLAC and Opus files carry: a name and a value each.
func (t Tags) Comments() [][2]string {
	var out [][2]string
	if t.Title != "" {
		out = append(out, [2]string{"TITLE", t.Title})
	}
	if tempo := t.Tempo(); tempo != "" {
		out = append(out, [2]string{"BPM", tempo})
	}
	return out
}
