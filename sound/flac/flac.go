// Package flac writes recordings as FLAC files (RFC 9639): 16-bit samples, the
// same as those of WAVE, in about half the room. It only writes.
package flac

import (
	"bytes"
	"crypto/md5"
	"fmt"
	"math/bits"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"lapwright/sound"
)

// block is how many samples go into a frame.
const block = 4096

// Write returns a recording as a FLAC file of the same 16-bit samples as
// wav.Write. It fails only for audio that no file could hold.
func Write(a *sound.Audio) ([]byte, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	samples := steps(a)
	n, channels := a.Len(), len(samples)
	info := &meta.StreamInfo{
		BlockSizeMin: block, BlockSizeMax: block, SampleRate: sound.Rate,
		NChannels: uint8(channels), BitsPerSample: 16, NSamples: uint64(n), MD5sum: checksum(samples),
	}
	var out bytes.Buffer
	enc, err := flac.NewEncoder(&out, info)
	if err != nil {
		return nil, fmt.Errorf("writing FLAC: %w", err)
	}
	enc.EnablePredictionAnalysis(false)
	for at := 0; at < n; at += block {
		if err := enc.WriteFrame(frameOf(samples, at, min(block, n-at))); err != nil {
			return nil, fmt.Errorf("writing FLAC: %w", err)
		}
	}
	return out.Bytes(), nil
}

// steps returns the samples in whole steps, as wav.Write writes them.
func steps(a *sound.Audio) [][]int32 {
	out := make([][]int32, len(a.Channels))
	for c := range out {
		out[c] = make([]int32, a.Len())
	}
	var d sound.Dither
	for i := range a.Len() {
		for c := range out {
			out[c][i] = int32(d.Step(a.Channels[c][i]))
		}
	}
	return out
}

// checksum is the MD5 of the interleaved samples that FLAC keeps in its head.
func checksum(samples [][]int32) (out [md5.Size]byte) {
	h := md5.New()
	buf := make([]byte, 0, 2*len(samples)*block)
	for i := range samples[0] {
		for _, c := range samples {
			buf = append(buf, byte(c[i]), byte(c[i]>>8))
		}
		if len(buf) == cap(buf) {
			h.Write(buf)
			buf = buf[:0]
		}
	}
	h.Write(buf)
	h.Sum(out[:0])
	return out
}

// frameOf makes a frame; stereo is stored as middle and side.
func frameOf(samples [][]int32, at, n int) *frame.Frame {
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
				seen[i] = samples[0][at+i]
			case c == 0:
				seen[i] = (samples[0][at+i] + samples[1][at+i]) >> 1
			default:
				seen[i] = samples[0][at+i] - samples[1][at+i]
			}
		}
		own := append([]int32(nil), samples[c][at:at+n]...)
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
	for k := max(0, guess-2); k <= min(14, guess+1); k++ {
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
