// Package opus writes recordings as Ogg Opus files (RFC 6716, RFC 7845, RFC
// 3533), small enough to stand inside a page. It only writes.
package opus

import (
	"encoding/binary"
	"fmt"

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
func Write(a *sound.Audio) ([]byte, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	channels, n := len(a.Channels), a.Len()
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
	skip := enc.Lookahead()
	w := &oggWriter{}
	w.page([][]byte{head(channels, skip)}, 0, oggFirst)
	w.page([][]byte{tags()}, 0, 0)
	pcm := make([]float32, frame*channels)
	var packets [][]byte
	var coded int
	frames := (n + skip + frame - 1) / frame
	for f := range frames {
		for i := range frame {
			for c, ch := range a.Channels {
				pcm[i*channels+c] = 0
				if at := f*frame + i; at < n {
					pcm[i*channels+c] = ch[at]
				}
			}
		}
		packet := make([]byte, 1500)
		size, err := enc.Encode(pcm, packet)
		if err != nil {
			return nil, fmt.Errorf("writing Opus: %w", err)
		}
		packets = append(packets, packet[:size])
		coded += frame
		// The last page says where the sound ends.
		switch {
		case f == frames-1:
			w.page(packets, uint64(n+skip), oggLast)
		case len(packets) == oggPackets:
			w.page(packets, uint64(coded), 0)
			packets = packets[:0]
		}
	}
	return w.out, nil
}

// head is the identification header (RFC 7845, section 5.1).
func head(channels, skip int) []byte {
	h := append([]byte("OpusHead"), 1, byte(channels))
	h = binary.LittleEndian.AppendUint16(h, uint16(skip))
	h = binary.LittleEndian.AppendUint32(h, sound.Rate)
	h = binary.LittleEndian.AppendUint16(h, 0) // gain
	return append(h, 0)                        // mapping family: mono or stereo
}

// tags is the comment header (RFC 7845, section 5.2): who wrote it, no more.
func tags() []byte {
	const vendor = "lapwright"
	h := binary.LittleEndian.AppendUint32([]byte("OpusTags"), uint32(len(vendor)))
	h = append(h, vendor...)
	return binary.LittleEndian.AppendUint32(h, 0)
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
	out  []byte
	next uint32
}

// page writes one page of whole packets; granule is the sample at which it ends.
// There are at most oggPackets.
func (w *oggWriter) page(packets [][]byte, granule uint64, flags byte) {
	start := len(w.out)
	w.out = append(w.out, "OggS\x00"...)
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
	binary.LittleEndian.PutUint32(w.out[sum:], oggSum(w.out[start:]))
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
