package sound

import (
	"encoding/binary"
	"math"
)

// WAV gives a recording as a RIFF WAVE file of 16-bit samples (Multimedia
// Programming Interface and Data Specifications 1.0, IBM and Microsoft, 1991).
// Values are rounded with triangular dither of one step, from a fixed seed, so
// that quiet endings do not break up; values outside −1 to 1 are clipped.
func WAV(a *Audio) []byte {
	channels, n := len(a.Channels), a.Len()
	size := n * channels * 2
	out := make([]byte, 0, 44+size)
	out = append(out, "RIFF"...)
	out = binary.LittleEndian.AppendUint32(out, uint32(36+size))
	out = append(out, "WAVEfmt "...)
	out = binary.LittleEndian.AppendUint32(out, 16)
	out = binary.LittleEndian.AppendUint16(out, 1)
	out = binary.LittleEndian.AppendUint16(out, uint16(channels))
	out = binary.LittleEndian.AppendUint32(out, Rate)
	out = binary.LittleEndian.AppendUint32(out, uint32(Rate*channels*2))
	out = binary.LittleEndian.AppendUint16(out, uint16(channels*2))
	out = binary.LittleEndian.AppendUint16(out, 16)
	out = append(out, "data"...)
	out = binary.LittleEndian.AppendUint32(out, uint32(size))
	r := noise(ditherSeed)
	for i := range n {
		for _, c := range a.Channels {
			out = binary.LittleEndian.AppendUint16(out, uint16(toStep(c[i], 32767, &r)))
		}
	}
	return out
}

// ditherSeed fixes the dither, so that files are the same every time.
const ditherSeed = 0x2545f491

// toStep rounds a sample to whole steps of 1/full with triangular dither.
// Digital silence stays silent.
func toStep(v float32, full float64, r *noise) int32 {
	if v == 0 {
		return 0
	}
	x := float64(v)*full + 0.5*(r.next()+r.next())
	return int32(math.Round(min(max(x, -full), full)))
}
