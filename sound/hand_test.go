package sound

import (
	"math"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// struckBy is one note on a body, without the room, as strongly played as asked and by a hand of a seed.
func struckBy(t *testing.T, kind rig.Body, n note, strength float64, seed uint64) []float64 {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g").Clone()
	r.Body = kind
	o := Options{Speed: 1, Dry: true, Strength: &strength, Seed: seed}
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
