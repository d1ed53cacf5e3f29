package wav

import (
	"encoding/binary"
	"math"
	"testing"

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
