package sound

import (
	"math"
	"slices"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// struckBy is one note on a body, without the room, as strongly played as asked and by a hand of a seed.
func struckBy(t *testing.T, kind rig.Body, n note, strength float64, seed uint64) []float64 {
	t.Helper()
	return noteOn(t, withBody(t, kind), n, Options{Speed: 1, Dry: true, Strength: &strength, Seed: seed})
}

// withBody is the resonator's strings on another body.
func withBody(t *testing.T, kind rig.Body) *rig.Rig {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g").Clone()
	r.Body = kind
	return r
}

// noteOn is one note on a rig.
func noteOn(t *testing.T, r *rig.Rig, n note, o Options) []float64 {
	t.Helper()
	sc, err := write(makeTab(t, r, 60, n), o)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, Rate*11/10)
	assemble(r, sc, o).next(make([]float64, len(x)), x, make([]float64, len(x)), make([]float64, len(x)), 0)
	return x
}

func energyOf(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum
}

// A note played loudly is not a soft one turned up: its centre of gravity lies at least 1.3 times as
// high on every body, it is 15 to 25 dB louder, and in between it rises with the strength.
func TestStrengthChangesTheTone(t *testing.T) {
	for kind := range voices {
		var centre, level []float64
		for _, s := range []float64{0, 0.5, 1} {
			x := struckBy(t, kind, note{str: 2, fret: 5, len: 4}, s, 0)
			centre = append(centre, brightness(x))
			level = append(level, 10*math.Log10(energyOf(x)))
		}
		t.Logf("%-22s centre %.0f, %.0f, %.0f Hz; %.1f and %.1f dB louder", kind, centre[0], centre[1], centre[2], level[1]-level[0], level[2]-level[1])
		if centre[2] < 1.3*centre[0] || centre[1] <= centre[0] || centre[2] <= centre[1] {
			t.Errorf("%s: softly to loudly the spectrum's centre goes from %.0f over %.0f to %.0f Hz", kind, centre[0], centre[1], centre[2])
		}
		if d := level[2] - level[0]; d < 15 || d > 25 {
			t.Errorf("%s: loudly is %.1f dB louder than softly", kind, d)
		}
	}
}

// alike returns how far two sounds correlate from 5 ms to 1 s after the stroke, at the best shift within
// 2 ms, whatever their levels.
func alike(a, b []float64) float64 {
	const from, to, reach = Rate * 5 / 1000, Rate, 96
	best := 0.0
	ea := energyOf(a[from:to])
	for shift := -reach; shift <= reach; shift++ {
		sum := 0.0
		for i := from; i < to; i++ {
			sum += a[i] * b[i+shift]
		}
		best = max(best, sum/math.Sqrt(ea*energyOf(b[from+shift:to+shift])))
	}
	return best
}

// The same note is never the same twice: aligned and levelled, two of it correlate, in the median over strings 1, 2
// and 4, by under 0.95, and by over 0.5, since it is the same note, on every built-in rig, and on the wooden bodies with the resonator's strings.
func TestRepeatsDiffer(t *testing.T) {
	rigs := rig.Builtins()
	for _, kind := range []rig.Body{rig.RoundNeckAcoustic, rig.HollowNeckAcoustic} {
		r := withBody(t, kind)
		r.Name = string(kind)
		rigs = append(rigs, r)
	}
	for _, r := range rigs {
		var all []float64
		for _, str := range []int{1, 2, 4} {
			var takes [][]float64
			for seed := range uint64(4) {
				takes = append(takes, noteOn(t, r, note{str: str, fret: 5, len: 4}, Options{Speed: 1, Dry: true, Seed: seed}))
			}
			for i := range takes {
				for j := range i {
					all = append(all, alike(takes[i], takes[j]))
				}
			}
		}
		slices.Sort(all)
		m := all[len(all)/2]
		t.Logf("%-22s %.3f", r.Name, m)
		if m > 0.95 || m < 0.5 {
			t.Errorf("%s: repeats correlate by %.3f, want 0.5 to 0.95", r.Name, m)
		}
	}
}

// The hand wanders: how one stroke is off says something of the next, little of the twentieth on.
func TestDriftIsCorrelated(t *testing.T) {
	d := drift{noise: 12345}
	const n = 20000
	var x []float64
	for range n {
		o := d.next()
		for _, v := range []float64{o.strength / driftStrength, (o.place - 1) / driftPlace, (o.edge - 1) / driftEdge, (o.lean - 1) / driftLean, o.cents / driftCents} {
			if math.Abs(v) > 2+1e-9 {
				t.Fatalf("a stroke is off by %+v", o)
			}
		}
		x = append(x, o.strength)
	}
	lag := func(k int) float64 {
		sum, all := 0.0, 0.0
		for i := k; i < n; i++ {
			sum += x[i] * x[i-k]
			all += x[i] * x[i]
		}
		return sum / all
	}
	if a, b := lag(1), lag(20); a < 0.3 || a > 0.6 || math.Abs(b) > 0.1 {
		t.Errorf("strokes correlate by %.2f with the next, %.2f with the twentieth on", a, b)
	}
}

// Accents by meter, place by place (common practice, no source).
func TestMeterStrength(t *testing.T) {
	const e = tune.Whole / 8
	for _, c := range []struct {
		meter tune.Meter
		want  []float64 // by eighths
	}{
		{tune.Meter{Beats: 4, Unit: 4}, []float64{firstBeatStrength, offbeatStrength, 0, offbeatStrength, laterBeatStrength, offbeatStrength, 0, offbeatStrength}},
		{tune.Meter{Beats: 3, Unit: 4}, []float64{firstBeatStrength, offbeatStrength, 0, offbeatStrength, 0, offbeatStrength}},
		{tune.Meter{Beats: 6, Unit: 8}, []float64{firstBeatStrength, offbeatStrength, offbeatStrength, 0, offbeatStrength, offbeatStrength}},
		{tune.Meter{Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}, []float64{firstBeatStrength, 0, laterBeatStrength, 0, laterBeatStrength, 0, 0}},
		{tune.Meter{}, []float64{firstBeatStrength, 0, 0}},
	} {
		for i, want := range c.want {
			if got := meterStrength(c.meter, tune.Ticks(i)*e); got != want {
				t.Errorf("%d/%d %v, eighth %d: %g, want %g", c.meter.Beats, c.meter.Unit, c.meter.Groups, i+1, got, want)
			}
		}
	}
}
