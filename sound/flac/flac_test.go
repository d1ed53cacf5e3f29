package flac

import (
	"bytes"
	"crypto/md5"
	"encoding/binary"
	"io"
	"math/rand"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"lapwright/sound"
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

// TestRiceInFewestBits: a residual v is folded to 2v or −2v − 1 and coded in its quotient
// by 2ᵏ, one bit and k more (RFC 9639, section 9.2.7.3): of all k the one that is chosen
// takes the fewest bits.
func TestRiceInFewestBits(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	chosen := map[uint]bool{}
	for scale := 0.1; scale < 30000; scale *= 1.3 {
		for range 8 {
			part := make([]int32, 1+r.Intn(200))
			for i := range part {
				part[i] = int32(r.ExpFloat64() * scale * float64(1-2*r.Intn(2)))
			}
			bits := func(k uint) (sum uint64) {
				for _, v := range part {
					folded := uint64(2 * int64(v))
					if v < 0 {
						folded = uint64(-2*int64(v) - 1)
					}
					sum += folded>>k + 1 + uint64(k)
				}
				return sum
			}
			least := bits(0)
			for k := uint(1); k <= 14; k++ {
				least = min(least, bits(k))
			}
			got := riceParameter(part)
			chosen[got] = true
			if got > 14 || bits(got) != least {
				t.Errorf("scale %g: k = %d takes %d bits, the least is %d", scale, got, bits(got), least)
			}
		}
	}
	if len(chosen) != 15 {
		t.Errorf("parameters chosen: %v", chosen)
	}
}

// TestPredictorFits: a fixed predictor of order n foretells a polynomial of degree n − 1 (RFC
// 9639, section 9.2.5), and the lowest that does is taken; silence is a constant, a stump of a frame
// stands as it is. A frame is halved up to five times while its parts are equal and longer than 16.
func TestPredictorFits(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	shapes := []func(i int) int32{
		func(i int) int32 { return int32(r.Intn(101) - 50) },
		func(i int) int32 { return 1000 + int32(i/40) },
		func(i int) int32 { return int32(3*i - 50) },
		func(i int) int32 { return int32(i*i - 90*i) },
		func(i int) int32 { return int32(i * i * i / 6) },
	}
	for order, f := range shapes {
		x := make([]int32, 200)
		for i := range x {
			x[i] = f(i)
		}
		if got := predict(x); got.Pred != frame.PredFixed || got.Order != order {
			t.Errorf("shape %d: predictor %v of order %d", order, got.Pred, got.Order)
		}
	}
	for n, split := range map[int]int{4096: 5, 2048: 5, 1024: 5, 512: 4, 33: 0, 32: 0, 34: 1, 36: 1, 68: 2, 72: 2, 16: 0, 1000: 3} {
		x := make([]int32, n)
		for i := range x {
			x[i] = int32(i % 3)
		}
		got := predict(x)
		if got.Pred != frame.PredFixed || got.RiceSubframe.PartOrder != split || len(got.RiceSubframe.Partitions) != 1<<split {
			t.Errorf("%d samples: %v, halved %+v", n, got.Pred, got.RiceSubframe)
		}
	}
	if got := predict(make([]int32, 50)); got.Pred != frame.PredConstant {
		t.Errorf("silence: %v", got.Pred)
	}
	if got := predict([]int32{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}); got.Pred != frame.PredVerbatim {
		t.Errorf("fifteen samples: %v", got.Pred)
	}
	// Loud at its end: each part has a parameter of its own.
	x := make([]int32, 4096)
	for i := range x {
		x[i] = int32(i*i*7919%5) << (i / 512)
	}
	got := predict(x).RiceSubframe.Partitions
	if first, last := got[0].Param, got[len(got)-1].Param; last < first+5 {
		t.Errorf("parameters from %d to %d", first, last)
	}
	// Left and right alike: their difference is silence.
	same := frameOf([][]int32{x, x}, len(x))
	if same.Channels != frame.ChannelsMidSide || same.Subframes[1].Pred != frame.PredConstant || same.Subframes[0].Pred != frame.PredFixed {
		t.Errorf("twice the same: %v and %v", same.Subframes[0].Pred, same.Subframes[1].Pred)
	}
}

// TestTagsAndPieces: title and tempo stand in a comment, which a file without them has
// not; and a recording that comes in pieces makes the same file.
func TestTagsAndPieces(t *testing.T) {
	a := soundtest.Recordings()["hiss"]
	for _, title := range []string{"", "Evening at the quay"} {
		b, err := WriteTagged(a, sound.Tags{Title: title})
		if err != nil {
			t.Fatal(err)
		}
		s, err := flac.Parse(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, block := range s.Blocks {
			if c, ok := block.Body.(*meta.VorbisComment); ok {
				said += c.Tags[0][0] + "=" + c.Tags[0][1]
			}
		}
		if want := "TITLE=" + title; title == "" && said != "" || title != "" && said != want {
			t.Errorf("title %q: %q", title, said)
		}
		for _, size := range []int{1, 4095, 4097} {
			out := &memory{}
			w, err := NewWriter(out, 2, a.Len(), sound.Tags{Title: title})
			for at := 0; at < a.Len() && err == nil; at += size {
				end := min(at+size, a.Len())
				err = w.Write(a.Channels[0][at:end], a.Channels[1][at:end])
			}
			if err == nil {
				err = w.Close()
			}
			if err != nil || !bytes.Equal(out.b, b) {
				t.Errorf("%d samples at a time: another file (%v)", size, err)
			}
		}
	}
}
