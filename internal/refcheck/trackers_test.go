package refcheck

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"lapwright/internal/further"
	"lapwright/listen"
	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/sound/wav"
)

// trackFile is a recording whose pitch is known at every moment.
type trackFile struct {
	name    string
	samples []float32
	sounds  track
}

// toneFile makes tones one after the other, silence between: hz gives the pitch of
// each from 0 to seconds.
func toneFile(name string, seconds float64, tones []func(at float64) float64) trackFile {
	f := trackFile{name: name}
	for _, hz := range tones {
		f.rest(0.3)
		phase := 0.0
		start := len(f.samples)
		n := int(seconds * sound.Rate)
		for i := range n {
			at := float64(i) / sound.Rate
			v := 0.0
			for k := 1.0; k <= 6; k++ {
				v += math.Sin(k*phase+k*k) / k
			}
			swell := min(1, float64(min(i, n-1-i))/480)
			f.samples = append(f.samples, float32(0.3*swell*v))
			phase += 2 * math.Pi * hz(at+0.5/sound.Rate) / sound.Rate
		}
		f.truth(start, n, hz)
	}
	f.rest(0.3)
	return f
}

// rest adds silence.
func (f *trackFile) rest(seconds float64) {
	start := len(f.samples)
	f.samples = append(f.samples, make([]float32, int(seconds*sound.Rate))...)
	f.truth(start, len(f.samples)-start, nil)
}

// truth notes what sounds, every 10 ms, leaving out 60 ms at either end, where a window
// holds both silence and sound.
func (f *trackFile) truth(start, n int, hz func(at float64) float64) {
	for i := 2880; i < n-2880; i += 480 {
		v := 0.0
		if hz != nil {
			v = hz(float64(i) / sound.Rate)
		}
		f.sounds.at = append(f.sounds.at, float64(start+i)/sound.Rate)
		f.sounds.hz = append(f.sounds.hz, v)
	}
}

// trackFiles are the files that all trackers get.
func trackFiles(t *testing.T) []trackFile {
	var steady, gliding []func(float64) float64
	for i, hz := range []float64{73.42, 98, 123.47, 146.83, 196, 220.37, 293.66, 440, 587.33, 880} {
		if i%every(3) != 0 {
			continue
		}
		steady = append(steady, func(float64) float64 { return hz })
		if len(steady)%2 == 0 {
			continue
		}
		gliding = append(gliding, func(at float64) float64 { return hz * math.Exp2(7*at/12) }) // seven semitones in a second
		gliding = append(gliding, func(at float64) float64 { return hz * math.Exp2(30*math.Sin(2*math.Pi*5.5*at)/1200) })
	}
	b := recordedStringsBank(t)
	struckFile := trackFile{name: "recorded notes"}
	for k := 0; k < 24; k += every(4) {
		// Every key from the lowest string up, by resampling; each string's own tuning
		// is left in, so only the nearest semitone is known.
		key := 40 + 1.5*float64(k)
		struckFile.rest(0.3)
		start := len(struckFile.samples)
		x := b.note(key, 0.8)
		fade(x, 0.03)
		struckFile.samples = append(struckFile.samples, x...)
		struckFile.truth(start, len(x), func(float64) float64 { return 440 * math.Exp2((key-69)/12) })
	}
	struckFile.rest(0.3)
	return []trackFile{toneFile("steady tones", 0.6, steady), toneFile("glides and vibrato", 1, gliding), struckFile}
}

// trackedBy is what a tracker makes of a file.
type trackedBy struct {
	name string
	took time.Duration
	track
}

// trackers lets all of them hear a file.
func trackers(t *testing.T, f trackFile) []trackedBy {
	t.Helper()
	dir := t.TempDir()
	from := time.Now()
	take, err := listen.NewTake(f.samples, sound.Rate)
	if err != nil {
		t.Fatal(err)
	}
	ours := trackedBy{name: "ours"}
	for _, p := range take.Pitches() {
		hz := 0.0
		if p.Voiced {
			hz = float64(p.Hz)
		}
		ours.at, ours.hz = append(ours.at, p.At), append(ours.hz, hz)
	}
	ours.took = time.Since(from)
	out := []trackedBy{ours}

	file := filepath.Join(dir, "take.wav")
	if err := os.WriteFile(file, wav.Write(&sound.Audio{Channels: [][]float32{f.samples}}), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, method := range []string{"yin", "mcomb"} {
		h := trackedBy{name: "aubio's " + method}
		from = time.Now()
		b, err := exec.Command(tool(t, "aubiopitch", "aubio-tools"), "-i", file, "-r", "48000", "-p", method, "-B", "4096", "-H", "480", "-s", "-60").Output()
		h.took = time.Since(from)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.SplitSeq(string(b), "\n") {
			if w := strings.Fields(line); len(w) == 2 {
				at, _ := strconv.ParseFloat(w[0], 64)
				hz, _ := strconv.ParseFloat(w[1], 64)
				h.at, h.hz = append(h.at, at), append(h.hz, hz)
			}
		}
		out = append(out, h)
	}

	raw := make([]byte, 4*len(f.samples))
	for i, v := range f.samples {
		binary.LittleEndian.PutUint32(raw[4*i:], math.Float32bits(v))
	}
	file = filepath.Join(dir, "take.f32")
	if err := os.WriteFile(file, raw, 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", "trackers.cjs", file, fmt.Sprint(sound.Rate))
	cmd.Dir = filepath.Join(Root(t), "internal", "refcheck", "node")
	b, err := cmd.Output()
	if err != nil {
		t.Fatalf("node trackers.cjs: %v", err)
	}
	var theirs []struct {
		Name       string
		MS         float64
		First, Hop int
		Hz         []float64
	}
	if err := json.Unmarshal(b, &theirs); err != nil {
		t.Fatal(err)
	}
	for _, tr := range theirs {
		h := trackedBy{name: tr.Name, took: time.Duration(tr.MS * 1e6)}
		for i, hz := range tr.Hz {
			h.at, h.hz = append(h.at, float64(tr.First+i*tr.Hop)/sound.Rate), append(h.hz, hz)
		}
		out = append(out, h)
	}
	return out
}

// inStep compares a track with what sounds at the lateness at which it agrees best:
// libraries differ in which moment of a window they mean.
func inStep(sounds track, h trackedBy) tracked {
	var best tracked
	least := math.Inf(1)
	for late := -0.1; late <= 0.1; late += 0.005 {
		c := compareTracks(sounds, h.track, late)
		off := 0.0
		for _, v := range c.cents {
			off += v
		}
		off = (off/float64(max(1, len(c.cents))) + 1) / (c.accuracy + 0.01)
		if off < least {
			least, best = off, c
		}
	}
	return best
}

// Witnesses, on the same files in one run: aubiopitch 0.4.9 (Debian aubio-tools), methods yin
// and mcomb; pitchfinder 2.3.4 and pitchy 4.1.0 (npm). We must be no worse on steady notes, made
// or recorded, and better on glides. How long each takes is told and not judged.
func TestPitchAgainstTrackers(t *testing.T) {
	for _, f := range trackFiles(t) {
		all := trackers(t, f)
		var ours tracked
		for i, h := range all {
			c := inStep(f.sounds, h)
			if len(h.at) < 100 {
				t.Errorf("%s: %s gave %d moments", f.name, h.name, len(h.at))
			}
			t.Logf("%-18s %-18s raw pitch accuracy %.3f, voicing recall %.3f, false alarm %.3f; cents: median %.2f, 95 %% %.1f; %.1f times as long as ours", f.name, h.name, c.accuracy, c.recall, c.falseAlarm, share(c.cents, 0.5), share(c.cents, 0.95), float64(h.took)/float64(all[0].took))
			if i == 0 {
				ours = c
				continue
			}
			if ours.accuracy < c.accuracy-0.005 {
				t.Errorf("%s: our raw pitch accuracy is %.3f, that of %s %.3f", f.name, ours.accuracy, h.name, c.accuracy)
			}
			// A recorded string's own tuning is part of the cents of all.
			if f.name != "recorded notes" && share(ours.cents, 0.5) > share(c.cents, 0.5) {
				t.Errorf("%s: we are %.3f cents off, %s %.3f", f.name, share(ours.cents, 0.5), h.name, share(c.cents, 0.5))
			}
			if f.name == "glides and vibrato" && share(ours.cents, 0.95) >= share(c.cents, 0.95) {
				t.Errorf("%s: 95 %% of ours within %.2f cents, of %s within %.2f", f.name, share(ours.cents, 0.95), h.name, share(c.cents, 0.95))
			}
		}
		if ours.recall < 0.97 || ours.falseAlarm > 0.05 {
			t.Errorf("%s: voicing recall %.3f, false alarm %.3f; want 0.97 at least, 0.05 at most", f.name, ours.recall, ours.falseAlarm)
		}
	}
}

// Witness: aubioonset 0.4.9 (Debian aubio-tools), its usual method, on takes of recorded strings
// whose onsets are known.
func TestOnsetsAgainstAubio(t *testing.T) {
	b := recordedStringsBank(t)
	var ours, theirs float64
	takes := further.Few(2, 4)
	for k := range takes {
		r := rigtest.Builtin(t, []string{"reso-open-g", "lap6-c6"}[k%2])
		want := listentest.Line(r, int64(900+k), 40, 12)
		samples, onsets := recordedTake(t, b, want, nil, nil, nil)
		take, err := listen.NewTake(samples, sound.Rate)
		if err != nil {
			t.Fatal(err)
		}
		var own []float64
		for _, o := range take.Onsets() {
			if o.Strength >= 0.3 { // those that can be a note too many
				own = append(own, o.At)
			}
		}
		file := filepath.Join(t.TempDir(), "take.wav")
		if err := os.WriteFile(file, wav.Write(&sound.Audio{Channels: [][]float32{samples}}), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(tool(t, "aubioonset", "aubio-tools"), "-i", file, "-r", "48000").Output()
		if err != nil {
			t.Fatal(err)
		}
		var heard []float64
		for w := range strings.FieldsSeq(string(out)) {
			if at, err := strconv.ParseFloat(w, 64); err == nil {
				heard = append(heard, at)
			}
		}
		ours += onsetF(onsets, own) / float64(takes)
		theirs += onsetF(onsets, heard) / float64(takes)
	}
	t.Logf("onsets of recorded takes: F %.3f, aubio's %.3f", ours, theirs)
	if ours < theirs || ours < 0.95 {
		t.Errorf("onsets: F %.3f, aubio's %.3f; want no worse, and 0.95", ours, theirs)
	}
}
