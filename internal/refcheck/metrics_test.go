package refcheck

import (
	"math"
	"slices"
	"testing"
)

// The measures of pitch tracks and notes are those of J. Salamon, E. Gómez, D. P. W.
// Ellis and G. Richard, Melody extraction from polyphonic music signals, IEEE Signal
// Processing Magazine 31(2), 2014 (raw pitch accuracy, voicing recall, voicing false
// alarm), and of J. P. Bello and others, A tutorial on onset detection in music
// signals, IEEE Transactions on Speech and Audio Processing 13(5), 2005 (onsets
// within 50 ms), notes matched one to one as in C. Raffel and others, mir_eval, ISMIR
// 2014.

// track is a pitch at times; 0 Hz is no pitch.
type track struct{ at, hz []float64 }

// near returns the pitch at the time nearest to t.
func (tr *track) near(t float64) float64 {
	i, _ := slices.BinarySearch(tr.at, t)
	switch {
	case len(tr.at) == 0:
		return 0
	case i == len(tr.at), i > 0 && t-tr.at[i-1] < tr.at[i]-t:
		i--
	}
	return tr.hz[i]
}

// tracked is how a track compares with what sounds.
type tracked struct {
	accuracy   float64 // raw pitch accuracy: of the voiced moments, those within 50 cents
	recall     float64 // voicing recall: of the voiced moments, those said to be
	falseAlarm float64 // of the others, those said to be voiced
	cents      []float64
}

// compareTracks compares every moment of what sounds with a track that is late by so
// many seconds.
func compareTracks(sounds, heard track, late float64) tracked {
	var out tracked
	var voiced, silent, right, said, alarms int
	for i, at := range sounds.at {
		f := heard.near(at + late)
		if sounds.hz[i] == 0 {
			silent++
			if f > 0 {
				alarms++
			}
			continue
		}
		voiced++
		if f <= 0 {
			continue
		}
		said++
		if c := 1200 * math.Log2(f/sounds.hz[i]); math.Abs(c) <= 50 {
			right++
			out.cents = append(out.cents, math.Abs(c))
		}
	}
	share := func(n, of int) float64 { return float64(n) / float64(max(1, of)) }
	out.accuracy, out.recall, out.falseAlarm = share(right, voiced), share(said, voiced), share(alarms, silent)
	slices.Sort(out.cents)
	return out
}

// onsetF returns the F-measure of onsets found within 50 ms of those that are there,
// each matched at most once, as many as can be.
func onsetF(there, found []float64) float64 {
	there, found = slices.Clone(there), slices.Clone(found)
	slices.Sort(there)
	slices.Sort(found)
	matched, k := 0, 0
	for _, t := range there {
		// In order of time the earliest that fits is never a worse choice.
		for k < len(found) && found[k] < t-0.05 {
			k++
		}
		if k < len(found) && found[k] <= t+0.05 {
			matched++
			k++
		}
	}
	if len(there)+len(found) == 0 {
		return 1
	}
	return 2 * float64(matched) / float64(len(there)+len(found))
}

// TestMetricsOnWorkedCases: worked by hand from the definitions.
func TestMetricsOnWorkedCases(t *testing.T) {
	sounds := track{[]float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, []float64{0, 0, 0, 0, 440, 440, 440, 440, 440, 440}}
	sharp := 440 * math.Exp2(40.0/1200)
	octave := 880.0
	heard := track{sounds.at, []float64{0, 300, 0, 0, 440, sharp, octave, 0, 440 * math.Exp2(51.0/1200), 440}}
	// Voiced 6: said voiced 5 (5/6); within 50 cents 440, sharp, 440 (3/6). Silent 4: one alarm (1/4).
	got := compareTracks(sounds, heard, 0)
	if got.accuracy != 0.5 || got.recall != 5.0/6 || got.falseAlarm != 0.25 {
		t.Errorf("accuracy %g, recall %g, false alarm %g; want 1/2, 5/6, 1/4", got.accuracy, got.recall, got.falseAlarm)
	}
	if len(got.cents) != 3 || math.Abs(got.cents[2]-40) > 1e-9 {
		t.Errorf("cents %v, want 0, 0, 40", got.cents)
	}
	// A track that is late by one moment says the same when that is allowed for.
	late := track{sounds.at, append([]float64{0}, sounds.hz[:9]...)}
	if got := compareTracks(sounds, late, 1); got.accuracy != 1 || got.falseAlarm != 0 {
		t.Errorf("late by one: accuracy %g, false alarm %g; want 1, 0", got.accuracy, got.falseAlarm)
	}
	for _, c := range []struct {
		there, found []float64
		want         float64
	}{
		{[]float64{1, 2, 3, 4}, []float64{1.04, 2.06, 3, 3.01}, 0.5},     // 1 and 3 found: 2·2/8
		{[]float64{1, 1.08}, []float64{1.045, 1.05}, 1},                  // each to its own
		{[]float64{1, 2}, nil, 0}, {nil, nil, 1}, {nil, []float64{1}, 0}, // nothing to find
	} {
		if got := onsetF(c.there, c.found); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("onsets %v found as %v: F %g, want %g", c.there, c.found, got, c.want)
		}
	}
}
