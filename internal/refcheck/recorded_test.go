package refcheck

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// recordedBank is Debian's fluidr3mono-gm-soundfont 2.315-7 (MIT licence), whose
// "Steel" samples are single strokes on the strings of a steel-string guitar,
// recorded at 44.1 kHz and kept as Vorbis. It is read by the tests alone.
const recordedBank = "/usr/share/sounds/sf3/FluidR3Mono_GM.sf3"

// recordedStrings are the samples and what each sounds, as a MIDI key: the bank
// calls the octave from middle C on the fifth.
var recordedStrings = []struct {
	name string
	key  int
}{
	{"Steel E3", 40}, {"Steel A3", 45}, {"Steel D4", 50}, {"Steel G4", 55}, {"Steel B4", 59},
	{"Steel E5", 64}, {"Steel A5", 69}, {"Steel B6", 71}, {"Steel E6", 76},
}

// recorded decodes the sample of a name to one channel at 48 kHz. The layout of
// the bank is that of SoundFont Technical Specification 2.04, section 7.10
// (sample headers of 46 bytes); in its compressed kind start and end count bytes.
func recorded(t *testing.T, name string) []float64 {
	t.Helper()
	b, err := os.ReadFile(recordedBank)
	if err != nil {
		t.Fatalf("the recorded strings are missing: install Debian's fluidr3mono-gm-soundfont: %v", err)
	}
	list := chunkNamed(t, b, "shdr")
	samples := chunkNamed(t, b, "smpl")
	const header = 46
	for ; len(list) >= header; list = list[header:] {
		if string(bytes.TrimRight(list[:20], "\x00")) != name {
			continue
		}
		from, to := binary.LittleEndian.Uint32(list[20:]), binary.LittleEndian.Uint32(list[24:])
		file := filepath.Join(t.TempDir(), "string.ogg")
		if err := os.WriteFile(file, samples[from:to], 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(tool(t, "ffmpeg", "ffmpeg"), "-v", "error", "-i", file, "-ac", "1", "-ar", "48000", "-f", "f32le", "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		x := make([]float64, len(out)/4)
		for i := range x {
			x[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(out[4*i:])))
		}
		return x
	}
	t.Fatalf("%s holds no sample %q", recordedBank, name)
	return nil
}

// chunkNamed returns the body of the RIFF chunk of a name, wherever it is nested.
func chunkNamed(t *testing.T, b []byte, name string) []byte {
	t.Helper()
	i := bytes.Index(b, []byte(name))
	if i < 0 || i+8 > len(b) {
		t.Fatalf("no chunk %q", name)
	}
	n := int(binary.LittleEndian.Uint32(b[i+4:]))
	return b[i+8 : i+8+n]
}
