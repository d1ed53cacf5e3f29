package midi

import (
	"testing"

	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// FuzzRead: reading never panics; an error means no file; what is heard is in
// order and within the keys' range of bends; a tune made of it is valid, and
// writing that tune gives a file that reads without a warning.
func FuzzRead(f *testing.F) {
	b, err := WriteTune(tunetest.Song(tunetest.Quarters(1, "G3", "A3", "D4", "B3")))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	for _, s := range [][]byte{
		smf(0, 96, oneNote+endTrack),
		smf(1, 96, "\x00\xff\x51\x03\x07\xa1\x20"+endTrack, oneNote+endTrack),
		smf(2, 96, oneNote+endTrack, oneNote+endTrack),
		smf(0, 0xE728, "\x00\x90\x3c\x40\x83\x74\x80\x3c\x40"+endTrack),
		smf(0, 96, "\x00\xb0\x65\x00\x00\xb0\x64\x06\x00\xb0\x06\x02\x00\xe0\x00\x60\x00\x91\x3c\x40\x60\x81\x3c\x40"+endTrack),
		smf(0, 480, "\x00\xff\x58\x04\x06\x03\x24\x08\x00\xff\x59\x02\xfe\x01\x00\x90\x3c\x40\x81\x00\x3c\x00\x15\x40\x40\x83\x11\x40\x00\x00\xf0\x01\xf7"+endTrack),
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in []byte) {
		file, err := Read(in, "x.mid")
		if err != nil {
			if file != nil {
				t.Fatal("an error and a file")
			}
			return
		}
		last := int64(0)
		for _, h := range file.Sounding() {
			if h.Ticks < last || h.Len.Num < 0 || h.At.Den <= 0 || h.Len.Den <= 0 {
				t.Fatalf("%+v after tick %d", h, last)
			}
			last = h.Ticks
		}
		for _, grid := range []int{0, 16} {
			im, err := file.Tune(Options{Grid: grid})
			if err != nil {
				continue
			}
			if l := im.Tune.Check(); len(l) > 0 {
				t.Fatalf("an invalid tune: %v", l)
			}
			b, err := WriteTune(im.Tune)
			if err != nil {
				continue // more notes at once than a zone has channels
			}
			again, err := Read(b, "x.mid")
			if err != nil || len(again.Warnings) > 0 {
				t.Fatalf("what was written is not read: %v %v", err, again.Warnings)
			}
			if a, b := len(tune.Sound(im.Tune)) > 0, len(again.Sounding()) > 0; a != b {
				t.Fatalf("notes before %v and after %v", a, b)
			}
		}
	})
}
