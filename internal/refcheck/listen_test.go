package refcheck

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/internal/recording"
	"lapwright/listen"
	"lapwright/sound"
	"lapwright/sound/wav"
)

// steadyTone gives partials falling by 1/n over a frequency that is known.
func steadyTone(hz float64) *sound.Audio {
	a := &sound.Audio{Channels: [][]float32{make([]float32, sound.Rate)}}
	for i := range a.Channels[0] {
		at := float64(i) / sound.Rate
		v := 0.0
		for n := 1.0; n <= 6; n++ {
			v += math.Sin(2*math.Pi*n*hz*at+n*n) / n
		}
		a.Channels[0][i] = float32(0.3 * v)
	}
	return a
}

// Witness: aubiopitch 0.4.9 (Debian aubio-tools), method yin: on steady tones
// whose frequency is known, what we hear must be no farther off.
func TestListenAgainstYin(t *testing.T) {
	yin := tool(t, "aubiopitch", "aubio-tools")
	var ours, theirs []float64
	for _, hz := range []float64{73.42, 98, 123.47, 146.83, 196, 220.37, 293.66, 440, 587.33, 880} {
		a := steadyTone(hz)
		file := filepath.Join(t.TempDir(), "tone.wav")
		if err := os.WriteFile(file, wav.Write(a), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(yin, "-i", file, "-r", "48000", "-p", "yin", "-B", "4096", "-H", "512").Output()
		if err != nil {
			t.Fatal(err)
		}
		var heard []float64
		for line := range strings.SplitSeq(string(out), "\n") {
			f := strings.Fields(line)
			if len(f) != 2 {
				continue
			}
			at, _ := strconv.ParseFloat(f[0], 64)
			if v, err := strconv.ParseFloat(f[1], 64); err == nil && at > 0.2 && at < 0.8 && v > 0 {
				heard = append(heard, math.Abs(1200*math.Log2(v/hz)))
			}
		}
		take, err := listen.NewTake(a.Channels[0], sound.Rate)
		if err != nil {
			t.Fatal(err)
		}
		var own []float64
		for _, f := range take.Pitches() {
			if f.At > 0.2 && f.At < 0.8 && f.Voiced {
				own = append(own, math.Abs(1200*math.Log2(float64(f.Hz)/hz)))
			}
		}
		if len(heard) == 0 || len(own) < 100 {
			t.Fatalf("%g Hz: %d frames by yin, %d of ours", hz, len(heard), len(own))
		}
		slices.Sort(heard)
		slices.Sort(own)
		theirs = append(theirs, heard[len(heard)/2])
		ours = append(ours, own[len(own)/2])
	}
	worst, bound := slices.Max(ours), slices.Max(theirs)
	t.Logf("worst median: ours %.4f cents, yin's %.4f", worst, bound)
	if worst > bound {
		t.Errorf("we are up to %.4f cents off, and yin up to %.4f", worst, bound)
	}
}

// Witness: ffmpeg (Debian), which writes an MP3, an Opus file and a FLAC file from one WAVE
// file: all must come out in step with it, encoder delay and all.
func TestRecordingsKeepStep(t *testing.T) {
	ffmpeg := tool(t, "ffmpeg", "ffmpeg")
	dir := t.TempDir()
	a := steadyTone(330)
	// A mark to line up by: silence, then a sudden tone.
	for i := range 20011 {
		a.Channels[0][i] = 0
	}
	in := filepath.Join(dir, "in.wav")
	if err := os.WriteFile(in, wav.Write(a), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		args []string
	}{{"out.mp3", []string{"-b:a", "128k"}}, {"out.opus", []string{"-b:a", "96k"}}, {"out.flac", nil}, {"f32.wav", []string{"-c:a", "pcm_f32le"}}, {"s24.wav", []string{"-c:a", "pcm_s24le"}}, {"u8.wav", []string{"-c:a", "pcm_u8"}}} {
		out := filepath.Join(dir, c.name)
		args := append(append([]string{"-loglevel", "error", "-y", "-i", in}, c.args...), out)
		var stderr bytes.Buffer
		cmd := exec.Command(ffmpeg, args...)
		cmd.Stderr = &stderr
		if err := cmd.Run(); err != nil {
			t.Fatalf("%s: %v %s", c.name, err, stderr.String())
		}
		b, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		r, err := recording.Read(b, c.name)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := r.Mono()
		// The lag at which the two agree best.
		best, lag := math.Inf(1), 0
		for d := -3000; d <= 3000; d++ {
			sum := 0.0
			for i := 19000; i < 23000; i++ {
				if k := i + d; k >= 0 && k < len(got) {
					off := float64(a.Channels[0][i]) - float64(got[k])
					sum += off * off
				}
			}
			if sum < best {
				best, lag = sum, d
			}
		}
		t.Logf("%s: %s, %d samples, %d late", c.name, r.Kind, len(got), lag)
		if max(lag, -lag) > 1 || math.Abs(float64(len(got)-a.Len())) > 2 {
			t.Errorf("%s: %d samples late, %d samples of %d", c.name, lag, len(got), a.Len())
		}
	}
}
