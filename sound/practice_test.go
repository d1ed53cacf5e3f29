package sound

import (
	"math"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// In the student's turn the instrument is silent from 0.15 s on, which is as long as a stopped string is heard; the clicks go on and
// the bars say whose turn it is.
func TestYourTurnIsSilent(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 120, note{str: 1, fret: 5, len: 2}, note{str: 2, fret: 5, len: 2}, note{str: 1, fret: 7, len: 4})
	perf, err := tb.Performance().Practised(tune.Practice{Turn: 1})
	if err != nil {
		t.Fatal(err)
	}
	tb.Performed = perf
	o := Options{Click: true, Dry: true}
	s, err := RenderStems(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	times, err := Timeline(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	level := func(x []float32, from, to float64) float64 {
		sum := 1e-15
		for _, v := range x[int(from*Rate):int(to*Rate)] {
			sum += float64(v) * float64(v)
		}
		return 10 * math.Log10(sum/((to-from)*Rate))
	}
	yours := 0
	for k, b := range times.Bars {
		if b.Yours != (k%2 == 1) {
			t.Errorf("bar %d as it sounds: yours is %v", k+1, b.Yours)
		}
		lead := level(s.Lead.Channels[0], b.At+0.3, b.End-0.05)
		if b.Yours {
			yours++
			if lead > -75 {
				t.Errorf("bar %d: the instrument has %.1f dB in the student's turn", k+1, lead)
			}
		} else if lead < -50 {
			t.Errorf("bar %d: the instrument has %.1f dB in its own", k+1, lead)
		}
		if click := level(s.Click.Channels[0], b.At, b.End); click < -50 {
			t.Errorf("bar %d: the click has %.1f dB", k+1, click)
		}
	}
	if yours != 2 {
		t.Errorf("%d bars are the student's, want 2", yours)
	}
}

// Slow glides take as many times as long as is asked and end on the beat all the same.
func TestSlowGlides(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 60, note{str: 1, fret: 5, len: 2, glide: true}, note{str: 1, fret: 7, len: 2, attack: tab.Glided})
	took := func(x float64) (from, to float64) {
		times, err := Timeline(tb, Options{Glides: x})
		if err != nil {
			t.Fatal(err)
		}
		for k := 1; k < len(times.Steel); k++ {
			if a, b := times.Steel[k-1], times.Steel[k]; a.FirstFret == 5 && b.FirstFret == 7 {
				return a.At, b.At
			}
		}
		t.Fatal("there is no glide")
		return 0, 0
	}
	from, to := took(1)
	slow, end := took(4)
	if r := (end - slow) / (to - from); math.Abs(r-4) > 1e-6 || math.Abs(end-to) > 1e-9 {
		t.Errorf("a glide of %.3f s becomes %.3f s, ending at %.3f and %.3f", to-from, end-slow, to, end)
	}
	if _, err := Timeline(tb, Options{Glides: 5}); err == nil {
		t.Error("glides five times as long are taken")
	}
}
