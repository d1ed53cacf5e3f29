package refcheck

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/internal/bar"
	"lapwright/internal/pitch"
	"lapwright/internal/rig"
	"lapwright/internal/sound"
	"lapwright/internal/tab"
	"lapwright/internal/tune"
)

// everyFret is a tab that plays string s at the given frets, a half note each
// at 60 a minute, every note damped so that one is heard at a time.
func everyFret(r *rig.Rig, s int, frets []float64) *tab.Tab {
	const half = tune.Whole / 2
	tn := &tune.Tune{Title: "one string", Voices: []tune.Voice{{ID: "1"}}}
	out := &tab.Tab{Tune: tn, Rig: r}
	for i, f := range frets {
		if i%2 == 0 {
			tn.Bars = append(tn.Bars, tune.Bar{
				Number: i/2 + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole,
				Tempos: []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 90_000}}, Lines: [][]tune.Event{nil},
			})
		}
		b := len(tn.Bars) - 1
		at := half * tune.Ticks(i%2)
		p := bar.Placement{Kind: bar.Straight, First: 1, Last: int8(len(r.Strings)), FirstFret: f, LastFret: f}
		if f == 0 {
			p = bar.Placement{}
		}
		key := float64(r.OpenKey(s, 0)) + f
		tn.Bars[b].Lines[0] = append(tn.Bars[b].Lines[0], tune.Event{
			At: at, Len: half, Value: tune.Value{Log2: 1}, Notes: []tune.Note{{Name: pitch.SpellKey(int(math.Round(key)), 0)}},
		})
		out.Strokes = append(out.Strokes, tab.Stroke{
			Bar: b, At: at, Len: half, Placement: p,
			Plucks: []tab.Pluck{{Ref: tune.Ref{Bar: b, Event: i % 2, Grace: -1}, String: s, Fret: f, Finger: tab.Index, Len: half, Damp: true}},
		})
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

// Every string of every built-in rig sounds within 3 cents of what the tab
// says, from the open string to the end of the neck. Witness: an estimate by
// autocorrelation that shares nothing with the synthesiser.
func TestSoundPitch(t *testing.T) {
	frets := []float64{0, 0.5, 1, 3, 5, 7, 8.25, 10, 12, 15, 17, 19.5, 22, 24}
	notes, worst := 0, 0.0
	for _, r := range rig.Builtins() {
		for s := 1; s <= len(r.Strings); s++ {
			tb := everyFret(r, s, frets)
			a, err := sound.Render(tb, sound.Options{})
			if err != nil {
				t.Fatal(err)
			}
			times, err := sound.Timeline(tb, sound.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for i, st := range times.Strokes {
				want := float64(pitch.Equal(float64(r.OpenKey(s, 0))+frets[i], r.Reference))
				got := heardPitch(mono(a, st.At+0.12, st.At+0.42))
				off := 1200 * math.Log2(got/want)
				notes++
				worst = max(worst, math.Abs(off))
				if os.Getenv("SHOW") != "" || math.Abs(off) > 3 || math.IsNaN(off) {
					t.Errorf("%s string %d fret %g: heard %.3f Hz, want %.3f (%+.2f cents)", r.Name, s, frets[i], got, want, off)
				}
			}
		}
	}
	if notes == 0 {
		t.Fatal("no note was tried")
	}
	t.Logf("%d notes, worst %.2f cents", notes, worst)
}

var _ = fmt.Sprint
var _ = exec.Command
var _ = filepath.Join
var _ = slices.Sort[[]int]
var _ = strconv.Itoa
var _ = strings.Join
