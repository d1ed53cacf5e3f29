// Package flac writes recordings as FLAC files (RFC 9639): 16-bit samples, the
// same as those of WAVE, in about half the room. It only writes.
//
// Entry points: Write, WriteTagged, NewWriter.
package flac

import (
	"crypto/md5"
	"errors"
	"fmt"
	"hash"
	"io"
	"math/bits"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"lapwright/sound"
)

// block is how many samples go into a frame.
const block = 4096

// Target is what a FLAC file is written to: its head is completed in the end.
type Target interface {
	io.Writer
	io.WriterAt
}

// Write returns a recording as a FLAC file of the same 16-bit samples as
// wav.Write. It fails only for audio that no file could hold.
func Write(a *sound.Audio) ([]byte, error) { return WriteTagged(a, sound.Tags{}) }

// WriteTagged is Write with a title and a tempo.
func WriteTagged(a *sound.Audio, tags sound.Tags) ([]byte, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	out := &memory{}
	w, err := NewWriter(out, len(a.Channels), a.Len(), tags)
	if err != nil {
		return nil, err
	}
	if err := w.Write(a.Channels...); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.b, nil
}

// memory is a file in memory.
type memory struct{ b []byte }

func (m *memory) Write(b []byte) (int, error) {
	m.b = append(m.b, b...)
	return len(b), nil
}

func (m *memory) WriteAt(b []byte, at int64) (int, error) { return copy(m.b[at:], b), nil }

// Writer writes a recording that comes in pieces.
type Writer struct {
	to      Target
	enc     *flac.Encoder
	samples [][]int32 // what does not yet fill a frame
	left    int       // samples to come
	dither  sound.Dither
	sum     hash.Hash // MD5 of the interleaved samples, which FLAC keeps in its head
	buf     []byte
}

// sumAt is where the checksum stands: after "fLaC", the head of the first block and 18 bytes of it
// (RFC 9639, section 8.2).
const sumAt = 4 + 4 + 18

// NewWriter begins a file of so many channels, 1 or 2, and samples in each. Title and tempo go into its comments.
func NewWriter(to Target, channels, samples int, tags sound.Tags) (*Writer, error) {
	info := &meta.StreamInfo{
		BlockSizeMin: block, BlockSizeMax: block, SampleRate: sound.Rate,
		NChannels: uint8(channels), BitsPerSample: 16, NSamples: uint64(samples),
	}
	var more []*meta.Block
	if c := tags.Comments(); c != nil {
		more = append(more, &meta.Block{
			// The encoder reckons the length itself, but leaves out a block of 0.
			Header: meta.Header{Type: meta.TypeVorbisComment, Length: 1}, Body: &meta.VorbisComment{Vendor: "lapwright", Tags: c},
		})
	}
	enc, err := flac.NewEncoder(to, info, more...)
	if err != nil {
		return nil, fmt.Errorf("writing FLAC: %w", err)
	}
	enc.EnablePredictionAnalysis(false)
	return &Writer{to: to, enc: enc, samples: make([][]int32, channels), left: samples, sum: md5.New()}, nil
}

// Write adds samples: a slice of one length for each channel.
func (w *Writer) Write(channels ...[]float32) error {
	if len(channels) != len(w.samples) {
		return fmt.Errorf("%d channels for a file of %d", len(channels), len(w.samples))
	}
	for at, n := 0, len(channels[0]); at < n; {
		size := min(block-len(w.samples[0]), n-at)
		w.buf = w.buf[:0]
		for i := at; i < at+size; i++ {
			for c := range channels {
				v := w.dither.Step(channels[c][i], 16)
				w.samples[c] = append(w.samples[c], v)
				w.buf = append(w.buf, byte(v), byte(v>>8))
			}
		}
		w.sum.Write(w.buf)
		at += size
		w.left -= size
		if len(w.samples[0]) == block {
			if err := w.frame(); err != nil {
				return err
			}
		}
	}
	return nil
}

// frame writes what has come together.
func (w *Writer) frame() error {
	if err := w.enc.WriteFrame(frameOf(w.samples, len(w.samples[0]))); err != nil {
		return fmt.Errorf("writing FLAC: %w", err)
	}
	for c := range w.samples {
		w.samples[c] = w.samples[c][:0]
	}
	return nil
}

// Close ends the file, which must hold as many samples as were promised. Where the target can't go
// back (errors.ErrUnsupported) its head keeps a checksum of 0, which stands for none.
func (w *Writer) Close() error {
	if w.left != 0 {
		return fmt.Errorf("the recording is %d samples short of what was promised", w.left)
	}
	if len(w.samples[0]) > 0 {
		if err := w.frame(); err != nil {
			return err
		}
	}
	if _, err := w.to.WriteAt(w.sum.Sum(nil), sumAt); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		return fmt.Errorf("writing FLAC: %w", err)
	}
	return nil
}

// frameOf makes a frame; stereo is stored as middle and side.
func frameOf(samples [][]int32, n int) *frame.Frame {
	f := &frame.Frame{Header: frame.Header{
		HasFixedBlockSize: true, BlockSize: uint16(n), SampleRate: sound.Rate, BitsPerSample: 16, Channels: frame.ChannelsMono,
	}}
	if len(samples) == 2 {
		f.Channels = frame.ChannelsMidSide
	}
	for c := range samples {
		seen := make([]int32, n)
		for i := range seen {
			switch {
			case len(samples) == 1:
				seen[i] = samples[0][i]
			case c == 0:
				seen[i] = (samples[0][i] + samples[1][i]) >> 1
			default:
				seen[i] = samples[0][i] - samples[1][i]
			}
		}
		own := append([]int32(nil), samples[c][:n]...)
		f.Subframes = append(f.Subframes, &frame.Subframe{SubHeader: predict(seen), Samples: own, NSamples: n})
	}
	return f
}

// predict chooses the fixed predictor whose residual is smallest and the Rice
// parameter of each part of the frame (RFC 9639, sections 9.2.5 and 9.2.7).
func predict(x []int32) frame.SubHeader {
	constant := true
	for _, v := range x {
		constant = constant && v == x[0]
	}
	if constant {
		return frame.SubHeader{Pred: frame.PredConstant}
	}
	if len(x) < 16 {
		return frame.SubHeader{Pred: frame.PredVerbatim}
	}
	residual := append([]int32(nil), x...)
	best, bestSum := 0, int64(1)<<62
	var kept []int32
	for order := 0; order <= 4; order++ {
		if order > 0 {
			for i := len(residual) - 1; i >= order; i-- {
				residual[i] -= residual[i-1]
			}
		}
		sum := int64(0)
		for _, v := range residual[4:] {
			sum += int64(max(v, -v))
		}
		if sum < bestSum {
			best, bestSum = order, sum
			kept = append(kept[:0], residual...)
		}
	}
	split := 0
	for split < 5 && len(x)%(2<<split) == 0 && len(x)>>(split+1) > 16 {
		split++
	}
	rice := &frame.RiceSubframe{PartOrder: split}
	size := len(x) >> split
	for p := range 1 << split {
		part := kept[p*size : (p+1)*size]
		if p == 0 {
			part = part[best:]
		}
		rice.Partitions = append(rice.Partitions, frame.RicePartition{Param: riceParameter(part)})
	}
	return frame.SubHeader{Pred: frame.PredFixed, Order: best, ResidualCodingMethod: frame.ResidualCodingMethodRice1, RiceSubframe: rice}
}

// riceParameter returns the parameter that codes a part in the fewest bits: the
// best lies within one of the logarithm of the mean.
func riceParameter(part []int32) uint {
	sum := uint64(0)
	for _, v := range part {
		sum += uint64(uint32(v<<1) ^ uint32(v>>31))
	}
	guess := bits.Len64(sum / uint64(max(1, len(part))))
	best, fewest := uint(0), ^uint64(0)
	for k := min(14, max(0, guess-2)); k <= min(14, guess+1); k++ { // 15 would mean something else
		cost := uint64(len(part)) * uint64(k+1)
		for _, v := range part {
			cost += uint64((uint32(v<<1) ^ uint32(v>>31)) >> k)
		}
		if cost < fewest {
			best, fewest = uint(k), cost
		}
	}
	return best
}
