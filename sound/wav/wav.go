// Package wav writes recordings as RIFF WAVE files of 16 or 24 bits
// (Multimedia Programming Interface and Data Specifications 1.0, IBM and
// Microsoft, 1991; more than 16 bits as WAVE_FORMAT_EXTENSIBLE). It only writes.
//
// Entry points: Write, NewWriter.
package wav

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"lapwright/sound"
)

// Write returns a recording as a WAVE file of 16 bits. Values are rounded by sound.Dither;
// those outside −1 to 1 are clipped.
func Write(a *sound.Audio) []byte {
	var out bytes.Buffer
	w, err := NewWriter(&out, len(a.Channels), a.Len(), 16, sound.Tags{})
	if err == nil {
		err = w.Write(a.Channels...)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic(err) // memory takes all, and the number of samples is right
	}
	return out.Bytes()
}

// Writer writes a recording that comes in pieces.
type Writer struct {
	to       io.Writer
	channels int
	bits     int
	left     int // samples to come
	dither   sound.Dither
	info     []byte // the part that follows the samples
	buf      []byte
}

// guid follows a format's number in an extensible header (mmreg.h).
const guid = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"

// NewWriter begins a file of so many channels, samples in each and bits to the sample, 16 or 24. Title and
// tempo go into an INFO list after the samples.
func NewWriter(to io.Writer, channels, samples, bits int, tags sound.Tags) (*Writer, error) {
	if bits != 16 && bits != 24 {
		return nil, fmt.Errorf("WAVE files are written with 16 or 24 bits, not %d", bits)
	}
	w := &Writer{to: to, channels: channels, bits: bits, left: samples, info: info(tags)}
	block := channels * bits / 8
	head := 16
	if bits > 16 {
		head = 40
	}
	size := samples * block
	whole := 4 + 8 + head + 8 + size + size%2 + len(w.info)
	if int64(whole) > math.MaxUint32 {
		return nil, fmt.Errorf("a WAVE file holds no more than 4 GB")
	}
	le := binary.LittleEndian
	out := append([]byte(nil), "RIFF"...)
	out = le.AppendUint32(out, uint32(whole))
	out = append(out, "WAVEfmt "...)
	out = le.AppendUint32(out, uint32(head))
	format := uint16(1)
	if bits > 16 {
		format = 0xfffe
	}
	out = le.AppendUint16(out, format)
	out = le.AppendUint16(out, uint16(channels))
	out = le.AppendUint32(out, sound.Rate)
	out = le.AppendUint32(out, uint32(sound.Rate*block))
	out = le.AppendUint16(out, uint16(block))
	out = le.AppendUint16(out, uint16(bits))
	if bits > 16 {
		out = le.AppendUint16(out, 22)
		out = le.AppendUint16(out, uint16(bits))
		out = le.AppendUint32(out, uint32(1<<channels-1)<<(2*(channels%2))) // front left and right, or the middle
		out = le.AppendUint16(out, 1)
		out = append(out, guid...)
	}
	out = append(out, "data"...)
	out = le.AppendUint32(out, uint32(size))
	if size%2 == 1 {
		w.info = append([]byte{0}, w.info...)
	}
	_, err := to.Write(out)
	return w, err
}

// info is the list of what is known of a recording; nothing when nothing is.
func info(tags sound.Tags) []byte {
	var list []byte
	add := func(id, text string) {
		if text == "" {
			return
		}
		list = append(list, id...)
		list = binary.LittleEndian.AppendUint32(list, uint32(len(text)+1))
		list = append(append(list, text...), 0)
		if len(text)%2 == 0 {
			list = append(list, 0)
		}
	}
	add("INAM", tags.Title)
	if t := tags.Tempo(); t != "" {
		add("ICMT", "tempo "+t)
	}
	if list == nil {
		return nil
	}
	out := binary.LittleEndian.AppendUint32([]byte("LIST"), uint32(4+len(list)))
	return append(append(out, "INFO"...), list...)
}

// Write adds samples: a slice of one length for each channel.
func (w *Writer) Write(channels ...[]float32) error {
	if len(channels) != w.channels {
		return fmt.Errorf("%d channels for a file of %d", len(channels), w.channels)
	}
	w.buf = w.buf[:0]
	for i := range channels[0] {
		for _, c := range channels {
			v := w.dither.Step(c[i], w.bits)
			w.buf = append(w.buf, byte(v), byte(v>>8))
			if w.bits == 24 {
				w.buf = append(w.buf, byte(v>>16))
			}
		}
	}
	w.left -= len(channels[0])
	_, err := w.to.Write(w.buf)
	return err
}

// Close ends the file, which must hold as many samples as were promised.
func (w *Writer) Close() error {
	if w.left != 0 {
		return fmt.Errorf("the recording is %d samples short of what was promised", w.left)
	}
	_, err := w.to.Write(w.info)
	return err
}
