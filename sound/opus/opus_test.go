package opus

import (
	"encoding/binary"
	"testing"

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
