package listen

import (
	"math"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/sound"
)

// What is told of a moment is known when the last sample of it has come: nothing later is
// looked at, and what is told lies 2.5 periods back, 42 ms at 60 Hz. Witness: a pitch that glides
// evenly in cents, which at every moment is known; the figure is that of the moment Behind before
// the last sample. Lateness of the whole is then Behind and what a block lasts: below 60 ms from
// 60 Hz up with the page's blocks of 512 samples at 48 kHz.
func TestNowLooksOnlyBack(t *testing.T) {
	const rate, centsASecond, block = 48000.0, 100.0, 512
	for _, f := range []float64{62, 82.4, 110, 196, 330, 660} {
		r := rigtest.Builtin(t, "reso-open-g")
		tb := lay(r, 80, []listentest.Spot{{Strings: []int{1}, Frets: []float64{5}, Len: quarter}})
		s := NewSteel(tb, make([]float64, len(r.Strings)))
		s.places[0].hz = f
		phase, samples := 0.0, make([]float32, int(1.2*rate))
		for i := range samples {
			phase += 2 * math.Pi * f * math.Exp2(centsASecond*(float64(i)/rate-0.6)/1200) / rate
			for n := 1.0; n <= 8; n++ {
				samples[i] += float32(0.3 / n * math.Sin(n*phase))
			}
		}
		for end := 0.5; end < 0.7; end += 0.03 {
			n := int(end * rate)
			now := samples[n-int(NowSeconds*rate) : n]
			take, err := NewTake(now, rate)
			if err != nil {
				t.Fatal(err)
			}
			h, ok := s.Now(take, nil)
			if !ok {
				t.Errorf("%g Hz: nothing is heard", f)
				continue
			}
			is := centsASecond * (end - h.Behind - 0.6)
			if math.Abs(h.Cents-is) > 1 {
				t.Errorf("%g Hz at %.2f s: %.2f cents, and %.1f ms before they were %.2f", f, end, h.Cents, 1000*h.Behind, is)
			}
			if late := h.Behind + block/rate; late >= 0.060 {
				t.Errorf("%g Hz: told %.1f ms late, want below 60", f, 1000*late)
			}
		}
	}
}

// While a line is played the steel is told where it was put: against the places of the tab, off by
// known cents.
func TestNowTellsTheSteel(t *testing.T) {
	t.Parallel()
	r := rigtest.Builtin(t, "lap6-c6")
	want := line(r, 23, 24, 12)
	take := played(want)
	for i := range take.Strokes {
		off(take, i, func(int) float64 { return 12 })
	}
	times, err := sound.Timeline(take, sound.Options{Dry: true})
	if err != nil {
		t.Fatal(err)
	}
	samples := mono(t, take, sound.Options{Dry: true})
	s := NewSteel(want, make([]float64, len(r.Strings)))
	var errs []float64
	told, wrong := 0, 0
	for i := range want.Strokes {
		p := want.Strokes[i].Plucks[0]
		if p.Fret == 0 {
			continue
		}
		n := int((times.Strokes[i].At + 0.22) * sound.Rate)
		one, err := NewTake(samples[n-int(NowSeconds*sound.Rate):n], sound.Rate)
		if err != nil {
			t.Fatal(err)
		}
		h, ok := s.Now(one, nil)
		if !ok {
			continue
		}
		told++
		if key := r.OpenKey(h.String, 0) + int(h.Fret); key != r.OpenKey(p.String, 0)+int(p.Fret) {
			wrong++
			continue
		}
		errs = append(errs, math.Abs(h.Cents-12))
		if h.String == p.String && h.Fret == p.Fret && math.Abs(h.MM-12/(1200/math.Ln2/(float64(r.Scale)-float64(s.g.X(p.Fret))))) > 3 {
			t.Errorf("note %d: the steel is told %.1f mm off", i, h.MM)
		}
	}
	t.Logf("%d told, %d as another note; cents: median %.2f off, 95 %% %.2f", told, wrong, quantile(errs, 0.5), quantile(errs, 0.95))
	if told < 16 || wrong > 2 || !(quantile(errs, 0.5) < 4) {
		t.Errorf("%d told, %d as another note, median %.2f cents off", told, wrong, quantile(errs, 0.5))
	}
}

// One pitch lies on several strings: what is to sound says which is meant. What lies nowhere near it is
// held against the nearest place of the tab.
func TestNowIsHeldAgainstWhatIsDue(t *testing.T) {
	const rate = 48000.0
	r := rigtest.Builtin(t, "reso-open-g") // strings 1 and 2 are D4 and B3
	tb := lay(r, 80, []listentest.Spot{{Strings: []int{1}, Frets: []float64{2}, Len: quarter}, {Strings: []int{2}, Frets: []float64{5}, Len: quarter}, {Strings: []int{2}, Frets: []float64{9}, Len: quarter}})
	s := NewSteel(tb, make([]float64, len(r.Strings)))
	e4 := math.Exp2(10.0/1200) * 440 * math.Exp2(-5.0/12) // ten cents over
	samples := make([]float32, int(NowSeconds*rate))
	for i := range samples {
		samples[i] = float32(0.3 * math.Sin(2*math.Pi*e4*float64(i)/rate))
	}
	take, err := NewTake(samples, rate)
	if err != nil {
		t.Fatal(err)
	}
	for due, want := range map[int]struct {
		string int
		fret   float64
	}{0: {1, 2}, 1: {2, 5}, 2: {1, 2}} {
		h, ok := s.Now(take, &tb.Strokes[due])
		if !ok || h.String != want.string || h.Fret != want.fret || math.Abs(h.Cents-10) > 0.5 {
			t.Errorf("stroke %d is due: string %d fret %g, %.2f cents, want string %d fret %g, 10", due, h.String, h.Fret, h.Cents, want.string, want.fret)
		}
		if math.Abs(h.At-(want.fret+0.1)) > 0.005 { // ten cents are a tenth of a fret
			t.Errorf("stroke %d is due: the steel is at %.3f, want %.1f", due, h.At, want.fret+0.1)
		}
	}
}
