package listen

import (
	"math"
	"slices"
	"testing"
)

// Of a hundred values a second, a peak is the highest of four on either side and stands above the mean of 12 before and
// 6 after; of several as high the first counts.
func TestPeaksOfTheFlux(t *testing.T) {
	flux := func(at ...int) []float64 {
		out := make([]float64, 60)
		for _, i := range at {
			out[i] = 19
		}
		return out
	}
	uneven := flux(20, 24)
	uneven[24] = 20
	first := flux(0)
	for _, c := range []struct {
		what string
		flux []float64
		want []peak
	}{
		{"nothing", make([]float64, 60), nil},
		{"one", flux(20), []peak{{20, 18}}},                 // the mean of 19 values
		{"two 40 ms apart", flux(20, 24), []peak{{20, 17}}}, // both in the mean
		{"two 50 ms apart", flux(20, 25), []peak{{20, 17}, {25, 17}}},
		{"two 70 ms apart", flux(20, 27), []peak{{20, 18}, {27, 17}}}, // 6 after are in the mean, 12 before
		{"two 120 ms apart", flux(20, 32), []peak{{20, 18}, {32, 17}}},
		{"two 130 ms apart", flux(20, 33), []peak{{20, 18}, {33, 18}}},
		{"the second higher", uneven, []peak{{24, 20 - 39.0/19}}},
		{"at the start", first, []peak{{0, 19 - 19.0/7}}},
		{"at the end", flux(59), []peak{{59, 19 - 19.0/13}}},
		{"all even", slices.Repeat([]float64{4}, 60), nil},
	} {
		got := fluxPeaks(c.flux, 100)
		if !slices.EqualFunc(got, c.want, func(a, b peak) bool { return a.i == b.i && math.Abs(a.height-b.height) < 1e-9 }) {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}

// Peaks stand out from 16 % of the clear ones on; those are at least half as high as what a twentieth surpasses, and
// their median has the height 1.
func TestPeaksThatStandOut(t *testing.T) {
	if got := clearPeaks(nil); got != nil {
		t.Errorf("of no peaks stand out %v", got)
	}
	got := clearPeaks([]peak{{3, 3.5}, {5, 25}, {9, 4}})
	if want := []peak{{5, 1}, {9, 0.16}}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	// 50 is half of 100 and so a clear one: the median of 50, 80 and 100 is 80.
	got = clearPeaks([]peak{{1, 100}, {2, 50}, {3, 80}, {4, 40}})
	if want := []peak{{1, 1.25}, {2, 0.625}, {3, 1}, {4, 0.5}}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// Where nothing rises, an onset stays where it was taken to be.
func TestNoRiseInSilence(t *testing.T) {
	take := &Take{rate: 8000, inRate: 8000, x: make([]float64, 8000), n: 8000}
	if got := take.rise(0.5); got != 0.5 {
		t.Errorf("moved to %g", got)
	}
}

// Plucks are found where they begin, one at the very start of a take included.
func TestPlucksAreFound(t *testing.T) {
	const rate = 11025.0
	want := []float64{0, 0.3, 0.7}
	x := make([]float64, int(rate))
	for _, at := range want {
		for i := int(at * rate); i < len(x); i++ {
			since := float64(i)/rate - at
			for n := 1.0; n <= 5; n++ {
				x[i] += 0.2 / n * math.Exp(-30*since) * math.Cos(2*math.Pi*n*330*since)
			}
		}
	}
	got := (&Take{rate: rate, inRate: rate, x: x, n: len(x)}).Onsets()
	if len(got) != len(want) {
		t.Fatalf("%v, want %v", got, want)
	}
	for i, o := range got {
		if math.Abs(o.At-want[i]) > 0.004 {
			t.Errorf("a pluck at %g s is heard at %g", want[i], o.At)
		}
	}
}

// An onset is moved to the sample at which a sound begins, be it the last of the take.
func TestOnsetIsWhereTheSoundBegins(t *testing.T) {
	const rate = 8000.0
	for _, c := range []struct {
		begins, near int
	}{{4000, 4000}, {4000, 4080}, {4000, 3920}, {7900, 7950}, {0, 40}} {
		x := make([]float64, 8000)
		for i := c.begins; i < len(x); i++ {
			x[i] = 0.5 - float64((i-c.begins)%2)
		}
		take := &Take{rate: rate, inRate: rate, x: x, n: len(x)}
		if got := take.rise(float64(c.near) / rate); got != float64(c.begins)/rate {
			t.Errorf("from sample %d: %g, want %d", c.near, got*rate, c.begins)
		}
	}
}
