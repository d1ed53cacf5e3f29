package flac

import (
	"bytes"
	"crypto/md5"
	"encoding/binary"
	"io"
	"testing"

	"github.com/mewkiz/flac"

	"lapwright/sound/soundtest"
	"lapwright/sound/wav"
)

// FLAC holds the very samples of WAV, and its own checksum of them is right.
func TestRoundTrip(t *testing.T) {
	for name, a := range soundtest.Recordings() {
		b, err := Write(a)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		s, err := flac.New(bytes.NewReader(b))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var pcm []byte
		for {
			f, err := s.ParseNext()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for i := range f.Subframes[0].Samples {
				for _, sub := range f.Subframes {
					pcm = binary.LittleEndian.AppendUint16(pcm, uint16(sub.Samples[i]))
				}
			}
		}
		if want := wav.Write(a)[44:]; !bytes.Equal(pcm, want) {
			t.Errorf("%s: the samples differ from those of WAV", name)
		}
		if md5.Sum(pcm) != s.Info.MD5sum || s.Info.NSamples != uint64(a.Len()) {
			t.Errorf("%s: checksum or length in the head is wrong", name)
		}
	}
}

// FLAC of a plucked string is well under half the size of WAV.
func TestIsSmall(t *testing.T) {
	a := soundtest.Plucked(t)
	b, err := Write(a)
	if err != nil {
		t.Fatal(err)
	}
	if size := len(wav.Write(a)); 2*len(b) > size {
		t.Errorf("%d bytes of FLAC for %d of WAV", len(b), size)
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
