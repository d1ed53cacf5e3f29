package recording

import (
	"encoding/binary"
	"fmt"
	"math"
)

// The formats of samples in WAVE files (mmreg.h; an extensible header names one
// of them in the first two bytes of its sub-format, Microsoft, Multiple Channel
// Audio Data and WAVE Files, 2001).
const (
	wavePCM        = 1
	waveFloat      = 3
	waveExtensible = 0xfffe
)

// waveForm is what a fmt chunk says.
type waveForm struct {
	format, channels, bits int
	rate                   float64
	block                  int
}

// readWave reads a RIFF WAVE file. Chunks that aren't needed are passed over. A
// data chunk said to be longer than the file is an error at its place; one of
// length 0 or 0xffffffff, as recorders that stream leave it, reaches to the end.
func readWave(b []byte) (*Recording, error) {
	if len(b) < 12 {
		return nil, faultAt(int64(len(b)), "", "the file ends in the middle of its RIFF header")
	}
	if string(b[8:12]) != "WAVE" {
		return nil, faultAt(8, "", fmt.Sprintf("%q is another kind of RIFF file than \"WAVE\"", b[8:12]))
	}
	var form *waveForm
	for pos := 12; ; {
		if pos == len(b) {
			return nil, faultAt(int64(pos), "", "the file ends without a data chunk")
		}
		if pos+8 > len(b) {
			return nil, faultAt(int64(pos), "", "the file ends in the middle of a chunk's header")
		}
		id, size := string(b[pos:pos+4]), int64(binary.LittleEndian.Uint32(b[pos+4:]))
		body := pos + 8
		left := int64(len(b) - body)
		if id == "data" {
			if form == nil {
				return nil, faultAt(int64(pos), "chunk data", "it comes before the fmt chunk that says how to read it")
			}
			if size == 0xffffffff || size == 0 && left > 0 && string(b[:4]) == "RIFF" && binary.LittleEndian.Uint32(b[4:]) == 0 {
				size = left
			}
			if size > left {
				return nil, faultAt(int64(len(b)), "chunk data", fmt.Sprintf("the file ends after %d of %d bytes of sound", left, size))
			}
			return form.samples(b[body:body+int(size)], int64(body))
		}
		if size > left {
			return nil, faultAt(int64(pos+4), fmt.Sprintf("chunk %q", id), fmt.Sprintf("it says it has %d bytes, and the file has %d more", size, left))
		}
		if id == "fmt " {
			f, err := parseForm(b[body:body+int(size)], int64(body))
			if err != nil {
				return nil, err
			}
			form = f
		}
		pos = body + int(size) + int(size&1)
		if pos > len(b) {
			pos = len(b)
		}
	}
}

func parseForm(b []byte, pos int64) (*waveForm, error) {
	const part = "chunk fmt"
	if len(b) < 16 {
		return nil, faultAt(pos, part, fmt.Sprintf("%d bytes are too few to say what the samples are", len(b)))
	}
	f := &waveForm{
		format: int(binary.LittleEndian.Uint16(b)), channels: int(binary.LittleEndian.Uint16(b[2:])),
		rate: float64(binary.LittleEndian.Uint32(b[4:])), block: int(binary.LittleEndian.Uint16(b[12:])), bits: int(binary.LittleEndian.Uint16(b[14:])),
	}
	if f.format == waveExtensible {
		if len(b) < 40 {
			return nil, faultAt(pos+16, part, "the extensible header is cut short")
		}
		f.format = int(binary.LittleEndian.Uint16(b[24:]))
	}
	switch {
	case f.channels < 1 || f.channels > mostChannels:
		return nil, faultAt(pos+2, part, fmt.Sprintf("\"%d\" channels are not from 1 to %d", f.channels, mostChannels))
	case f.format == wavePCM && (f.bits == 8 || f.bits == 16 || f.bits == 24 || f.bits == 32):
	case f.format == waveFloat && (f.bits == 32 || f.bits == 64):
	case f.format == wavePCM || f.format == waveFloat:
		return nil, faultAt(pos+14, part, fmt.Sprintf("samples of \"%d\" bits are not read", f.bits))
	default:
		return nil, faultAt(pos, part, fmt.Sprintf("samples in format \"%d\" are not read: only whole numbers and floating point", f.format))
	}
	if f.block != f.channels*f.bits/8 {
		return nil, faultAt(pos+12, part, fmt.Sprintf("\"%d\" bytes a moment do not agree with %d channels of %d bits", f.block, f.channels, f.bits))
	}
	return f, nil
}

// samples reads the sound itself. A last moment that is incomplete is an error.
func (f *waveForm) samples(b []byte, pos int64) (*Recording, error) {
	if extra := len(b) % f.block; extra != 0 {
		return nil, faultAt(pos+int64(len(b)-extra), "chunk data", "the sound ends in the middle of a sample")
	}
	n := len(b) / f.block
	if n*f.channels > mostSamples {
		return nil, faultAt(pos, "chunk data", fmt.Sprintf("\"%d\" samples are more than the %d that are read", n*f.channels, mostSamples))
	}
	if err := tooLong(int64(n), f.rate); err != nil {
		return nil, err
	}
	r := open("WAVE", f.rate, f.channels, n)
	width := f.bits / 8
	for i := range n {
		for c := range f.channels {
			s := b[i*f.block+c*width:]
			v := f.sample(s)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, faultAt(pos+int64(i*f.block+c*width), "chunk data", "a sample is no number")
			}
			r.Channels[c] = append(r.Channels[c], float32(v))
		}
	}
	return r, nil
}

// sample reads one sample. Those of 8 bits have their middle at 128.
func (f *waveForm) sample(b []byte) float64 {
	switch {
	case f.format == waveFloat && f.bits == 32:
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	case f.format == waveFloat:
		return max(-math.MaxFloat32, min(math.MaxFloat32, math.Float64frombits(binary.LittleEndian.Uint64(b))))
	case f.bits == 8:
		return (float64(b[0]) - 128) / 128
	case f.bits == 16:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case f.bits == 24:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
	}
	return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}
