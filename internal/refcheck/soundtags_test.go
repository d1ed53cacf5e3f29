package refcheck

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/sound"
	"lapwright/sound/flac"
	"lapwright/sound/opus"
	"lapwright/sound/wav"
)

// recordingFile is a file to write a recording into.
type recordingFile interface {
	Write(channels ...[]float32) error
	Close() error
}

// Witness: ffprobe and ffmpeg read title and tempo out of every kind of file, as many samples as went
// in, and from 24 bits the samples to within 2⁻²³ of full scale; written a few at a time.
func TestSoundFileTags(t *testing.T) {
	probe, ffmpeg := tool(t, "ffprobe", "ffmpeg"), tool(t, "ffmpeg", "ffmpeg")
	const n = 48_123
	a := [2][]float32{make([]float32, n), make([]float32, n)}
	for c := range a {
		for i := range a[c] {
			a[c][i] = float32(0.4 * math.Sin(float64(i)*(0.01+0.013*float64(c))))
		}
	}
	tags := sound.Tags{Title: "Dawn — over Harbour Street", PerMinute: 96.5}
	for name, begin := range map[string]func(f *os.File) (recordingFile, error){
		"a.wav":    func(f *os.File) (recordingFile, error) { return wav.NewWriter(f, 2, n, 16, tags) },
		"fine.wav": func(f *os.File) (recordingFile, error) { return wav.NewWriter(f, 2, n, 24, tags) },
		"a.flac":   func(f *os.File) (recordingFile, error) { return flac.NewWriter(f, 2, n, tags) },
		"a.opus":   func(f *os.File) (recordingFile, error) { return opus.NewWriter(f, 2, tags) },
	} {
		path := filepath.Join(t.TempDir(), name)
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		w, err := begin(f)
		if err != nil {
			t.Fatal(err)
		}
		for at := 0; at < n; at += 777 {
			end := min(at+777, n)
			if err := w.Write(a[0][at:end], a[1][at:end]); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		f.Close()
		out, err := exec.Command(probe, "-v", "error", "-of", "json", "-show_entries", "format_tags:stream_tags:stream=bits_per_sample,channels", path).Output()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var told any
		if err := json.Unmarshal(out, &told); err != nil {
			t.Fatal(err)
		}
		if s := string(out); !strings.Contains(s, tags.Title) || !strings.Contains(s, "96.5") || !strings.Contains(s, `"channels": 2`) {
			t.Errorf("%s: title, tempo or channels are missing: %s", name, s)
		}
		cmd := exec.Command(ffmpeg, "-v", "error", "-i", path, "-f", "f32le", "-")
		var complaints strings.Builder
		cmd.Stderr = &complaints
		raw, err := cmd.Output()
		if err != nil || complaints.Len() > 0 {
			t.Fatalf("%s: %v: %s", name, err, complaints.String())
		}
		if len(raw) != 8*n {
			t.Fatalf("%s: %d bytes of samples, want %d", name, len(raw), 8*n)
		}
		within := map[string]float64{"a.wav": 2.1 / 32768, "fine.wav": 2.1 / (1 << 23), "a.flac": 2.1 / 32768, "a.opus": 0.1}[name]
		for i := range n {
			got := math.Float32frombits(uint32(raw[8*i]) | uint32(raw[8*i+1])<<8 | uint32(raw[8*i+2])<<16 | uint32(raw[8*i+3])<<24)
			// A file's steps go to 32767 of the 32768 that a reader divides by.
			if math.Abs(float64(got-a[0][i])) > within {
				t.Fatalf("%s: sample %d is %g, want %g", name, i, got, a[0][i])
			}
		}
	}
}
