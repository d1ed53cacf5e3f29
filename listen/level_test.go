package listen

import (
	"math"
	"strings"
	"testing"
)

const testRate = 44100

// tones are sinusoids of so many hertz and of such heights, so many seconds long.
func tones(seconds float64, hz, height []float64) []float32 {
	out := make([]float32, int(seconds*testRate))
	for i := range out {
		for k, f := range hz {
			out[i] += float32(height[k] * math.Sin(2*math.Pi*f*float64(i)/testRate))
		}
	}
	return out
}

func levelOf(t *testing.T, samples []float32) (Level, string) {
	t.Helper()
	take, err := NewTake(samples, testRate)
	if err != nil {
		t.Fatal(err)
	}
	return take.Level(), take.Unfit()
}

// The levels of a sinusoid of height a: 20·log10(a) at its peak, 3.01 dB less as root mean
// square (a/√2). The quietest and the loudest tenth of a take are told apart; flat tops at the
// peak are counted; the mains' hum is told where it stands out.
func TestLevel(t *testing.T) {
	near := func(got, want float64) bool {
		return got == want || math.Abs(got-want) < 0.1
	}
	loud := tones(2, []float64{440}, []float64{0.5})
	v, unfit := levelOf(t, loud)
	if !near(v.Peak, -6.02) || !near(v.Loud, -9.03) || !near(v.Quiet, -9.03) || v.Clipped != 0 || v.HumHz != 0 || !math.IsInf(v.Hum, -1) || unfit != "" {
		t.Errorf("a tone at half of full scale: %+v, %q", v, unfit)
	}
	v, _ = levelOf(t, append(tones(1, []float64{440}, []float64{0.005}), loud...))
	if !near(v.Loud, -9.03) || math.Abs(v.Quiet+49.03) > 0.3 {
		t.Errorf("a third of it 40 dB softer: %+v", v)
	}
	v, unfit = levelOf(t, make([]float32, testRate))
	if !math.IsInf(v.Peak, -1) || !math.IsInf(v.Loud, -1) || v.Clipped != 0 || !strings.Contains(unfit, "nothing to hear") {
		t.Errorf("silence: %+v, %q", v, unfit)
	}
	for height, want := range map[float64]string{0.0015: "", 0.0013: "nothing to hear"} { // −59.5 and −60.7 dB
		if _, unfit := levelOf(t, tones(1, []float64{440}, []float64{height})); (unfit == "") != (want == "") || !strings.Contains(unfit, want) {
			t.Errorf("a tone of height %g: %q", height, unfit)
		}
	}
	for seconds, fit := range map[float64]bool{0.45: false, 0.55: true} {
		if _, unfit := levelOf(t, tones(seconds, []float64{440}, []float64{0.5})); (unfit == "") != fit {
			t.Errorf("%g seconds: %q", seconds, unfit)
		}
	}
	cut := tones(1, []float64{440}, []float64{0.5})
	flat := 0
	for i, x := range cut {
		if x = max(-0.4, min(x, 0.4)); x == 0.4 || x == -0.4 {
			flat++
		}
		cut[i] = x
	}
	if v, unfit := levelOf(t, cut); v.Clipped < flat*9/10 || v.Clipped > flat || !strings.Contains(unfit, "overdriven") {
		t.Errorf("%d samples cut off: %+v, %q", flat, v, unfit)
	}
	for _, hz := range []float64{50, 60} {
		v, _ := levelOf(t, append(tones(1, []float64{hz, 2 * hz}, []float64{0.01, 0.005}), loud...))
		if want := 20 * math.Log10(math.Hypot(0.01, 0.005)/math.Sqrt2); v.HumHz != hz || math.Abs(v.Hum-want) > 1 {
			t.Errorf("hum of %g Hz: %+v, want %.1f dB", hz, v, want)
		}
	}
	if v, _ := levelOf(t, append(tones(1, []float64{65.4}, []float64{0.01}), loud...)); v.HumHz != 0 {
		t.Errorf("a low C is taken for hum: %+v", v)
	}
}

// Straight-line fits by hand: y = 1 + 2·x through (0,1), (1,3), (2,5), its normal equations
// [3 3; 3 5], [9; 13] with the inverse's diagonal 5/6 and 3/6; what nothing says is not told.
func TestSolve(t *testing.T) {
	near := func(a, b float64) bool { return a == b || math.Abs(a-b) < 1e-12 }
	for _, c := range []struct {
		a        [][]float64
		x, doubt [2]float64
	}{
		{[][]float64{{3, 3, 9}, {3, 5, 13}}, [2]float64{1, 2}, [2]float64{math.Sqrt(5.0 / 6), math.Sqrt(0.5)}},
		{[][]float64{{4, 0, 8}, {0, 0, 0}}, [2]float64{2, 0}, [2]float64{0.5, math.Inf(1)}},
		{[][]float64{{0, 0, 0}, {0, 4, 8}}, [2]float64{0, 2}, [2]float64{math.Inf(1), 0.5}},
		{[][]float64{{1, 3, 5}, {3, 1, 7}}, [2]float64{2, 1}, [2]float64{}}, // the second is the larger in the first column; no normal equations, so no errors
	} {
		x, doubt := solve(c.a)
		for i := range x {
			if !near(x[i], c.x[i]) || c.doubt != [2]float64{} && !near(doubt[i], c.doubt[i]) {
				t.Errorf("%v: %v ± %v; want %v ± %v", c.a, x, doubt, c.x, c.doubt)
				break
			}
		}
	}
}

// The middle of votes by their weight.
func TestWeightedMedian(t *testing.T) {
	for _, c := range []struct {
		cents, weights []float64
		want           float64
	}{
		{[]float64{3}, []float64{1}, 3}, {[]float64{9, 1, 5}, []float64{1, 1, 1}, 5}, {[]float64{9, 1, 5}, []float64{5, 1, 1}, 9}, {[]float64{9, 1}, []float64{1, 1}, 1}, {[]float64{2, 4}, []float64{0, 0}, 2},
	} {
		var votes []vote
		for i := range c.cents {
			votes = append(votes, vote{cents: c.cents[i], weight: c.weights[i]})
		}
		if got := weightedMedian(votes); got != c.want {
			t.Errorf("%v weighing %v: %g, want %g", c.cents, c.weights, got, c.want)
		}
	}
}

// Vibrato of 3 to 9 a second is found with its rate and its width to either side; what is
// narrower than 3 cents, wanders or is short is none.
func TestFindVibrato(t *testing.T) {
	curve := func(n int, rate, width float64) []point {
		out := make([]point, n)
		for i := range out {
			at := float64(i) * 0.01
			out[i] = point{at: at, cents: 5 + width*math.Sin(2*math.Pi*rate*at+1)}
		}
		return out
	}
	for _, c := range []struct {
		what        string
		part        []point
		rate, width float64
	}{
		{"5.5 a second, 20 cents", curve(200, 5.5, 20), 5.5, 20},
		{"4 a second, 8 cents", curve(100, 4, 8), 4, 8},
		{"2 cents", curve(200, 5.5, 2), 0, 0},
		{"15 a second", curve(200, 15, 20), 0, 0},
		{"a quarter of a second", curve(25, 5.5, 20), 0, 0},
		{"none", curve(200, 5.5, 0), 0, 0},
	} {
		got := findVibrato(c.part, 5)
		if math.Abs(got.rate-c.rate) > 0.11 || math.Abs(got.width-c.width) > 0.05*c.width {
			t.Errorf("%s: %+v", c.what, got)
		}
	}
}

// When a place of the music was sounded: by the round that comes nearest, each from its first
// place on and up to, without, its last; slower rounds take longer.
func TestSounded(t *testing.T) {
	c := &Click{Rounds: []Round{{At: 10, From: 2, To: 6, Speed: 1}, {At: 20, From: 2, To: 6, Speed: 0.5}}}
	for _, x := range []struct {
		due, near, want float64
		ok              bool
	}{
		{2, 0, 10, true}, {4, 0, 12, true}, {4, 30, 24, true}, {4, 17.9, 12, true}, {4, 18.1, 24, true}, {6, 0, 0, false}, {1.9, 0, 0, false}, {5.99, 50, 27.98, true},
	} {
		if got, ok := c.sounded(x.due, x.near); ok != x.ok || math.Abs(got-x.want) > 1e-9 {
			t.Errorf("%g near %g: %g, %v; want %g, %v", x.due, x.near, got, ok, x.want, x.ok)
		}
	}
	if got, ok := SoundedOnce(3, 2).sounded(8, 0); !ok || got != 7 {
		t.Errorf("second 8 at twice the speed from 3 on: %g, %v; want 7", got, ok)
	}
}
