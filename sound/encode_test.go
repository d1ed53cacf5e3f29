package sound

import (
	"bytes"
	"crypto/md5"
	"encoding/binary"
	"io"
	"math"
	"testing"

	"github.com/mewkiz/flac"
)

// tones makes recordings that try the encoders: silence, a loud low tone,
// noise, a length that is no whole number of blocks, one sample, none.
func tones() map[string]*Audio {
	r := noise(9)
	hiss := &Audio{Channels: [][]float32{make([]float32, 5000), make([]float32, 5000)}}
	for _, c := range hiss.Channels {
		for i := range c {
			c[i] = float32(1.2 * r.next()) // some of it out of range
		}
	}
	return map[string]*Audio{
		"silence":    {Channels: [][]float32{make([]float32, 10000)}},
		"low tone":   sine(1.01, 70, 0.9, 0, 2),
		"high tone":  sine(0.3, 9000, 0.3, 1, 1),
		"hiss":       hiss,
		"one sample": {Channels: [][]float32{{0.5}, {-0.5}}},
		"nothing":    {Channels: [][]float32{{}}},
	}
}

func TestWAVHeader(t *testing.T) {
	for name, a := range tones() {
		b := WAV(a)
		le := binary.LittleEndian
		data := len(b) - 44
		if string(b[:4]) != "RIFF" || string(b[8:16]) != "WAVEfmt " || string(b[36:40]) != "data" ||
			int(le.Uint32(b[4:])) != len(b)-8 || int(le.Uint32(b[40:])) != data ||
			le.Uint16(b[20:]) != 1 || int(le.Uint16(b[22:])) != len(a.Channels) || le.Uint32(b[24:]) != 48000 ||
			int(le.Uint32(b[28:])) != 48000*2*len(a.Channels) || int(le.Uint16(b[32:])) != 2*len(a.Channels) || le.Uint16(b[34:]) != 16 {
			t.Errorf("%s: the header is wrong: % x", name, b[:44])
		}
		if data != 2*len(a.Channels)*a.Len() {
			t.Errorf("%s: %d bytes of samples, want %d", name, data, 2*len(a.Channels)*a.Len())
		}
	}
}

// Samples are within a step and a half of what they were: half a step of
// rounding and one of dither.
func TestWAVSamples(t *testing.T) {
	a := sine(0.2, 441, 0.7, 0, 1)
	b := WAV(a)
	for i, v := range a.Channels[0] {
		got := float64(int16(binary.LittleEndian.Uint16(b[44+2*i:])))
		if math.Abs(got-32767*float64(v)) > 1.5 {
			t.Fatalf("sample %d: %g, want %g", i, got, 32767*v)
		}
	}
}

// FLAC holds the very samples of WAV, and its own checksum of them is right.
func TestFLACRoundTrip(t *testing.T) {
	for name, a := range tones() {
		b, err := FLAC(a)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		s, err := flac.New(bytes.NewReader(b))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var pcm []byte
		for {
			f, err := s.ParseNext()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for i := range f.Subframes[0].Samples {
				for _, sub := range f.Subframes {
					pcm = binary.LittleEndian.AppendUint16(pcm, uint16(sub.Samples[i]))
				}
			}
		}
		if want := WAV(a)[44:]; !bytes.Equal(pcm, want) {
			t.Errorf("%s: the samples differ from those of WAV", name)
		}
		if md5.Sum(pcm) != s.Info.MD5sum || s.Info.NSamples != uint64(a.Len()) {
			t.Errorf("%s: checksum or length in the head is wrong", name)
		}
	}
}

// FLAC of a plucked string is well under half the size of WAV.
func TestFLACIsSmall(t *testing.T) {
	tb := makeTab(t, builtin(t, "lap6-c6"), 90, note{str: 2, fret: 5, len: 4})
	a, err := Render(tb, Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := FLAC(a)
	if err != nil {
		t.Fatal(err)
	}
	if size := len(WAV(a)); 2*len(b) > size {
		t.Errorf("%d bytes of FLAC for %d of WAV", len(b), size)
	}
}

// What no file could hold is refused by both encoders.
func TestEncodersRefuse(t *testing.T) {
	for name, a := range map[string]*Audio{
		"no channel":       {},
		"three channels":   {Channels: [][]float32{{0}, {0}, {0}}},
		"unequal channels": {Channels: [][]float32{{0}, {0, 0}}},
		"not a number":     {Channels: [][]float32{{float32(math.NaN())}}},
	} {
		if b, err := FLAC(a); err == nil || b != nil {
			t.Errorf("FLAC: %s: no error", name)
		}
		if b, err := Opus(a); err == nil || b != nil {
			t.Errorf("Opus: %s: no error", name)
		}
	}
}

// Every page of an Ogg file carries the checksum of its bytes; the first says
// how many samples to skip and the last where the sound ends.
func TestOpusPages(t *testing.T) {
	for name, a := range tones() {
		b, err := Opus(a)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		skip := int(binary.LittleEndian.Uint16(b[28+10:]))
		pages, last := 0, uint64(0)
		for len(b) > 0 {
			if string(b[:4]) != "OggS" {
				t.Fatalf("%s: page %d does not begin with OggS", name, pages)
			}
			size := 27 + int(b[26])
			for _, l := range b[27 : 27+int(b[26])] {
				size += int(l)
			}
			page := append([]byte(nil), b[:size]...)
			sum := binary.LittleEndian.Uint32(page[22:])
			clear(page[22:26])
			if oggSum(page) != sum {
				t.Errorf("%s: page %d has a wrong checksum", name, pages)
			}
			if (b[5]&oggFirst != 0) != (pages == 0) || (b[5]&oggLast != 0) != (size == len(b)) {
				t.Errorf("%s: page %d has flags %d", name, pages, b[5])
			}
			last = binary.LittleEndian.Uint64(b[6:])
			b = b[size:]
			pages++
		}
		if int(last) != a.Len()+skip {
			t.Errorf("%s: ends at %d, want %d + %d", name, last, a.Len(), skip)
		}
	}
}
