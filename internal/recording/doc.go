// Package recording reads recordings: WAVE, FLAC, MP3 and Ogg Opus, told apart by
// their first bytes whatever the file is called. It gives samples between −1 and
// 1 at the file's own rate and judges nothing.
//
// Where a file ends early or says what is not so, the error names the byte.
package recording

import (
	"bytes"
	"fmt"

	"lapwright/fault"
	"lapwright/listen"
	"lapwright/sound/filter"
)

// Recording is what a file holds.
type Recording struct {
	Kind     string  // "WAVE", "FLAC", "MP3" or "Opus"
	Rate     float64 // samples a second
	Channels [][]float32
}

// mostSamples bounds what is read, in samples of all channels: half an hour of
// stereo at 96 kHz.
const mostSamples = 2 * 96000 * 1800

// mostChannels is more than any recorder of a lesson has.
const mostChannels = 8

// Read reads the bytes of a file; name is for errors.
func Read(b []byte, name string) (*Recording, error) {
	var r *Recording
	var err error
	switch {
	case len(b) == 0:
		err = faultAt(0, "", "the file is empty")
	case bytes.HasPrefix(b, []byte("RIFF")), bytes.HasPrefix(b, []byte("RF64")):
		r, err = readWave(b)
	case bytes.HasPrefix(b, []byte("fLaC")):
		r, err = readFlac(b)
	case bytes.HasPrefix(b, []byte("OggS")):
		r, err = readOpus(b)
	case bytes.HasPrefix(b, []byte("ID3")), len(b) > 1 && b[0] == 0xff && b[1]&0xe0 == 0xe0:
		r, err = readMP3(b)
	default:
		err = faultAt(0, "", fmt.Sprintf("%q begins no recording that is known: WAVE, FLAC, MP3 or Ogg Opus", b[:min(4, len(b))]))
	}
	if err == nil && !(r.Rate >= listen.LowestRate && r.Rate <= listen.HighestRate) {
		err = faultAt(0, "", fmt.Sprintf("a rate of %g samples a second is not from %d to %d", r.Rate, listen.LowestRate, listen.HighestRate))
	}
	if err == nil {
		err = tooLong(int64(len(r.Channels[0])), r.Rate)
	}
	if err == nil && len(r.Channels[0]) == 0 {
		err = faultAt(int64(len(b)), "", "the recording holds no sound: 0 samples")
	}
	if err != nil {
		f := err.(*fault.Fault)
		f.File = name
		return nil, f
	}
	return r, nil
}

// tooLong refuses a recording that is longer than is listened to (listen.MostSeconds); an untyped
// nil otherwise. A rate that is none is for Read to refuse.
func tooLong(samples int64, rate float64) error {
	if rate < listen.LowestRate {
		return nil
	}
	if seconds := float64(samples) / rate; seconds > listen.MostSeconds {
		return faultAt(0, "", fmt.Sprintf("the recording is %.0f minutes long, and %d are the most that are heard: cut it", seconds/60, listen.MostSeconds/60))
	}
	return nil
}

// faultAt makes an error at a byte.
func faultAt(offset int64, part, msg string) error {
	return &fault.Fault{Binary: true, Offset: offset, Part: part, Msg: msg}
}

// Mono returns the mean of the channels.
func (r *Recording) Mono() []float32 {
	if len(r.Channels) == 1 {
		return r.Channels[0]
	}
	out := make([]float32, len(r.Channels[0]))
	for i := range out {
		sum := float32(0)
		for _, c := range r.Channels {
			sum += c[i]
		}
		out[i] = sum / float32(len(r.Channels))
	}
	return out
}

// Take lets the recording be listened to, as One has it.
func (r *Recording) Take() (*listen.Take, error) { return listen.NewTake(r.One(), r.Rate) }

// At returns the recording on one channel, as One has it, at another rate.
func (r *Recording) At(rate float64) []float32 {
	if rate == r.Rate {
		return r.One()
	}
	return filter.Resample(r.One(), rate/r.Rate)
}

// One returns the mean of the channels. A channel that is far louder than the rest
// stands alone: the other holds noise.
func (r *Recording) One() []float32 {
	best, loud, second := 0, 0.0, 0.0
	for c, ch := range r.Channels {
		sum := 0.0
		for _, v := range ch {
			sum += float64(v) * float64(v)
		}
		if sum > loud {
			best, loud, second = c, sum, loud
		} else {
			second = max(second, sum)
		}
	}
	if loud > 1000*second {
		return r.Channels[best]
	}
	return r.Mono()
}

// open makes room for so many channels of n samples.
func open(kind string, rate float64, channels, n int) *Recording {
	r := &Recording{Kind: kind, Rate: rate}
	for range channels {
		r.Channels = append(r.Channels, make([]float32, 0, n))
	}
	return r
}

// Doubts says what makes a recording worse to listen to: clipped, too quiet, with hum from the mains.
func Doubts(t *listen.Take) []string {
	var out []string
	v := t.Level()
	if v.Clipped > 0 {
		out = append(out, fmt.Sprintf("%d samples are cut off flat at the loudest; record at a lower level", v.Clipped))
	}
	if v.Loud < -40 && v.Loud > -60 {
		out = append(out, fmt.Sprintf("the take is quiet, %.0f dB of full scale at its loudest; go nearer to the microphone", v.Loud))
	}
	if v.HumHz > 0 && v.Hum > -60 {
		out = append(out, fmt.Sprintf("mains hum of %.0f Hz at %.0f dB of full scale", v.HumHz, v.Hum))
	}
	return out
}
