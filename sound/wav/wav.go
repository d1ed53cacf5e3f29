// Package wav writes recordings as RIFF WAVE files of 16-bit samples
// (Multimedia Programming Interface and Data Specifications 1.0, IBM and
// Microsoft, 1991). It only writes.
package wav

import (
	"encoding/binary"

	"lapwright/sound"
)

// Write returns a recording as a WAVE file. Values are rounded by sound.Dither;
// those outside −1 to 1 are clipped.
func Write(a *sound.Audio) []byte {
	channels, n := len(a.Channels), a.Len()
	size := n * channels * 2
	out := make([]byte, 0, 44+size)
	out = append(out, "RIFF"...)
	out = binary.LittleEndian.AppendUint32(out, uint32(36+size))
	out = append(out, "WAVEfmt "...)
	out = binary.LittleEndian.AppendUint32(out, 16)
	out = binary.LittleEndian.AppendUint16(out, 1)
	out = binary.LittleEndian.AppendUint16(out, uint16(channels))
	out = binary.LittleEndian.AppendUint32(out, sound.Rate)
	out = binary.LittleEndian.AppendUint32(out, uint32(sound.Rate*channels*2))
	out = binary.LittleEndian.AppendUint16(out, uint16(channels*2))
	out = binary.LittleEndian.AppendUint16(out, 16)
	out = append(out, "data"...)
	out = binary.LittleEndian.AppendUint32(out, uint32(size))
	var d sound.Dither
	for i := range n {
		for _, c := range a.Channels {
			out = binary.LittleEndian.AppendUint16(out, uint16(d.Step(c[i])))
		}
	}
	return out
}
