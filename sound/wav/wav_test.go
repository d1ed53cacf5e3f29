package wav

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"lapwright/sound"
	"lapwright/sound/soundtest"
)

func TestHeader(t *testing.T) {
	for name, a := range soundtest.Recordings() {
		b := Write(a)
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
func TestSamples(t *testing.T) {
	a := soundtest.Sine(0.2, 441, 0.7, 0, 1)
	b := Write(a)
	for i, v := range a.Channels[0] {
		got := float64(int16(binary.LittleEndian.Uint16(b[44+2*i:])))
		if math.Abs(got-32767*float64(v)) > 1.5 {
			t.Fatalf("sample %d: %g, want %g", i, got, 32767*v)
		}
	}
}

// TestHeaderOf24Bits: more than 16 bits stand in an extensible header of 40 bytes with the
// number of valid bits, the places of the speakers (1 and 2 are front left and right, 4 the
// middle: mmreg.h) and the PCM format's GUID; title and tempo follow in an INFO list
// (Multimedia Programming Interface and Data Specifications 1.0), every part even.
func TestHeaderOf24Bits(t *testing.T) {
	le := binary.LittleEndian
	for _, c := range []struct {
		channels, samples int
		speakers          uint32
		title             string
	}{{1, 3, 4, ""}, {2, 3, 3, "Reed"}, {1, 4, 4, "Quays"}, {1, 1, 4, "Step"}} {
		var out bytes.Buffer
		w, err := NewWriter(&out, c.channels, c.samples, 24, sound.Tags{Title: c.title})
		if err != nil {
			t.Fatal(err)
		}
		block := 3 * c.channels
		x := make([][]float32, c.channels)
		for i := range x {
			x[i] = make([]float32, c.samples)
			x[i][0] = 0.5
		}
		if err == nil {
			err = w.Write(x...)
		}
		if err == nil {
			err = w.Close()
		}
		b := out.Bytes()
		size := c.samples * block
		if err != nil || int(le.Uint32(b[4:])) != len(b)-8 || len(b)%2 != 0 || le.Uint32(b[16:]) != 40 || le.Uint16(b[20:]) != 0xfffe ||
			int(le.Uint32(b[28:])) != 48000*block || int(le.Uint16(b[32:])) != block || le.Uint16(b[34:]) != 24 || le.Uint16(b[36:]) != 22 ||
			le.Uint16(b[38:]) != 24 || le.Uint32(b[40:]) != c.speakers || string(b[44:60]) != "\x01\x00\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71" ||
			string(b[60:64]) != "data" || int(le.Uint32(b[64:])) != size {
			t.Fatalf("%+v: %v: % x", c, err, b[:min(len(b), 80)])
		}
		if v := int32(uint32(b[68])<<8|uint32(b[69])<<16|uint32(b[70])<<24) >> 8; math.Abs(float64(v)-0.5*(1<<23)) > 2 {
			t.Errorf("%+v: a half is written as %d", c, v)
		}
		list := b[68+size+size%2:]
		if c.title == "" {
			if len(list) != 0 {
				t.Errorf("%+v: an empty list: %q", c, list)
			}
			continue
		}
		want := "INAM" + string(le.AppendUint32(nil, uint32(len(c.title)+1))) + c.title + "\x00"
		if len(want)%2 == 1 {
			want += "\x00"
		}
		want = "LIST" + string(le.AppendUint32(nil, uint32(4+len(want)))) + "INFO" + want
		if string(list) != want {
			t.Errorf("%+v: %q, want %q", c, list, want)
		}
	}
}

// TestRefusals: what a WAVE file can't hold, and a recording that isn't what was promised.
func TestRefusals(t *testing.T) {
	var out bytes.Buffer
	for _, c := range []struct {
		samples, bits int
		ok            bool
	}{{10, 8, false}, {10, 20, false}, {10, 16, true}, {10, 24, true}, {math.MaxInt32, 16, false}, {(math.MaxUint32 - 36) / 2, 16, true}, {(math.MaxUint32-36)/2 + 1, 16, false}} {
		if _, err := NewWriter(&out, 1, c.samples, c.bits, sound.Tags{}); err == nil != c.ok {
			t.Errorf("%d samples of %d bits: %v", c.samples, c.bits, err)
		}
	}
	w, err := NewWriter(&out, 2, 3, 16, sound.Tags{})
	if err != nil {
		t.Fatal(err)
	}
	if w.Write([]float32{0}) == nil || w.Write([]float32{0}, []float32{0}) != nil || w.Close() == nil || w.Write(make([]float32, 2), make([]float32, 2)) != nil || w.Close() != nil {
		t.Error("the number of channels or samples is not minded")
	}
}
