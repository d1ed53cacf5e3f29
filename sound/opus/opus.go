// Package opus writes recordings as Ogg Opus files (RFC 6716, RFC 7845, RFC
// 3533), small enough to stand inside a page. It only writes.
//
// Entry points: Write, WriteTagged, NewWriter.
package opus

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"

	"github.com/thesyncim/gopus"

	"lapwright/sound"
)

// frame is how many samples go into a packet: 20 ms.
const frame = 960

// Bits is the bit rate for each channel, in bits a second. At 56 kbit/s a
// channel plucked strings come through without audible loss (common practice).
const Bits = 56000

// Write returns a recording as an Ogg Opus file. It decodes to
// exactly as many samples as went in, none early and none late. It fails only
// for audio that no file could hold.
func Write(a *sound.Audio) ([]byte, error) { return WriteTagged(a, sound.Tags{}) }

// WriteTagged is Write with a title and a tempo.
func WriteTagged(a *sound.Audio, tags sound.Tags) ([]byte, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	w, err := NewWriter(&out, len(a.Channels), tags)
	if err != nil {
		return nil, err
	}
	if err := w.Write(a.Channels...); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// Writer writes a recording that comes in pieces.
type Writer struct {
	ogg      oggWriter
	enc      *gopus.Encoder
	channels int
	skip     int       // samples that the encoder is late by
	pcm      []float32 // of the frame in hand
	packets  [][]byte  // of the page in hand
	taken    int       // samples given, each channel
	coded    int       // samples in packets
}

// NewWriter begins a file of one or two channels. Title and tempo go into its comments.
func NewWriter(to io.Writer, channels int, tags sound.Tags) (*Writer, error) {
	enc, err := gopus.NewEncoder(gopus.EncoderConfig{SampleRate: sound.Rate, Channels: channels, Application: gopus.ApplicationAudio})
	if err != nil {
		return nil, fmt.Errorf("writing Opus: %w", err)
	}
	if err := enc.SetBitrate(Bits * channels); err != nil {
		return nil, fmt.Errorf("writing Opus: %w", err)
	}
	if err := enc.SetSignal(gopus.SignalMusic); err != nil {
		return nil, fmt.Errorf("writing Opus: %w", err)
	}
	w := &Writer{ogg: oggWriter{to: to}, enc: enc, channels: channels, skip: enc.Lookahead()}
	if err := w.ogg.page([][]byte{head(channels, w.skip)}, 0, oggFirst); err != nil {
		return nil, err
	}
	return w, w.ogg.page([][]byte{comments(tags)}, 0, 0)
}

// Write adds samples: a slice of one length for each channel.
func (w *Writer) Write(channels ...[]float32) error {
	if len(channels) != w.channels {
		return fmt.Errorf("%d channels for a file of %d", len(channels), w.channels)
	}
	for i := range channels[0] {
		for _, c := range channels {
			w.pcm = append(w.pcm, c[i])
		}
		w.taken++
		if err := w.full(); err != nil {
			return err
		}
	}
	return nil
}

// full codes the frame in hand when it is full. A page is written when another packet follows
// it, since the last one says that it is.
func (w *Writer) full() error {
	if len(w.pcm) < frame*w.channels {
		return nil
	}
	if len(w.packets) == oggPackets {
		if err := w.ogg.page(w.packets, uint64(w.coded), 0); err != nil {
			return err
		}
		w.packets = w.packets[:0]
	}
	packet := make([]byte, 1500)
	size, err := w.enc.Encode(w.pcm, packet)
	if err != nil {
		return fmt.Errorf("writing Opus: %w", err)
	}
	w.packets = append(w.packets, packet[:size])
	w.coded += frame
	w.pcm = w.pcm[:0]
	return nil
}

// Close ends the file.
func (w *Writer) Close() error {
	for w.coded < w.taken+w.skip {
		w.pcm = append(w.pcm, make([]float32, frame*w.channels-len(w.pcm))...)
		if err := w.full(); err != nil {
			return err
		}
	}
	// The last page says where the sound ends.
	return w.ogg.page(w.packets, uint64(w.taken+w.skip), oggLast)
}

// head is the identification header (RFC 7845, section 5.1).
func head(channels, skip int) []byte {
	h := append([]byte("OpusHead"), 1, byte(channels))
	h = binary.LittleEndian.AppendUint16(h, uint16(skip))
	h = binary.LittleEndian.AppendUint32(h, sound.Rate)
	h = binary.LittleEndian.AppendUint16(h, 0) // gain
	return append(h, 0)                        // mapping family: mono or stereo
}

// comments is the comment header (RFC 7845, section 5.2): who wrote it, and the tags.
func comments(tags sound.Tags) []byte {
	text := func(to []byte, s string) []byte {
		return append(binary.LittleEndian.AppendUint32(to, uint32(len(s))), s...)
	}
	list := tags.Comments()
	h := text([]byte("OpusTags"), "lapwright")
	h = binary.LittleEndian.AppendUint32(h, uint32(len(list)))
	for _, c := range list {
		h = text(h, c[0]+"="+c[1])
	}
	return h
}

// The flags of an Ogg page (RFC 3533, section 6).
const (
	oggFirst = 2
	oggLast  = 4
)

// oggPackets is how many packets go into a page: a page holds 255 lacing values
// and a packet, at most 1275 bytes long, needs up to six.
const oggPackets = 42

// oggSerial names the stream within its file. Files hold one, and are the same
// every time.
const oggSerial = 0x4c415057

// oggWriter lays packets into Ogg pages (RFC 3533).
type oggWriter struct {
	to   io.Writer
	out  []byte // the page in hand
	next uint32
}

// page writes one page of whole packets; granule is the sample at which it ends.
// There are at most oggPackets.
func (w *oggWriter) page(packets [][]byte, granule uint64, flags byte) error {
	w.out = append(w.out[:0], "OggS\x00"...)
	w.out = append(w.out, flags)
	w.out = binary.LittleEndian.AppendUint64(w.out, granule)
	w.out = binary.LittleEndian.AppendUint32(w.out, oggSerial)
	w.out = binary.LittleEndian.AppendUint32(w.out, w.next)
	w.next++
	sum := len(w.out)
	w.out = append(w.out, 0, 0, 0, 0)
	var lacing []byte
	for _, p := range packets {
		for size := len(p); ; size -= 255 {
			lacing = append(lacing, byte(min(size, 255)))
			if size < 255 {
				break
			}
		}
	}
	w.out = append(w.out, byte(len(lacing)))
	w.out = append(w.out, lacing...)
	for _, p := range packets {
		w.out = append(w.out, p...)
	}
	binary.LittleEndian.PutUint32(w.out[sum:], oggSum(w.out))
	_, err := w.to.Write(w.out)
	return err
}

// oggSum is the page checksum: CRC-32 of polynomial 0x04c11db7, no reflection,
// starting from 0 (RFC 3533, section 6).
func oggSum(b []byte) uint32 {
	var c uint32
	for _, v := range b {
		c = c<<8 ^ oggTable[byte(c>>24)^v]
	}
	return c
}

var oggTable = func() (t [256]uint32) {
	for i := range t {
		c := uint32(i) << 24
		for range 8 {
			if c&0x80000000 != 0 {
				c = c<<1 ^ 0x04c11db7
			} else {
				c <<= 1
			}
		}
		t[i] = c
	}
	return t
}()
