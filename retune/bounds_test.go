package retune

import (
	"math"
	"strings"
	"testing"

	figures "lapwright/internal/near"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// TestGaugeTexts: gauges as players say them, in thousandths of an inch; the inch is
// 25.4 mm (ISO 31-1).
func TestGaugeTexts(t *testing.T) {
	for _, c := range []struct {
		s    wire.String
		want string
	}{
		{wire.String{Diameter: 0.4064}, "16"}, {wire.String{Diameter: 0.2921}, "11.5"}, {wire.String{Diameter: 0.254}, "10"},
		{wire.String{Diameter: 1.0668, Wound: true}, "42w"}, {wire.String{Diameter: 1.4224, Wound: true}, "56w"},
	} {
		if got := GaugeText(c.s); got != c.want {
			t.Errorf("%.4f mm is %q; want %q", float64(c.s.Diameter), got, c.want)
		}
	}
}

// TestRequirementsAtTheirBounds: what is asked of a set may lie on its bounds: baroque
// and the sharpest concert pitch, the greatest rise to either side.
func TestRequirementsAtTheirBounds(t *testing.T) {
	for what, change := range map[string]func(*Requirements){
		"A4 at 415 Hz":           func(w *Requirements) { w.Reference = 415 },
		"A4 at 466 Hz":           func(w *Requirements) { w.Reference = 466 },
		"the least rise":         func(w *Requirements) { w.Rise = MinRise },
		"the greatest rise":      func(w *Requirements) { w.Rise = MaxRise },
		"the usual share":        func(w *Requirements) { w.Share = wire.CautionShare },
		"the share that breaks":  func(w *Requirements) { w.Share = wire.BreakShare },
		"a load just as allowed": func(w *Requirements) { w.Limit = 1e9 },
		"as slack as may be":     func(w *Requirements) { w.Pull = rig.Slackest },
		"the tightest string":    func(w *Requirements) { w.Pull = MaxPull },
	} {
		w := wish(t, "high-open-g")
		change(&w)
		if _, err := NewDesign(w); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	for what, change := range map[string]func(*Requirements){
		"A4 at 414.9 Hz": func(w *Requirements) { w.Reference = 414.9 },
		"A4 at 466.1 Hz": func(w *Requirements) { w.Reference = 466.1 },
	} {
		w := wish(t, "high-open-g")
		change(&w)
		if d, err := NewDesign(w); err == nil {
			t.Errorf("%s gives %v", what, d.Best)
		}
	}
	for say, change := range map[string]func(*Requirements){
		`a load limit of "0 N" is not above zero`: func(w *Requirements) { w.Limit = 0 },
		"carries 10 % of what breaks it":          func(w *Requirements) { w.Share = MinShare },
		"on a scale of 25 in":                     func(w *Requirements) { w.Share = MinShare },
	} {
		w := wish(t, "high-open-g")
		change(&w)
		if _, err := NewDesign(w); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%v; want %q", err, say)
		}
	}
}

// TestSides: the range of a rig goes from its lowest open string to its highest at
// the last fret, wherever those strings lie.
func TestSides(t *testing.T) {
	for _, c := range []struct {
		rig, tuning   string
		frets         int
		lowest, above string
	}{
		{"reso-open-g", "", 24, "G2", "D6"},
		{"reso-open-g", "", 12, "G2", "D5"},
		// The highest string in the middle, the lowest on top: reentrant tunings.
		{"lap6-c6", "C3 E3 G3 E5 C4 A2", 12, "A2", "E6"},
		{"lap6-c6", "C4 E3 G3 A3 B3 C3", 19, "C3", "G5"},
	} {
		r := rigtest.Builtin(t, c.rig)
		if c.tuning != "" {
			for i, n := range tuning(t, c.tuning) {
				r.Strings[i].Open = n
			}
		}
		r.Frets = c.frets
		got := Compare(r, r).A
		low, high := name(t, c.lowest), name(t, c.above)
		if got.Lowest.Key() != low.Key() || got.Highest.Key() != high.Key() {
			t.Errorf("%s tuned %q to fret %d goes from %v to %v; want %s to %s", c.rig, c.tuning, c.frets, got.Lowest, got.Highest, c.lowest, c.above)
		}
	}
}

func name(t *testing.T, text string) pitch.Name {
	t.Helper()
	n, err := pitch.ParseName(text)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestOtherNecks: where frets and strings lie farther apart on one neck they lie
// closer together on the other.
func TestOtherNecks(t *testing.T) {
	long, short := rigtest.Builtin(t, "lap6-c6"), rigtest.Builtin(t, "lap6-c6")
	long.Scale, long.NutSpread, long.BridgeSpread = 1.1*short.Scale, 1.2*short.NutSpread, 1.2*short.BridgeSpread
	for _, c := range []struct{ words, want []string }{
		{Compare(short, long).Relearn, []string{"the frets lie 10 % farther apart", "the strings lie 20 % farther apart"}},
		{Compare(long, short).Relearn, []string{"the frets lie 9 % closer together", "the strings lie 17 % closer together"}},
	} {
		said := strings.Join(c.words, "\n")
		for _, want := range c.want {
			if !strings.Contains(said, want) {
				t.Errorf("it does not say %q:\n%s", want, said)
			}
		}
	}
}

// TestMeeting: two strings can sound pure where low partials of theirs meet, up to
// the sixteenth: octaves and fifths, thirds and harmonic sevenths, not 17/16.
func TestMeeting(t *testing.T) {
	have := map[pitch.Just]bool{}
	for i, j := range meeting {
		if have[j] {
			t.Errorf("%v stands twice", j)
		}
		have[j] = true
		if pitch.GCD(j.Num, j.Den) != 1 || j.Num < j.Den || j.Num > 8*j.Den || j.Num > 16 {
			t.Errorf("%v is no simple ratio", j)
		}
		if i > 0 && j.Num+j.Den < meeting[i-1].Num+meeting[i-1].Den {
			t.Errorf("%v comes after %v", j, meeting[i-1])
		}
	}
	for _, j := range []pitch.Just{{Num: 1, Den: 1}, {Num: 2, Den: 1}, {Num: 3, Den: 2}, {Num: 5, Den: 4}, {Num: 7, Den: 4}, {Num: 8, Den: 1}, {Num: 16, Den: 13}, {Num: 16, Den: 9}, {Num: 15, Den: 14}} {
		if !have[j] {
			t.Errorf("%v is missing", j)
		}
	}
	for _, j := range []pitch.Just{{Num: 9, Den: 1}, {Num: 17, Den: 16}, {Num: 1, Den: 2}, {Num: 4, Den: 2}} {
		if have[j] {
			t.Errorf("%v is among them", j)
		}
	}
}

// From every string at its least departure the one is made lighter that departs least
// for each newton it saves, until all together keep the limit; one that is heavier is
// no help.
func TestEasySumTakesTheCheapest(t *testing.T) {
	c := func(off float64, load wire.Newtons) choice { return choice{off: off, loads: []wire.Newtons{load}} }
	all := [][]choice{
		{c(0, 100), c(0.05, 90), c(0.12, 60)},    // 0.003 a newton at best
		{c(0, 100), c(0.01, 110), c(0.08, 80)},   // 0.004 a newton
		{c(0.02, 100), c(0.03, 95), c(0.9, 100)}, // 0.002 a newton
	}
	for _, x := range []struct{ limit, want float64 }{
		{301, 0.02}, {296, 0.03}, {290, 0.15}, {240, 0.23}, {230, math.Inf(1)},
	} {
		w := Requirements{Tunings: make([][]pitch.Name, 1), Limit: wire.Newtons(x.limit)}
		if got := w.easySum(all); got != x.want && !(math.Abs(got-x.want) < 1e-9) {
			t.Errorf("a limit of %g N: a sum of %g; want %g", x.limit, got, x.want)
		}
	}
}

// TestTargetsOfTheOpenStrings: every string has its number, and every pair of
// neighbours the number of the first, at any concert pitch from the baroque to the
// sharpest.
func TestTargetsOfTheOpenStrings(t *testing.T) {
	r := rigtest.OpenD()
	c, err := pitch.ParseChord("D")
	if err != nil {
		t.Fatal(err)
	}
	for _, a4 := range []pitch.Hz{pitch.MinReference, 440, pitch.MaxReference} {
		got, err := NewTuned(r, c, a4, 1, pitch.FiveLimit)
		if err != nil {
			t.Errorf("A4 at %g Hz: %v", float64(a4), err)
			continue
		}
		for i, x := range got.Targets {
			if x.String != i+1 || x.Name != r.Strings[i].Open {
				t.Errorf("target %d is for string %d at %v", i, x.String, x.Name)
			}
		}
		for i, b := range got.Beats {
			if b.String != i+1 {
				t.Errorf("the beats of strings %d and %d are told of string %d", i+1, i+2, b.String)
			}
		}
		// Octaves of the root lie where equal temperament has them.
		figures.To(t, "the lowest string", float64(got.Targets[5].Just), float64(a4)*math.Exp2(-31.0/12), 1e-9)
	}
}
