package refcheck

import (
	"math"
	"testing"

	"lapwright/notation/midi"
	"lapwright/rig/rigtest"
	"lapwright/sound"
)

// TestVibratoAgrees: the recording and the MIDI file of a tab swing alike, to 5 % in
// rate and width. Both are measured from outside, by the estimate of pitch that the
// pitch tests use, on instruments whose body does not blur the pitch by its own ringing. The amplifier's springs are
// off: they give back, some 50 ms late and over and over, the pitch that was, which no file of notes does, and at E5 took
// a tenth off the width that an estimate reads of the two together. The room stays.
func TestVibratoAgrees(t *testing.T) {
	noSprings := 0.0
	for _, c := range []struct {
		rig  string
		str  int
		fret float64
	}{{"lap6-c6", 1, 10}, {"lap6-c6", 1, 12}, {"lap8-c13", 1, 9}} {
		r := rigtest.Builtin(t, c.rig)
		tb := everyFret(r, []float64{c.fret, c.fret}, c.str)
		tb.Tune.Bars[0].Tempos[0].PerMinute = 45_000 // a half note lasts 2.67 s
		tb.Strokes[0].Plucks[0].Vibrato = true
		a, times := hearTab(t, tb, sound.Options{Spring: &noSprings})
		from, to := 0.65, 2.5
		var heard, written []float64
		// Over a window of 50 ms both are a little less wide.
		const every, half = 0.005, 0.025
		for at := from; at < to; at += every {
			hz := heardPitch(mono(a, times.Strokes[0].At+at-half, times.Strokes[0].At+at+half))
			heard = append(heard, 1200*math.Log2(hz))
		}
		b, _, err := midi.Encode(tb)
		if err != nil {
			t.Fatal(err)
		}
		f, err := midi.Read(b, "vibrato.mid")
		if err != nil {
			t.Fatal(err)
		}
		n := f.Tracks[1].Notes[0]
		second := 45. / 60 * float64(f.Division.PPQ)
		// The file is sounded as a few plain partials that follow its bends, so that one
		// estimate measures both.
		tone, phase, k := make([]float64, int((to+1)*sound.Rate)), 0.0, 0
		now := n.Bend
		for i := range tone {
			for k < len(n.Bends) && float64(n.Bends[k].At-n.At) <= float64(i)/sound.Rate*second {
				now = n.Bends[k].Semitones
				k++
			}
			phase += 2 * math.Pi * 440 * math.Exp2((float64(n.Key)+now-69)/12) / sound.Rate
			tone[i] = math.Sin(phase) + math.Sin(2*phase)/2 + math.Sin(3*phase)/3
		}
		for at := from; at < to; at += every {
			written = append(written, 1200*math.Log2(heardPitch(tone[int((at-half)*sound.Rate):int((at+half)*sound.Rate)])))
		}
		rate, width := swing(heard, every)
		rate2, width2 := swing(written, every)
		t.Logf("%s fret %g: sounds %.3f Hz, %.2f cents each way; written %.3f Hz, %.2f cents", c.rig, c.fret, rate, width, rate2, width2)
		if math.Abs(rate/rate2-1) > 0.05 || math.Abs(width/width2-1) > 0.05 {
			t.Errorf("%s fret %g: the vibrato sounds %.3f times a second %.2f cents wide, and is written %.3f times a second %.2f cents wide", c.rig, c.fret, rate, width, rate2, width2)
		}
		if rate < 4 || rate > 7 || width < 3 || width > 40 {
			t.Errorf("%s fret %g: %.3f swings a second, %.2f cents each way are no hand vibrato", c.rig, c.fret, rate, width)
		}
	}
}

// swing fits one sine by least squares, over rates of 3 to 9 a second, and gives its
// rate and its height.
func swing(x []float64, every float64) (rate, height float64) {
	mean := 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	best := 0.0
	for f := 3.0; f < 9; f += 0.01 {
		var s, c float64
		for i, v := range x {
			w := 2 * math.Pi * f * float64(i) * every
			s += (v - mean) * math.Sin(w)
			c += (v - mean) * math.Cos(w)
		}
		if h := 2 * math.Hypot(s, c) / float64(len(x)); h > best {
			best, rate = h, f
		}
	}
	return rate, best
}
