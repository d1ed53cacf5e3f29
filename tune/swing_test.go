package tune_test

import (
	"math"
	"testing"

	"lapwright/notation/abc"
	"lapwright/tune"
)

func twoToOne(float64) float64 { return 2 }

func read(t *testing.T, src string) *tune.Tune {
	t.Helper()
	ts, _, err := abc.Read([]byte(src), "t.abc")
	if err != nil {
		t.Fatal(err)
	}
	return ts[0]
}

// Of two swung eighths the first is a quarter of a triplet and the second its eighth;
// sixteenths follow the half that they lie in, triplets and compound meters stay.
func TestSwung(t *testing.T) {
	src := "X:1\nL:1/8\nM:4/4\nQ:1/4=60\nK:C\nCC|CC C/C/C/C/ (3CCC C2|[M:6/8]CCC CCC|"
	tn := read(t, src)
	plain := tune.Perform(tn)
	got := plain.Swung(twoToOne).Clock
	pickup := 1.0 // a quarter before the first bar
	for _, c := range []struct {
		at    tune.Ticks
		wants float64
	}{
		{0, 0}, {tune.Whole / 8, 2.0 / 3}, // the pickup's own quarter
		{tune.Whole / 4, pickup}, {3 * tune.Whole / 8, pickup + 2.0/3},
		{tune.Whole/4 + 5*tune.Whole/16, pickup + 1 + 1.0/3}, {tune.Whole/4 + 7*tune.Whole/16, pickup + 1 + 5.0/6},
		{3*tune.Whole/4 + tune.Whole/12, pickup + 2 + 1.0/3}, // a triplet stays
		{5*tune.Whole/4 + tune.Whole/8, pickup + 4 + 0.5},    // compound
	} {
		if s := got.Seconds(c.at); math.Abs(s-c.wants) > 1e-9 {
			t.Errorf("%s comes at %.6f s, want %.6f", c.at, s, c.wants)
		}
		if back := got.At(got.Seconds(c.at)); back != c.at {
			t.Errorf("%s comes back as %s", c.at, back)
		}
	}
	if plain.Clock.Seconds(tune.Whole/8) != 0.5 {
		t.Error("the even performance was changed")
	}
	if a, b := plain.Clock.Seconds(got.Len()), got.Seconds(got.Len()); a != b {
		t.Errorf("swinging moved the end from %g to %g s", a, b)
	}
}

// A pickup of three eighths begins on the second half of a quarter.
func TestSwungPickup(t *testing.T) {
	got := tune.Perform(read(t, "X:1\nL:1/8\nM:4/4\nQ:1/4=60\nK:C\nCCC|CCCCCCCC|")).Swung(twoToOne).Clock
	for at, want := range map[tune.Ticks]float64{tune.Whole / 8: 0.5, tune.Whole / 4: 0.5 + 2.0/3, 3 * tune.Whole / 8: 1.5, tune.Whole / 2: 1.5 + 2.0/3} {
		if s := got.Seconds(at); math.Abs(s-want) > 1e-9 {
			t.Errorf("%s comes at %.6f s, want %.6f", at, s, want)
		}
	}
}

// Time never runs backwards, and the ratio is told how quick the quarters are.
func TestSwungInOrder(t *testing.T) {
	tn := read(t, "X:1\nL:1/8\nM:2/2\nQ:1/2=100\nK:C\n|:CCCCCCCC:|[Q:1/4=90]CCCCCCCC|")
	var told []float64
	p := tune.Perform(tn).Swung(func(n float64) float64 { told = append(told, n); return 1.7 })
	if len(told) != 12 || told[0] != 200 || told[11] != 90 {
		t.Errorf("told of %v quarters a minute", told)
	}
	last := -1.0
	for at := tune.Ticks(0); at < p.Clock.Len(); at += tune.Whole / 192 {
		s := p.Clock.Seconds(at)
		if s <= last {
			t.Fatalf("%s comes at %g s, after %g", at, s, last)
		}
		last = s
	}
}
