package refcheck

import (
	"context"
	"encoding/base64"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/arrange"
	"lapwright/internal/further"
	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/sound/flac"
	"lapwright/sound/opus"
	"lapwright/sound/wav"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// everyFret is a tab that plays each of the strings at each of the frets, a half
// note at 240 a minute, every note damped so that one is heard at a time.
func everyFret(r *rig.Rig, frets []float64, strings ...int) *tab.Tab {
	const half = tune.Whole / 2
	tn := &tune.Tune{Title: "one at a time", Voices: []tune.Voice{{ID: "1"}}}
	out := &tab.Tab{Tune: tn, Rig: r}
	i := 0
	for _, s := range strings {
		for _, f := range frets {
			if i%2 == 0 {
				tn.Bars = append(tn.Bars, tune.Bar{
					Number: i/2 + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole,
					Tempos: []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 240_000}}, Lines: [][]tune.Event{nil},
				})
			}
			b := len(tn.Bars) - 1
			at := half * tune.Ticks(i%2)
			p := steel.Placement{Kind: steel.Straight, First: 1, Last: int8(len(r.Strings)), FirstFret: f, LastFret: f}
			if f == 0 {
				p = steel.Placement{}
			}
			key := float64(r.OpenKey(s, 0)) + f
			tn.Bars[b].Lines[0] = append(tn.Bars[b].Lines[0], tune.Event{
				At: at, Len: half, Value: tune.Value{Log2: 1}, Notes: []tune.Note{{Name: pitch.SpellKey(int(math.Round(key)), 0)}},
			})
			out.Strokes = append(out.Strokes, tab.Stroke{
				BarIndex: b, At: at, Len: half, Placement: p,
				Plucks: []tab.Pluck{{Ref: tune.Ref{Bar: b, Event: i % 2, Grace: -1}, String: s, Fret: f, Finger: tab.Index, Len: half, Damp: true}},
			})
			i++
		}
	}
	return out
}

// heardPitch estimates the pitch of a stretch of sound in hertz by its
// autocorrelation alone: the first lag whose correlation comes near the best
// there is, then the same peak followed out to 33 ms for a finer reading. It
// knows nothing of what was meant.
func heardPitch(x []float64) float64 {
	n := 1
	for n < 2*len(x) {
		n *= 2
	}
	mean := 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	padded := make([]float64, n)
	sums := make([]float64, len(x)+1)
	for i, v := range x {
		padded[i] = v - mean
		sums[i+1] = sums[i] + padded[i]*padded[i]
	}
	fft := fourier.NewFFT(n)
	c := fft.Coefficients(nil, padded)
	for i := range c {
		c[i] = complex(real(c[i])*real(c[i])+imag(c[i])*imag(c[i]), 0)
	}
	r := fft.Sequence(nil, c)
	longest := 1600 // 33 ms
	norm := make([]float64, longest+2)
	for lag := range norm {
		both := sums[len(x)-lag] + sums[len(x)] - sums[lag] // energies of the two overlapping parts
		norm[lag] = 2 * r[lag] / float64(n) / both
	}
	start := 1
	for start < longest && norm[start] > 0 {
		start++
	}
	best := start
	for lag := start; lag < 1200; lag++ {
		if norm[lag] > norm[best] {
			best = lag
		}
	}
	first := best
	for lag := start + 1; lag < best; lag++ {
		if norm[lag] > 0.93*norm[best] && norm[lag] >= norm[lag-1] && norm[lag] >= norm[lag+1] {
			first = lag
			break
		}
	}
	period := peakAt(norm, first)
	for k := 2; float64(k)*period < float64(longest)-2; k++ {
		near := int(math.Round(float64(k) * period))
		for near > 1 && norm[near-1] > norm[near] {
			near--
		}
		for near < longest && norm[near+1] > norm[near] {
			near++
		}
		period = peakAt(norm, near) / float64(k)
	}
	return sound.Rate / period
}

// peakAt places the top of the parabola through three neighbours.
func peakAt(y []float64, i int) float64 {
	a, b, c := y[i-1], y[i], y[i+1]
	return float64(i) + 0.5*(a-c)/(a-2*b+c)
}

func mono(a *sound.Audio, from, to float64) []float64 {
	lo, hi := int(from*sound.Rate), min(int(to*sound.Rate), a.Len())
	out := make([]float64, hi-lo)
	for _, c := range a.Channels {
		for i := range out {
			out[i] += float64(c[lo+i])
		}
	}
	return out
}

// Every string of every built-in rig sounds within 2.5 cents of what the tab
// says, and within 1 in the median, from the open string to two octaves up. Witness: an estimate by
// autocorrelation that shares nothing with the synthesiser.
func TestSoundPitch(t *testing.T) {
	notes, worst := 0, 0.0
	var offs []float64
	for n, r := range rig.Builtins() {
		if n%every(2) != 0 {
			continue
		}
		var all []int
		for s := range r.Strings {
			all = append(all, s+1)
		}
		frets := []float64{0, 1, 3.5, 5, 8.25, 12, 17, 24}
		a, times := hearTab(t, everyFret(r, frets, all...), sound.Options{Dry: n/every(2)%2 == 0})
		for i, st := range times.Strokes {
			s, fret := all[i/len(frets)], frets[i%len(frets)]
			want := float64(pitch.Equal(float64(r.OpenKey(s, 0))+fret, r.Reference))
			off := 1200 * math.Log2(heardPitch(mono(a, st.At+0.10, st.At+0.34))/want)
			notes++
			offs = append(offs, math.Abs(off))
			worst = max(worst, math.Abs(off))
			if !(math.Abs(off) <= 2.5) {
				t.Errorf("%s string %d fret %g: %+.2f cents off %.3f Hz", r.Name, s, fret, off, want)
			}
		}
	}
	if notes < further.Few(200, 400) {
		t.Fatalf("only %d notes were tried", notes)
	}
	slices.Sort(offs)
	median := offs[len(offs)/2]
	if median > 1 {
		t.Errorf("the median is %.2f cents off", median)
	}
	t.Logf("%d notes, worst %.2f cents, median %.2f", notes, worst, median)
}

func hearTab(t *testing.T, tb *tab.Tab, o sound.Options) (*sound.Audio, *sound.Timing) {
	t.Helper()
	a, err := sound.Render(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	times, err := sound.Timeline(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	return a, times
}

// Real tunes, arranged, sound within 3 cents of their tabs: every note that is
// plucked alone and held for a third of a second. Notes are stopped at their
// end here so that one is heard at a time. Witness: the same estimate, read
// before vibrato sets in; tunes from the folk corpus.
func TestSoundPitchOfTunes(t *testing.T) {
	b, err := os.ReadFile(Reference(t, "tunes", "waltzes.abc"))
	if err != nil {
		t.Fatal(err)
	}
	tunes, _, err := abc.Read(b, "waltzes.abc")
	if err != nil {
		t.Fatal(err)
	}
	notes, worst := 0, 0.0
	for i, name := range []string{"reso-open-g", "lap8-c13", "pedal10-e9"} {
		if i%every(2) != 0 {
			continue
		}
		r := rigtest.Builtin(t, name)
		res, err := arrange.Arrange(t.Context(), tunes[3*i+1], r, arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		tb := res.Tab
		for j := range tb.Strokes {
			for k := range tb.Strokes[j].Plucks {
				tb.Strokes[j].Plucks[k].Damp = true
			}
		}
		a, times := hearTab(t, tb, sound.Options{Speed: 0.9})
		geo := steel.New(tb.Rig)
		for _, st := range times.Strokes {
			stroke := &tb.Strokes[st.StrokeIndex]
			if len(stroke.Plucks) != 1 || stroke.Plucks[0].Attack != tab.Picked || stroke.Plucks[0].Scoop != 0 || st.End-st.At < 0.35 {
				continue
			}
			want := float64(pitch.Equal(tab.Key(geo, stroke, &stroke.Plucks[0]), tb.Rig.Reference))
			off := 1200 * math.Log2(heardPitch(mono(a, st.At+0.10, st.At+0.26))/want)
			notes++
			worst = max(worst, math.Abs(off))
			if !(math.Abs(off) <= 3) {
				t.Errorf("%q on %s at %.2f s: %+.2f cents off %.2f Hz", tb.Tune.Title, name, st.At, off, want)
			}
		}
	}
	if notes < further.Few(60, 100) {
		t.Fatalf("only %d notes were tried", notes)
	}
	t.Logf("%d notes, worst %.2f cents", notes, worst)
}

// tool returns the path of a program that the tests compare with.
func tool(t *testing.T, name, from string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%s is missing: install Debian's %s", name, from)
	}
	return path
}

// Witness: aubiopitch 0.4.9 (Debian aubio-tools), method yin, at the file's own
// rate: 2.5 cents at worst and 1 in the median.
func TestSoundPitchByYin(t *testing.T) {
	yin := tool(t, "aubiopitch", "aubio-tools")
	var offs []float64
	for _, c := range []struct {
		rig string
		str int
	}{{"reso-open-g", 1}, {"tricone-open-d", 4}, {"hollow-neck-open-d", 3}, {"lap6-c6", 2}, {"pedal10-e9", 5}} {
		r := rigtest.Builtin(t, c.rig)
		frets := []float64{0, 3, 7, 12}
		tb := everyFret(r, frets, c.str)
		a, times := hearTab(t, tb, sound.Options{})
		file := filepath.Join(t.TempDir(), "notes.wav")
		if err := os.WriteFile(file, wav.Write(a), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(yin, "-i", file, "-r", "48000", "-p", "yin", "-B", "4096", "-H", "512").Output()
		if err != nil {
			t.Fatal(err)
		}
		for i, st := range times.Strokes {
			var hz []float64
			for _, line := range strings.Split(string(out), "\n") {
				f := strings.Fields(line)
				if len(f) != 2 {
					continue
				}
				at, err1 := strconv.ParseFloat(f[0], 64)
				v, err2 := strconv.ParseFloat(f[1], 64)
				if err1 == nil && err2 == nil && at > st.At+0.15 && at < st.At+0.4 && v > 0 {
					hz = append(hz, v)
				}
			}
			if len(hz) == 0 {
				t.Fatalf("%s fret %g: aubiopitch heard nothing", c.rig, frets[i])
			}
			slices.Sort(hz)
			want := float64(pitch.Equal(float64(r.OpenKey(c.str, 0))+frets[i], r.Reference))
			off := 1200 * math.Log2(hz[len(hz)/2]/want)
			offs = append(offs, math.Abs(off))
			if !(math.Abs(off) <= 2.5) {
				t.Errorf("%s string %d fret %g: aubiopitch hears %.3f Hz, want %.3f (%+.2f cents)", c.rig, c.str, frets[i], hz[len(hz)/2], want, off)
			}
		}
	}
	slices.Sort(offs)
	if median := offs[len(offs)/2]; median > 1 {
		t.Errorf("the median is %.2f cents off", median)
	}
	t.Logf("%d notes, worst %.2f cents, median %.2f", len(offs), offs[len(offs)-1], offs[len(offs)/2])
}

// Loudness and true peak agree with ffmpeg's ebur128 filter (ITU-R BS.1770, EBU
// R 128): 0.1 LU, which is how finely it prints, and 0.3 dB, since its
// interpolator is another.
func TestSoundLoudness(t *testing.T) {
	ffmpeg := tool(t, "ffmpeg", "ffmpeg")
	bodies := map[rig.Body]bool{}
	for _, r := range rig.Builtins() {
		if bodies[r.Body] {
			continue
		}
		bodies[r.Body] = true
		tb := everyFret(r, []float64{0, 2, 4, 5, 7, 9, 11, 12}, len(r.Strings)/2+1)
		o := sound.Options{CountIn: 1, Click: true}
		s, err := sound.RenderStems(tb, o)
		if err != nil {
			t.Fatal(err)
		}
		lead := &sound.Audio{}
		for _, c := range s.Lead.Channels {
			lead.Channels = append(lead.Channels, slices.Clone(c))
		}
		for what, a := range map[string]*sound.Audio{"lead": lead, "lead and click": s.Mix()} {
			file := filepath.Join(t.TempDir(), "tune.wav")
			if err := os.WriteFile(file, wav.Write(a), 0o644); err != nil {
				t.Fatal(err)
			}
			log, err := exec.Command(ffmpeg, "-hide_banner", "-nostats", "-i", file, "-af", "ebur128=peak=true", "-f", "null", "-").CombinedOutput()
			if err != nil {
				t.Fatalf("%v: %s", err, log)
			}
			summary := string(log[strings.LastIndex(string(log), "Summary:"):])
			theirs, theirPeak := after(t, summary, "I:"), after(t, summary, "Peak:")
			ours, ourPeak := sound.Loudness(a)
			if math.Abs(ours-theirs) > 0.1 || math.Abs(ourPeak-theirPeak) > 0.3 {
				t.Errorf("%s, %s: %.2f LUFS and %.2f dBTP; ffmpeg reads %.1f and %.1f", r.Name, what, ours, ourPeak, theirs, theirPeak)
			}
			if what == "lead" && math.Abs(theirs-sound.DefaultLoudness) > 0.5 {
				t.Errorf("%s: ffmpeg reads %.1f LUFS, want %v", r.Name, theirs, sound.DefaultLoudness)
			}
			if theirPeak > sound.Ceiling+0.1 {
				t.Errorf("%s, %s: ffmpeg reads a true peak of %.1f dBTP", r.Name, what, theirPeak)
			}
		}
	}
}

// after reads the number that follows a label.
func after(t *testing.T, s, label string) float64 {
	t.Helper()
	_, rest, ok := strings.Cut(s, label)
	f := strings.Fields(rest)
	if !ok || len(f) == 0 {
		t.Fatalf("ffmpeg did not print %q: %s", label, s)
	}
	v, err := strconv.ParseFloat(f[0], 64)
	if err != nil {
		t.Fatalf("ffmpeg printed %q after %q", f[0], label)
	}
	return v
}

// ffmpeg decodes FLAC to the very samples of WAV, and Opus to as many samples,
// none shifted, that differ by less than 20 dB under the sound.
func TestSoundFiles(t *testing.T) {
	ffmpeg := tool(t, "ffmpeg", "ffmpeg")
	r := rigtest.Builtin(t, "tricone-open-d")
	a, _ := hearTab(t, everyFret(r, []float64{0, 5, 7, 12}, 2), sound.Options{CountIn: 1})
	flacFile, err := flac.Write(a)
	if err != nil {
		t.Fatal(err)
	}
	opusFile, err := opus.Write(a)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	decode := func(name string, b []byte) []byte {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, b, 0o644); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(ffmpeg, "-v", "error", "-i", file, "-f", "s16le", "-")
		var complaints strings.Builder
		cmd.Stderr = &complaints
		out, err := cmd.Output()
		if err != nil || complaints.Len() > 0 {
			t.Fatalf("%s: %v: %s", name, err, complaints.String())
		}
		return out
	}
	plain := decode("a.wav", wav.Write(a))
	if got := decode("a.flac", flacFile); string(got) != string(plain) {
		t.Errorf("FLAC decodes to other samples than WAV")
	}
	got := decode("a.opus", opusFile)
	if len(got) != len(plain) {
		t.Fatalf("Opus decodes to %d bytes of samples, want %d", len(got), len(plain))
	}
	at := func(b []byte, i int) float64 { return float64(int16(uint16(b[2*i]) | uint16(b[2*i+1])<<8)) }
	signal, lost := 0.0, 0.0
	for i := range len(plain) / 2 {
		signal += at(plain, i) * at(plain, i)
		d := at(plain, i) - at(got, i)
		lost += d * d
	}
	if snr := 10 * math.Log10(signal/lost); snr < 20 {
		t.Errorf("Opus is only %.1f dB above what it loses: shifted, or spoilt", snr)
	}
	if 8*len(opusFile) > len(plain) {
		t.Errorf("Opus takes %d bytes of %d", len(opusFile), len(plain))
	}
}

// Chromium decodes FLAC and Opus to as many samples as it does WAV, none
// shifted: FLAC to within its own rounding, Opus 20 dB under the sound.
func TestSoundFilesInChromium(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	a, _ := hearTab(t, everyFret(r, []float64{0, 7}, 2), sound.Options{})
	flacFile, err := flac.Write(a)
	if err != nil {
		t.Fatal(err)
	}
	opusFile, err := opus.Write(a)
	if err != nil {
		t.Fatal(err)
	}
	browser, err := Browser()
	if err != nil {
		t.Fatal(err)
	}
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), chromedp.ExecPath(browser),
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.Headless, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("mute-audio", true))
	defer endAlloc()
	ctx, end := chromedp.NewContext(alloc)
	defer end()
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("%s does not start: %v", browser, err)
	}
	limited, stop := context.WithTimeout(ctx, 3*time.Minute)
	defer stop()
	script := fmt.Sprintf(`(async () => {
		const decode = async (text) => {
			const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
			return await new OfflineAudioContext(2, 1, 48000).decodeAudioData(bytes.buffer);
		};
		const wav = await decode(%q);
		const out = [wav.length];
		for (const text of [%q, %q]) {
			const got = await decode(text);
			let signal = 0, lost = 1e-12;
			for (let c = 0; c < 2; c++) {
				const x = wav.getChannelData(c), y = got.getChannelData(c);
				for (let i = 0; i < x.length; i++) {
					signal += x[i] * x[i];
					lost += (x[i] - y[i]) ** 2;
				}
			}
			out.push(got.length, 10 * Math.log10(signal / lost));
		}
		return out;
	})()`, base64.StdEncoding.EncodeToString(wav.Write(a)), base64.StdEncoding.EncodeToString(flacFile), base64.StdEncoding.EncodeToString(opusFile))
	out, err := chromedp.Run(limited, chromedp.Evaluate[[]float64](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	if len(out) != 5 || int(out[0]) != a.Len() || out[1] != out[0] || out[3] != out[0] || out[2] < 60 || out[4] < 20 {
		t.Errorf("of %d samples Chromium makes: WAV %.0f, FLAC %.0f (%.1f dB), Opus %.0f (%.1f dB)", a.Len(), out[0], out[1], out[2], out[3], out[4])
	}
}
