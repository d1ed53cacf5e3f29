package click

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/tune"
)

// Where it counts in and clicks, in eighths from the start of the music: before a pickup a
// whole bar and what the pickup's bar lacks; bars of unequal groups by their groups
// (reckoned by hand; common practice, no source).
func TestCountsIn(t *testing.T) {
	four, seven := tune.Meter{Beats: 4, Unit: 4}, tune.Meter{Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}
	quarter := tune.Whole / 4
	whole := tune.Bar{Number: 1, Meter: four, Len: tune.Whole}
	pickup := tune.Bar{Number: 0, Meter: four, Len: quarter}
	groups := tune.Bar{Number: 1, Meter: seven, Len: seven.Len()}
	for _, c := range []struct {
		what  string
		bars  []tune.Bar
		o     Options
		want  string
		beats float64 // quarters before the music
	}{
		{"two bars", []tune.Bar{whole}, Options{CountIn: 2}, "-16:0 -14:1 -12:1 -10:1 -8:0 -6:1 -4:1 -2:1", 8},
		{"a pickup", []tune.Bar{pickup, whole}, Options{CountIn: 1, Through: true}, "-14:0 -12:1 -10:1 -8:1 -6:0 -4:1 -2:1 0:1 2:0 4:1 6:1 8:1", 7},
		{"groups", []tune.Bar{groups}, Options{CountIn: 1}, "-7:0 -6:2 -5:1 -4:2 -3:1 -2:2 -1:2", 3.5},
		{"between groups", []tune.Bar{groups}, Options{Through: true, On: TwoAndFour}, "2:1 4:1", 0},
		{"groups subdivided", []tune.Bar{groups}, Options{Through: true, On: Subdivided}, "0:0 1:2 2:1 3:2 4:1 5:2 6:2", 0},
		{"two bars with, two without", []tune.Bar{whole, whole, whole, whole, whole}, Options{Through: true, Out: 2}, "0:0 2:1 4:1 6:1 8:0 10:1 12:1 14:1 32:0 34:1 36:1 38:1", 0},
		{"a free meter", []tune.Bar{{Number: 1, Len: tune.Whole}}, Options{CountIn: 1}, "-8:1 -6:1 -4:1 -2:1", 4}, // four beats, none of them the first
		{"a free meter between", []tune.Bar{{Number: 1, Len: tune.Whole}}, Options{Through: true, On: TwoAndFour}, "2:1 4:1 6:1", 0},
		{"a pickup without counting", []tune.Bar{pickup, whole}, Options{}, "", 0},
		{"a pickup is on four", []tune.Bar{pickup, whole}, Options{Through: true}, "0:1 2:0 4:1 6:1 8:1", 0},
		{"a last bar that is short", []tune.Bar{pickup, whole, {Number: 2, Meter: four, Len: 3 * quarter}}, Options{Through: true}, "0:1 2:0 4:1 6:1 8:1 10:0 12:1 14:1", 0},
		{"a bar that ends between beats", []tune.Bar{{Number: 1, Meter: four, Len: 3 * quarter / 2}, whole}, Options{Through: true, On: Subdivided}, "0:0 1:2 2:1 3:0 4:2 5:1 6:2 7:1 8:2 9:1 10:2", 0},
		{"nothing", nil, Options{CountIn: 1, Through: true}, "", 0},
	} {
		p := tune.Perform(&tune.Tune{Bars: c.bars})
		var got []string
		for _, b := range Write(p, c.o, func(at tune.Ticks) int { return int(at/(tune.Whole/8)) + 100 }) {
			got = append(got, fmt.Sprintf("%d:%d", b.At-100, b.Weight))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %s, want %s", c.what, s, c.want)
		}
		if s := LeadIn(p, c.o.CountIn); math.Abs(s-c.beats*p.Clock.Seconds(quarter)) > 1e-9 {
			t.Errorf("%s: %g s of clicks before the music, want %g quarters", c.what, s, c.beats)
		}
	}
	// What would come before the recording comes with its start.
	if b := Write(tune.Perform(&tune.Tune{Bars: []tune.Bar{whole}}), Options{CountIn: 1}, func(tune.Ticks) int { return -5 }); b[0].At != 0 {
		t.Errorf("a click at sample %d", b[0].At)
	}
}

// power returns how much of a stretch of a click lies at f hertz (Goertzel's sum).
func power(weight, from, to int, f float64) float64 {
	var re, im float64
	for i := from; i < to; i++ {
		x := Sample(i, weight)
		s, c := math.Sincos(2 * math.Pi * f * float64(i) / 48000)
		re, im = re+x*c, im+x*s
	}
	return math.Hypot(re, im) / float64(to-from)
}

// A first beat is heard by its pitch, a fourth above the others, and louder; a lesser one
// is softer than both. A click has no edge: it begins and ends in silence, and dies by
// 60 dB in 45 ms, so by 20 dB in 15.
func TestAFirstBeatIsHeard(t *testing.T) {
	db := func(a, b float64) float64 { return 20 * math.Log10(a/b) }
	level := func(weight int) float64 { return power(weight, 0, Length, []float64{1760, 1320, 1320}[weight]) }
	for w, hz := range []float64{1760, 1320, 1320} {
		if other := 3080 - hz; db(power(w, 0, Length, hz), power(w, 0, Length, other)) < 12 {
			t.Errorf("weight %d: %g Hz is not heard over %g", w, hz, other)
		}
		if up := db(power(w, 0, Length, 2.71*hz), power(w, 0, Length, hz)); math.Abs(up-db(0.25, 0.75)) > 1 {
			t.Errorf("weight %d: the upper tone is %.1f dB against the lower", w, up)
		}
		if s := Sample(0, w); s != 0 {
			t.Errorf("weight %d begins at %g", w, s)
		}
		if s := Sample(Length-1, w); math.Abs(s) > 1e-5 {
			t.Errorf("weight %d ends at %g", w, s)
		}
		if fell := db(power(w, 480, 720, hz), power(w, 1200, 1440, hz)); math.Abs(fell-20) > 1 {
			t.Errorf("weight %d falls by %.1f dB in 15 ms", w, fell)
		}
		peak, at := 0.0, 0
		for i := range Length {
			if s := math.Abs(Sample(i, w)); s > peak {
				peak, at = s, i
			}
		}
		if most := []float64{0.40, 0.28, 0.16}[w]; peak > most || peak < 0.7*most || at > 48 {
			t.Errorf("weight %d is at most %g, after %d samples", w, peak, at)
		}
	}
	if a, b := db(level(0), level(1)), db(level(1), level(2)); math.Abs(a-3.1) > 0.3 || math.Abs(b-4.9) > 0.3 {
		t.Errorf("a first beat is %.1f dB over the others, those %.1f over lesser ones", a, b)
	}
}

// Clicks are the same in blocks of any size, run over into each other, and after Take go
// on with what is still to come.
func TestClicksInBlocks(t *testing.T) {
	beats := []Beat{{}, {At: 479, Weight: 1}, {At: 1000, Weight: 2}, {At: 4096, Weight: 1}}
	want := make([]float64, 8000)
	for _, b := range beats {
		for i := range Length {
			want[b.At+i] += Sample(i, b.Weight)
		}
	}
	for _, size := range []int{1, 64, 479, 4096} {
		c := New(beats)
		for n := 0; n < len(want); n += size {
			out := make([]float64, min(size, len(want)-n))
			c.Add(out, n)
			for i, v := range out {
				if math.Abs(v-want[n+i]) > 1e-12 {
					t.Fatalf("blocks of %d: sample %d is %g, want %g", size, n+i, v, want[n+i])
				}
			}
		}
	}
	c := New(nil)
	c.Take(beats, 479, 100) // from its sample 479 on, at sample 100 of what sounds
	out := make([]float64, 8000)
	c.Add(out, 0)
	for i, v := range out {
		w := 0.0
		for _, b := range beats[1:] {
			if k := i - (b.At - 379); k >= 0 && k < Length {
				w += Sample(k, b.Weight)
			}
		}
		if math.Abs(v-w) > 1e-12 {
			t.Fatalf("taken up: sample %d is %g, want %g", i, v, w)
		}
	}
}

// TestClickInPieces: clicks sound alike in blocks of any length, over their ends too.
func TestClickInPieces(t *testing.T) {
	beats := []Beat{{At: 0}, {At: 1000, Weight: 1}, {At: 4096, Weight: 2}, {At: 4790, Weight: 1}}
	var want []float64
	for _, size := range []int{8000, 4096, 479, 64, 1} {
		c := New(beats)
		out := make([]float64, 8000)
		for at := 0; at < len(out); at += size {
			c.Add(out[at:min(at+size, len(out))], at)
		}
		if want == nil {
			want = out
			for i, b := range beats { // where no other sounds, a click is its samples
				if at := b.At + 300; i < 2 && out[at] == 0 {
					t.Errorf("click %d is not heard", i)
				}
			}
		}
		for i := range out {
			if out[i] != want[i] {
				t.Errorf("in blocks of %d sample %d is %g, in one %g", size, i, out[i], want[i])
				break
			}
		}
	}
}
