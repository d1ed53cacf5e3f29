package tune_test

import (
	"math"
	"testing"

	"lapwright/notation/abc/abctest"
	"lapwright/tune"
)

// Of two swung eighths the first is a quarter of a triplet and the second its eighth;
// sixteenths follow the half that they lie in, triplets and compound meters stay.
func TestSwung(t *testing.T) {
	src := "X:1\nL:1/8\nM:4/4\nQ:1/4=60\nK:C\nCC|CC C/C/C/C/ (3CCC C2|[M:6/8]CCC CCC|"
	tn := abctest.Tune(t, src)
	plain := tune.Perform(tn)
	tn.Swing = tune.TripletSwing
	got := tune.Perform(tn).Clock
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
	tn := abctest.Tune(t, "X:1\nL:1/8\nM:4/4\nQ:1/4=60\nK:C\nCCC|CCCCCCCC|")
	tn.Swing = tune.TripletSwing
	got := tune.Perform(tn).Clock
	for at, want := range map[tune.Ticks]float64{tune.Whole / 8: 0.5, tune.Whole / 4: 0.5 + 2.0/3, 3 * tune.Whole / 8: 1.5, tune.Whole / 2: 1.5 + 2.0/3} {
		if s := got.Seconds(at); math.Abs(s-want) > 1e-9 {
			t.Errorf("%s comes at %.6f s, want %.6f", at, s, want)
		}
	}
}

// Time never runs backwards, and a swing by tempo asks how quick the quarters are: of
// 200 a minute the first eighth lasts 200 ms and the second 100, of 240 150 and 100.
func TestSwungInOrder(t *testing.T) {
	tn := abctest.Tune(t, "X:1\nL:1/8\nM:2/2\nQ:1/2=100\nK:C\n|:CCCCCCCC:|[Q:1/4=240]CCCCCCCC|")
	tn.Swing = tune.TempoSwing
	p := tune.Perform(tn)
	last := -1.0
	for at := tune.Ticks(0); at < p.Clock.Len(); at += tune.Whole / 192 {
		s := p.Clock.Seconds(at)
		if s <= last {
			t.Fatalf("%s comes at %g s, after %g", at, s, last)
		}
		last = s
	}
	for at, want := range map[tune.Ticks]float64{tune.Whole / 8: 0.2, 2*tune.Whole + tune.Whole/8: 0.15} {
		if got := p.Clock.Seconds(at) - p.Clock.Seconds(at-tune.Whole/8); math.Abs(got-want) > 1e-9 {
			t.Errorf("the eighth before %s lasts %g s, want %g", at, got, want)
		}
	}
	// Played from the second pass on, it swings as it did.
	two := p.Rearranged(tune.Span{From: 1, To: 3}, tune.Span{From: 0, To: 1})
	for at, want := range map[tune.Ticks]float64{tune.Whole / 8: 0.2, tune.Whole + tune.Whole/8: 0.15, 2*tune.Whole + tune.Whole/8: 0.2} {
		if got := two.Clock.Seconds(at) - two.Clock.Seconds(at-tune.Whole/8); math.Abs(got-want) > 1e-9 {
			t.Errorf("rearranged, the eighth before %s lasts %g s, want %g", at, got, want)
		}
	}
}

// A short note of 100 ms makes these ratios (reckoned by hand from the abstract named at
// shortNote): 200 a minute 2, 240 a minute 1.5, 300 a minute 1.
func TestRatio(t *testing.T) {
	for n, want := range map[float64]float64{120: 2, 200: 2, 240: 1.5, 300: 1, 400: 1} {
		if got := tune.TempoSwing.Ratio(n); math.Abs(got-want) > 1e-9 {
			t.Errorf("%g a minute: %g, want %g", n, got, want)
		}
	}
	if (tune.Swing{}).Ratio(100) != 1 || tune.TripletSwing.Ratio(300) != 2 || (tune.Swing{Long: 3, Short: 2}).Ratio(50) != 1.5 {
		t.Error("even, 2 to 1 and 3 to 2 are what their names say")
	}
}

func TestParseSwing(t *testing.T) {
	for _, s := range []tune.Swing{{}, tune.TripletSwing, tune.TempoSwing, {Long: 100, Short: 99}} {
		if got, err := tune.ParseSwing(s.String()); err != nil || got != s || !s.Known() {
			t.Errorf("%s comes back as %v, %v", s, got, err)
		}
	}
	for _, bad := range []string{"", "1 to 1", "1 to 2", "2 to 0", "-2 to -3", "101 to 1", "2 to 1 ", "02 to 1", "2:1", "swung"} {
		if got, err := tune.ParseSwing(bad); err == nil {
			t.Errorf("%q is read as %v", bad, got)
		}
	}
	tn := abctest.Tune(t, "X:1\nK:C\nC4|")
	tn.Swing = tune.Swing{Long: 1, Short: 2}
	if l := tn.Check(); len(l) != 1 {
		t.Errorf("a swing of 1 to 2: %v", l)
	}
}

// Half a beat at the end of a short bar stays as it is, and does not move what the next bar begins with.
func TestSwungShortBar(t *testing.T) {
	tn := abctest.Tune(t, "X:1\nL:1/8\nM:4/4\nQ:1/4=60\nK:C\nCCCCCCCC|CCC|CCCCCCCC|")
	tn.Swing = tune.TripletSwing
	got := tune.Perform(tn).Clock
	for eighths, want := range map[int]float64{8: 4, 9: 4 + 2.0/3, 10: 5, 11: 5.5, 12: 5.5 + 2.0/3, 13: 6.5} {
		if s := got.Seconds(tune.Ticks(eighths) * tune.Whole / 8); math.Abs(s-want) > 1e-9 {
			t.Errorf("eighth %d comes at %.6f s, want %.6f", eighths, s, want)
		}
	}
}
