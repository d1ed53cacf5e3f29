package opus

import (
	"bytes"
	"encoding/binary"
	"errors"
	"slices"
	"testing"

	"lapwright/sound"
	"lapwright/sound/soundtest"
)

// Every page of an Ogg file carries the checksum of its bytes; the first says
// how many samples to skip and the last where the sound ends.
func TestPages(t *testing.T) {
	for name, a := range soundtest.Recordings() {
		b, err := Write(a)
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

// What no file could hold is refused.
func TestRefuses(t *testing.T) {
	for name, a := range soundtest.Impossible() {
		if b, err := Write(a); err == nil || b != nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// oggPage is a page as a reader takes it apart (RFC 3533, section 6).
type oggPage struct {
	number  uint32
	granule uint64
	lacing  []byte
	body    []byte
}

// packets returns how many packets end on the page: each does with a lacing value below 255.
func (p *oggPage) packets() (n int) {
	for _, l := range p.lacing {
		if l < 255 {
			n++
		}
	}
	return n
}

func pagesOf(b []byte) (out []oggPage) {
	for len(b) > 0 {
		p := oggPage{number: binary.LittleEndian.Uint32(b[18:]), granule: binary.LittleEndian.Uint64(b[6:]), lacing: b[27 : 27+int(b[26])]}
		size := 0
		for _, l := range p.lacing {
			size += int(l)
		}
		b = b[27+int(b[26]):]
		p.body, b = b[:size], b[size:]
		out = append(out, p)
	}
	return out
}

// The checksum of the nine digits is the catalogued one of this CRC (as cksum's, 0x765e7680,
// before cksum turns its bits over; from memory).
func TestChecksum(t *testing.T) {
	if got := oggSum([]byte("123456789")); got != ^uint32(0x765e7680) {
		t.Errorf("%#x", got)
	}
}

// Pages are numbered from 0; headers stand on pages of their own at time 0 (RFC 7845, section 3),
// sound comes in packets of 20 ms, and a page's time is that of the last sample it completes.
// No packet is written that no sample needs.
func TestPacketsAndTime(t *testing.T) {
	probe, err := Write(&sound.Audio{Channels: [][]float32{{}}})
	if err != nil {
		t.Fatal(err)
	}
	skip := int(binary.LittleEndian.Uint16(probe[28+10:]))
	for _, samples := range []int{0, 1, 960 - skip, 961 - skip, 42*960 - skip, 43*960 - skip, 100_000} {
		b, err := Write(&sound.Audio{Channels: [][]float32{make([]float32, samples)}})
		if err != nil {
			t.Fatal(err)
		}
		packets := 0
		pages := pagesOf(b)
		for i, p := range pages {
			if p.number != uint32(i) {
				t.Errorf("%d samples: page %d is numbered %d", samples, i, p.number)
			}
			switch {
			case i < 2 && (p.granule != 0 || p.packets() != 1):
				t.Errorf("%d samples: header page %d has %d packets and time %d", samples, i, p.packets(), p.granule)
			case i >= 2:
				packets += p.packets()
				if i < len(pages)-1 && (p.granule != uint64(packets)*960 || p.packets() != 42) {
					t.Errorf("%d samples: page %d ends at %d with %d packets of %d", samples, i, p.granule, p.packets(), packets)
				}
			}
		}
		if want := (samples + skip + 959) / 960; packets != want {
			t.Errorf("%d samples after %d: %d packets of 960, want %d", samples, skip, packets, want)
		}
	}
}

// A packet whose length is a whole number of 255s ends with a lacing value of 0 (RFC 3533, section 5).
func TestLacing(t *testing.T) {
	for size, want := range map[int][]byte{0: {0}, 1: {1}, 254: {254}, 255: {255, 0}, 256: {255, 1}, 510: {255, 255, 0}, 1275: {255, 255, 255, 255, 255, 0}} {
		var out bytes.Buffer
		if err := (&oggWriter{to: &out}).page([][]byte{make([]byte, size)}, 0, 0); err != nil {
			t.Fatal(err)
		}
		if p := pagesOf(out.Bytes()); !slices.Equal(p[0].lacing, want) || len(p[0].body) != size {
			t.Errorf("%d bytes: laced %d", size, p[0].lacing)
		}
	}
}

// The headers, byte by byte as RFC 7845, sections 5.1 and 5.2 lay them out.
func TestHeaders(t *testing.T) {
	a := &sound.Audio{Channels: [][]float32{make([]float32, 100), make([]float32, 100)}}
	b, err := WriteTagged(a, sound.Tags{Title: "Étude", PerMinute: 92.5})
	if err != nil {
		t.Fatal(err)
	}
	p := pagesOf(b)
	if want := "OpusHead\x01\x02\x38\x01\x80\xbb\x00\x00\x00\x00\x00"; string(p[0].body) != want { // 312 samples late, 48000 Hz
		t.Errorf("%q, want %q", p[0].body, want)
	}
	if want := "OpusTags\x09\x00\x00\x00lapwright\x02\x00\x00\x00\x0c\x00\x00\x00TITLE=Étude\x08\x00\x00\x00BPM=92.5"; string(p[1].body) != want {
		t.Errorf("%q, want %q", p[1].body, want)
	}
}

// Plucked strings take about 56 kbit/s a channel.
func TestBitRate(t *testing.T) {
	plucked := soundtest.Plucked(t).Channels
	n := min(len(plucked[0]), sound.Rate)
	for channels := 1; channels <= 2; channels++ {
		a := &sound.Audio{}
		for range channels {
			a.Channels = append(a.Channels, plucked[0][:n])
		}
		b, err := Write(a)
		if err != nil {
			t.Fatal(err)
		}
		rate := float64(8*len(b)) * sound.Rate / float64(n) / float64(channels)
		if rate < 0.7*56000 || rate > 1.3*56000 {
			t.Errorf("%d channels: %.0f bit/s each", channels, rate)
		}
	}
}

// The file is the same in whatever pieces the sound comes, and what comes with the
// wrong number of channels is refused.
func TestPieces(t *testing.T) {
	a := soundtest.Sine(0.25, 196, 0.5, 0, 2)
	want, err := Write(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range []int{1, 64, 479, 4096} {
		var out bytes.Buffer
		w, err := NewWriter(&out, 2, sound.Tags{})
		if err != nil {
			t.Fatal(err)
		}
		for at := 0; at < a.Len(); at += size {
			end := min(at+size, a.Len())
			if err := w.Write(a.Channels[0][at:end], a.Channels[1][at:end]); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Write(a.Channels[0]); err == nil {
			t.Error("one channel is taken for two")
		}
		if err := w.Close(); err != nil || !bytes.Equal(out.Bytes(), want) {
			t.Errorf("pieces of %d: %v, another file", size, err)
		}
	}
}

// full is a disk that takes so many writes.
type full int

var errFull = errors.New("full")

func (f *full) Write(b []byte) (int, error) {
	if *f--; *f < 0 {
		return 0, errFull
	}
	return len(b), nil
}

// Whatever page finds the disk full, the writer says so.
func TestDiskFull(t *testing.T) {
	a := make([]float32, 50*960)
	for room := range 5 {
		disk := full(room)
		w, err := NewWriter(&disk, 1, sound.Tags{})
		if err == nil {
			err = w.Write(a)
		}
		if err == nil {
			err = w.Close()
		}
		if failed := err == errFull; failed != (room < 4) { // two headers, two pages of sound
			t.Errorf("room for %d pages: %v", room, err)
		}
	}
}
