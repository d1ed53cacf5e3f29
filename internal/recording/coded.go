package recording

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/hajimehoshi/go-mp3"
	"github.com/mewkiz/flac"
	"github.com/thesyncim/gopus"
	"github.com/thesyncim/gopus/container/ogg"
)

// guarded runs a library's reader. A library that panics on hostile bytes has
// met a fault in the file, and is told of as that.
func guarded(kind string, from *bytes.Reader, read func() (*Recording, error)) (r *Recording, err error) {
	defer func() {
		if p := recover(); p != nil {
			r, err = nil, faultAt(from.Size()-int64(from.Len()), "", fmt.Sprintf("the %s stream can't be read on from about here", kind))
		}
	}()
	return read()
}

// where returns how far a reader has come.
func where(from *bytes.Reader) int64 { return from.Size() - int64(from.Len()) }

func readFlac(b []byte) (*Recording, error) {
	from := bytes.NewReader(b)
	return guarded("FLAC", from, func() (*Recording, error) {
		s, err := flac.New(from)
		if err != nil {
			return nil, faultAt(where(from), "", "the FLAC header can't be read: "+cause(err))
		}
		channels, bits := int(s.Info.NChannels), int(s.Info.BitsPerSample)
		if channels < 1 || channels > mostChannels || bits < 4 || bits > 32 {
			return nil, faultAt(where(from), "stream info", fmt.Sprintf("\"%d\" channels of \"%d\" bits are not read", channels, bits))
		}
		if s.Info.NSamples*uint64(channels) > mostSamples {
			return nil, faultAt(where(from), "stream info", fmt.Sprintf("\"%d\" samples are more than the %d that are read", s.Info.NSamples, mostSamples/channels))
		}
		if err := tooLong(int64(min(s.Info.NSamples, 1<<62)), float64(s.Info.SampleRate)); err != nil {
			return nil, err
		}
		r := open("FLAC", float64(s.Info.SampleRate), channels, min(int(s.Info.NSamples), len(b)*8))
		scale := 1 / float32(int64(1)<<(bits-1))
		for {
			f, err := s.ParseNext()
			if errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
				break
			}
			if err != nil {
				return nil, faultAt(where(from), "", "a FLAC frame can't be read: "+cause(err))
			}
			if len(f.Subframes) != channels {
				return nil, faultAt(where(from), "", fmt.Sprintf("a FLAC frame has %d channels of %d", len(f.Subframes), channels))
			}
			for c, sub := range f.Subframes {
				for _, v := range sub.Samples {
					r.Channels[c] = append(r.Channels[c], float32(v)*scale)
				}
			}
			if len(r.Channels[0])*channels > mostSamples {
				return nil, faultAt(where(from), "", "the FLAC stream is longer than what is read")
			}
			if n := s.Info.NSamples; n > 0 && uint64(len(r.Channels[0])) > n {
				return nil, faultAt(where(from), "", fmt.Sprintf("the FLAC stream goes on after the %d samples that it says it has", n))
			}
		}
		if n := s.Info.NSamples; n > 0 && uint64(len(r.Channels[0])) < n {
			return nil, faultAt(int64(len(b)), "", fmt.Sprintf("the file ends after %d of %d samples", len(r.Channels[0]), n))
		}
		return r, nil
	})
}

// decoderDelay is how many samples an MP3 decoder puts out before the encoder's
// first: 528 of the filter bank and one more (the LAME tag's convention).
const decoderDelay = 529

func readMP3(b []byte) (*Recording, error) {
	from := bytes.NewReader(b)
	return guarded("MP3", from, func() (*Recording, error) {
		d, err := mp3.NewDecoder(from)
		if err != nil {
			return nil, faultAt(where(from), "", "the MP3 header can't be read: "+cause(err))
		}
		r := open("MP3", float64(d.SampleRate()), 2, len(b)*4)
		buf := make([]byte, 1<<14)
		held := 0
		for {
			n, err := d.Read(buf[held:])
			held += n
			whole := held &^ 3
			for i := 0; i < whole; i += 4 {
				for c := range 2 {
					r.Channels[c] = append(r.Channels[c], float32(int16(binary.LittleEndian.Uint16(buf[i+2*c:])))/(1<<15))
				}
			}
			held = copy(buf, buf[whole:held])
			if err == io.EOF {
				break
			}
			if err != nil {
				return nil, faultAt(where(from), "", "an MP3 frame can't be read: "+cause(err))
			}
			if len(r.Channels[0])*2 > mostSamples {
				return nil, faultAt(where(from), "", "the MP3 stream is longer than what is read")
			}
		}
		skip, pad := mp3Delay(b)
		for c := range r.Channels {
			n := len(r.Channels[c])
			lo := min(skip, n)
			r.Channels[c] = r.Channels[c][lo:max(lo, n-pad)]
		}
		return r, nil
	})
}

// mp3Delay returns how many samples to leave out at both ends of what is decoded. The tag
// that encoders put into a first frame without sound says how many they added (12
// bits each, 141 bytes after the tag's name); the frame itself decodes to 1152 more.
func mp3Delay(b []byte) (skip, pad int) {
	head := b[:min(len(b), 1<<14)]
	i := bytes.Index(head, []byte("Xing"))
	if i < 0 {
		i = bytes.Index(head, []byte("Info"))
	}
	const at = 141
	if i < 0 || i+at+3 > len(head) {
		return 0, 0
	}
	v := int(head[i+at])<<16 | int(head[i+at+1])<<8 | int(head[i+at+2])
	front, back := v>>12, v&0xfff
	if front == 0 {
		return 0, 0
	}
	return 1152 + front + decoderDelay, max(0, back-decoderDelay)
}

func readOpus(b []byte) (*Recording, error) {
	from := bytes.NewReader(b)
	return guarded("Opus", from, func() (*Recording, error) {
		o, err := ogg.NewReader(from)
		if err != nil {
			return nil, faultAt(where(from), "", "this is no Ogg Opus stream: "+cause(err))
		}
		channels := int(o.Header.Channels)
		if channels < 1 || channels > 2 {
			return nil, faultAt(where(from), "header", fmt.Sprintf("\"%d\" channels are not 1 or 2", channels))
		}
		const rate = 48000
		d, err := gopus.NewDecoder(gopus.DefaultDecoderConfig(rate, channels))
		if err != nil {
			return nil, faultAt(where(from), "", cause(err))
		}
		r := open("Opus", rate, channels, 0)
		pcm := make([]float32, 5760*channels)
		last := uint64(0)
		for {
			packet, granule, err := o.ReadPacket()
			if err == io.EOF {
				break
			}
			if err != nil {
				return nil, faultAt(where(from), "", "an Ogg page can't be read: "+cause(err))
			}
			n, err := d.Decode(packet, pcm)
			if err != nil {
				return nil, faultAt(where(from), "", "an Opus packet can't be read: "+cause(err))
			}
			for i := range n {
				for c := range channels {
					r.Channels[c] = append(r.Channels[c], pcm[i*channels+c])
				}
			}
			if len(r.Channels[0])*channels > mostSamples {
				return nil, faultAt(where(from), "", "the Opus stream is longer than what is read")
			}
			last = granule
		}
		if !oggEnds(b) {
			return nil, faultAt(int64(len(b)), "", fmt.Sprintf("the file ends after %d samples and before the last page of its stream", len(r.Channels[0])))
		}
		skip := int(o.Header.PreSkip)
		for c := range r.Channels {
			n := len(r.Channels[c])
			end := n
			if last > 0 && last < uint64(n) {
				end = int(last)
			}
			r.Channels[c] = r.Channels[c][min(skip, end):end]
		}
		return r, nil
	})
}

// oggEnds reports whether the last page of an Ogg file is whole and marked as the end of its
// stream (RFC 3533, section 6: the flags are byte 5 of a page, the number of segments byte
// 26, their lengths follow). Without that page the stream was cut off.
func oggEnds(b []byte) bool {
	at, ends := 0, false
	for at+27 <= len(b) && bytes.HasPrefix(b[at:], []byte("OggS")) {
		n := int(b[at+26])
		if at+27+n > len(b) {
			return false
		}
		size := 27 + n
		for _, s := range b[at+27 : at+27+n] {
			size += int(s)
		}
		if at+size > len(b) {
			return false
		}
		ends = b[at+5]&4 != 0
		at += size
	}
	return ends
}

// cause returns an error's text on one line.
func cause(err error) string {
	return string(bytes.ReplaceAll([]byte(err.Error()), []byte("\n"), []byte(" ")))
}
