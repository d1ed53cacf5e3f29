package recording

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/sound"
	"lapwright/sound/flac"
	"lapwright/sound/opus"
	"lapwright/sound/soundtest"
	"lapwright/sound/wav"
)

// wave makes a WAVE file by the format's description, apart from sound/wav.
func wave(format, bits, channels int, rate int, extensible bool, samples ...float64) []byte {
	var data []byte
	for _, v := range samples {
		switch {
		case format == 3 && bits == 32:
			data = binary.LittleEndian.AppendUint32(data, math.Float32bits(float32(v)))
		case format == 3:
			data = binary.LittleEndian.AppendUint64(data, math.Float64bits(v))
		case bits == 8:
			data = append(data, byte(128+int(math.Round(v*127))))
		case bits == 16:
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(v*32767))))
		case bits == 24:
			n := int32(math.Round(v * (1<<23 - 1)))
			data = append(data, byte(n), byte(n>>8), byte(n>>16))
		default:
			data = binary.LittleEndian.AppendUint32(data, uint32(int32(math.Round(v*(1<<31-1)))))
		}
	}
	var form []byte
	tag := format
	if extensible {
		tag = 0xfffe
	}
	form = binary.LittleEndian.AppendUint16(form, uint16(tag))
	form = binary.LittleEndian.AppendUint16(form, uint16(channels))
	form = binary.LittleEndian.AppendUint32(form, uint32(rate))
	form = binary.LittleEndian.AppendUint32(form, uint32(rate*channels*bits/8))
	form = binary.LittleEndian.AppendUint16(form, uint16(channels*bits/8))
	form = binary.LittleEndian.AppendUint16(form, uint16(bits))
	if extensible {
		form = binary.LittleEndian.AppendUint16(form, 22)
		form = binary.LittleEndian.AppendUint16(form, uint16(bits))
		form = binary.LittleEndian.AppendUint32(form, 3)
		form = binary.LittleEndian.AppendUint16(form, uint16(format))
		form = append(form, 0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71)
	}
	chunk := func(id string, b []byte) []byte {
		out := append([]byte(id), binary.LittleEndian.AppendUint32(nil, uint32(len(b)))...)
		out = append(out, b...)
		if len(b)%2 == 1 {
			out = append(out, 0)
		}
		return out
	}
	body := append([]byte("WAVE"), chunk("LIST", []byte("odd"))...)
	body = append(body, chunk("fmt ", form)...)
	body = append(body, chunk("data", data)...)
	return append(append([]byte("RIFF"), binary.LittleEndian.AppendUint32(nil, uint32(len(body)))...), body...)
}

func TestWaveOfEveryWidth(t *testing.T) {
	samples := []float64{0, 0.5, -0.5, 0.99, -0.99, 0.25}
	for _, c := range []struct {
		format, bits int
		within       float64
	}{{1, 8, 0.01}, {1, 16, 1e-4}, {1, 24, 1e-6}, {1, 32, 1e-7}, {3, 32, 1e-7}, {3, 64, 1e-7}} {
		for _, channels := range []int{1, 2} {
			for _, extensible := range []bool{false, true} {
				r, err := Read(wave(c.format, c.bits, channels, 44100, extensible, samples...), "x.wav")
				if err != nil {
					t.Errorf("%+v, %d channels: %v", c, channels, err)
					continue
				}
				if r.Rate != 44100 || len(r.Channels) != channels || len(r.Channels[0])*channels != len(samples) {
					t.Errorf("%+v: rate %g, %d channels of %d", c, r.Rate, len(r.Channels), len(r.Channels[0]))
				}
				for i, v := range samples {
					if got := float64(r.Channels[i%channels][i/channels]); math.Abs(got-v) > c.within {
						t.Errorf("%+v, sample %d: %g, want %g", c, i, got, v)
					}
				}
			}
		}
	}
}

func TestWhatIsWrittenIsRead(t *testing.T) {
	tone := soundtest.Sine(0.5, 440, 0.5, 1, 2)
	fl, err := flac.Write(tone)
	if err != nil {
		t.Fatal(err)
	}
	op, err := opus.Write(tone)
	if err != nil {
		t.Fatal(err)
	}
	for kind, c := range map[string]struct {
		b      []byte
		within float64
	}{"WAVE": {wav.Write(tone), 1e-4}, "FLAC": {fl, 1e-4}, "Opus": {op, 0.05}} {
		r, err := Read(c.b, "x")
		if err != nil {
			t.Fatalf("%s: %v", kind, err)
		}
		if r.Kind != kind || r.Rate != sound.Rate || len(r.Channels) != 2 || len(r.Channels[1]) != tone.Len() {
			t.Fatalf("%s: read as %s, rate %g, %d channels of %d samples, want %d", kind, r.Kind, r.Rate, len(r.Channels), len(r.Channels[1]), tone.Len())
		}
		worst := 0.0
		for i := 2000; i < tone.Len()-2000; i++ {
			worst = max(worst, math.Abs(float64(r.Channels[1][i]-tone.Channels[1][i])))
		}
		if worst > c.within {
			t.Errorf("%s: samples differ by up to %g, want %g", kind, worst, c.within)
		}
	}
}

func TestSpoiltFilesSayWhere(t *testing.T) {
	good := wave(1, 16, 1, 44100, false, 0.1, 0.2, 0.3)
	longer := append([]byte(nil), good...)
	binary.LittleEndian.PutUint32(longer[len(good)-10:], 1000)
	tone := soundtest.Sine(0.5, 440, 0.5, 1, 1)
	fl, _ := flac.Write(tone)
	op, _ := opus.Write(tone)
	for _, c := range []struct {
		name string
		b    []byte
		want string
	}{
		{"nothing", nil, "x: byte 0: the file is empty"},
		{"text", []byte("hello there"), `x: byte 0: "hell" begins no recording that is known: WAVE, FLAC, MP3 or Ogg Opus`},
		{"a header cut short", good[:9], "x: byte 9: the file ends in the middle of its RIFF header"},
		{"no data", good[:48], "x: byte 48: the file ends without a data chunk"},
		{"half the data", good[:len(good)-2], "x: chunk data, byte 60: the file ends after 4 of 6 bytes of sound"},
		{"a lying length", longer, "x: chunk data, byte 62: the file ends after 6 of 1000 bytes of sound"},
		{"no samples", wave(1, 16, 1, 44100, false), "x: byte 56: the recording holds no sound: 0 samples"},
		{"a rate of nothing", wave(1, 16, 1, 0, false, 0.5), "x: byte 0: a rate of 0 samples a second is not from 8000 to 384000"},
		{"12 bits", wave(1, 12, 1, 44100, false, 0.5), `x: chunk fmt, byte 46: samples of "12" bits are not read`},
		{"another coding", wave(2, 16, 1, 44100, false, 0.5), `x: chunk fmt, byte 32: samples in format "2" are not read: only whole numbers and floating point`},
		{"not a number", wave(3, 32, 1, 44100, false, 0.5, math.NaN()), "x: chunk data, byte 60: a sample is no number"},
		{"FLAC cut short", fl[:len(fl)/2], "x: byte "},
		{"FLAC of nothing", fl[:42], "x: byte 42: the file ends after 0 of 24000 samples"},
		{"FLAC that says it lasts two hours", flacOf(fl, 2*3600*48000), "x: byte 0: the recording is 120 minutes long, and 30 are the most that are heard: cut it"},
		{"FLAC that says it is longer than it is", flacOf(fl, 24001), "x: byte "},
		{"Opus cut short", op[:len(op)/2], "x: byte "},
		{"an MP3 of nothing", []byte{0xff, 0xfb, 0x90, 0}, "x: byte "},
		{"an MP3 frame cut short", mp3Frames(1)[:300], "x: byte "},
	} {
		r, err := Read(c.b, "x")
		var f *fault.Fault
		if !errors.As(err, &f) || r != nil {
			t.Errorf("%s: read as %v, error %v", c.name, r != nil, err)
			continue
		}
		if got := err.Error(); got != c.want && !(c.want == "x: byte " && strings.HasPrefix(got, c.want)) {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// flacOf is a FLAC stream whose header says that it has so many samples: 36 bits, the last
// of which end 26 bytes into the file (RFC 9639, section 8.2).
func flacOf(b []byte, samples uint64) []byte {
	out := bytes.Clone(b)
	out[21] = out[21]&0xf0 | byte(samples>>32)
	binary.BigEndian.PutUint32(out[22:], uint32(samples))
	return out
}

// TestTooLongIsRefused: what is longer than is listened to is refused and not cut in silence; a
// minute less is read.
func TestTooLongIsRefused(t *testing.T) {
	const rate = 8000
	for _, c := range []struct {
		minutes int
		want    string
	}{{29, ""}, {31, "x: byte 0: the recording is 31 minutes long, and 30 are the most that are heard: cut it"},
		{120, "x: byte 0: the recording is 120 minutes long, and 30 are the most that are heard: cut it"}} {
		b := wave(1, 8, 1, rate, false, 0)
		at := bytes.Index(b, []byte("data"))
		b = append(b[:at+4], 0xff, 0xff, 0xff, 0xff) // to the end of the file
		b = append(b, bytes.Repeat([]byte{0x80}, c.minutes*60*rate)...)
		_, err := Read(b, "x")
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%d minutes:\n got %q\nwant %q", c.minutes, got, c.want)
		}
	}
}

func TestASilentSideIsNotMixedIn(t *testing.T) {
	r := &Recording{Rate: 48000, Channels: [][]float32{make([]float32, 4800), make([]float32, 4800)}}
	for i := range r.Channels[1] {
		r.Channels[1][i] = float32(math.Sin(float64(i) / 10))
	}
	take, err := r.Take()
	if err != nil {
		t.Fatal(err)
	}
	if got := take.Level().Peak; math.Abs(got) > 0.01 {
		t.Errorf("the peak is %.2f dB, want 0: the silent side halves it", got)
	}
}

// mp3Frames are silent MP3 frames: MPEG-1 layer III, 128 kbit/s, 44.1 kHz, stereo, each
// 144·128000/44100 = 417 bytes long (ISO/IEC 11172-3, 2.4.2.3 and 2.4.3.1).
func mp3Frames(n int) []byte {
	frame := make([]byte, 417)
	copy(frame, []byte{0xff, 0xfb, 0x90, 0x00})
	return bytes.Repeat(frame, n)
}

// Recordings cut off anywhere are an error with a place in them, and never a shorter recording; an
// MP3 stream, which nowhere says how long it is, gives what is whole of it.
func TestCutAnywhere(t *testing.T) {
	tone := soundtest.Sine(4, 440, 0.5, 1, 1)
	fl, err := flac.Write(tone)
	if err != nil {
		t.Fatal(err)
	}
	op, err := opus.Write(tone)
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"WAVE": wav.Write(tone), "FLAC": fl, "Opus": op, "MP3": mp3Frames(20)} {
		whole, err := Read(b, "x")
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var cuts []int
		for i := range 60 {
			cuts = append(cuts, 1+i*(len(b)-2)/59)
		}
		for i := range b { // between pages
			if i > 0 && bytes.HasPrefix(b[i:], []byte("OggS")) {
				cuts = append(cuts, i)
			}
		}
		for _, cut := range cuts {
			r, err := Read(b[:cut], "x")
			var f *fault.Fault
			switch {
			case err == nil && name == "MP3" && len(r.Channels[0]) < len(whole.Channels[0]):
			case err == nil:
				t.Errorf("%s cut off after %d of %d bytes is read: %d samples of %d", name, cut, len(b), len(r.Channels[0]), len(whole.Channels[0]))
			case !errors.As(err, &f) || r != nil || f.Offset > int64(cut):
				t.Errorf("%s cut off after %d of %d bytes: %v", name, cut, len(b), err)
			}
		}
	}
}

// fuzzed reads what begins as its kind does, and looks that errors have places.
func fuzzed(f *testing.F, head string, seeds ...[]byte) {
	for _, b := range seeds {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		b = append([]byte(head), b[min(len(head), len(b)):]...)
		r, err := Read(b, "x")
		var fa *fault.Fault
		if err != nil && (r != nil || !errors.As(err, &fa) || fa.Offset < 0 || fa.Offset > int64(len(b))) {
			t.Fatalf("recording %v with error %v", r != nil, err)
		}
		if err == nil && (len(r.Channels) == 0 || len(r.Channels[0]) == 0) {
			t.Fatal("no samples and no error")
		}
	})
}

func FuzzWave(f *testing.F) {
	tone := soundtest.Sine(0.05, 440, 0.5, 1, 1)
	fuzzed(f, "RIFF", wav.Write(tone), wave(3, 64, 2, 96000, true, 0.1, 0.2), wave(1, 24, 1, 44100, false, 0.1))
}

func FuzzFlac(f *testing.F) {
	b, err := flac.Write(soundtest.Sine(0.05, 440, 0.5, 1, 1))
	if err != nil {
		f.Fatal(err)
	}
	fuzzed(f, "fLaC", b)
}

func FuzzOpus(f *testing.F) {
	b, err := opus.Write(soundtest.Sine(0.05, 440, 0.5, 1, 1))
	if err != nil {
		f.Fatal(err)
	}
	fuzzed(f, "OggS", b)
}

func FuzzMP3(f *testing.F) {
	fuzzed(f, "\xff", mp3Frames(3), []byte{0xff, 0xfb, 0x90, 0, 1, 2, 3})
}

// FuzzRead reads anything.
func FuzzRead(f *testing.F) {
	fuzzed(f, "", []byte("ID3"), mp3Frames(1), wave(1, 8, 1, 8000, false, 0.1))
}
