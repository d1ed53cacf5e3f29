package pitch

import "testing"

// A melody that dwells on the tonic's triad is in that key. The signatures are
// the usual ones of the circle of fifths; of two that sound the same (G sharp
// and A flat minor, D flat and C sharp major) musicians write the shorter.
func TestLikeliestKey(t *testing.T) {
	major := [12]float64{6, 0, 2, 0, 4, 2, 0, 5, 0, 2, 0, 1}
	minor := [12]float64{6, 0, 2, 4, 0, 2, 0, 5, 1.5, 0, 0.5, 1} // natural and raised seventh
	for tonic, want := range [12][2]string{
		{"C major", "C minor"}, {"Db major", "C# minor"}, {"D major", "D minor"}, {"Eb major", "D# minor"},
		{"E major", "E minor"}, {"F major", "F minor"}, {"F# major", "F# minor"}, {"G major", "G minor"},
		{"Ab major", "G# minor"}, {"A major", "A minor"}, {"Bb major", "Bb minor"}, {"B major", "B minor"},
	} {
		for mode, lengths := range [2][12]float64{major, minor} {
			var long [12]float64
			for i, l := range lengths {
				long[(tonic+i)%12] = l
			}
			got, ok := LikeliestKey(long)
			if !ok || got.String() != want[mode] {
				t.Errorf("the tones %v, C first, are in %v, %v; want %s", long, got, ok, want[mode])
			}
			if n := got.Fifths(); n < -6 || n > 6 {
				t.Errorf("%v is written with %d accidentals; want six at most", got, n)
			}
		}
	}
	// Not how long it lasts but in what proportion: a long tune is in the key
	// of a short one.
	for i := range major {
		major[i] = 1000*major[i] + 500
	}
	if got, ok := LikeliestKey(major); !ok || got.String() != "C major" {
		t.Errorf("a long tune in C major is in %v, %v", got, ok)
	}
	all := [12]float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
	for _, none := range [][12]float64{{}, all} {
		if got, ok := LikeliestKey(none); ok {
			t.Errorf("the tones %v are in %v; want no key", none, got)
		}
	}
}

// The coefficient of correlation (K. Pearson 1896): 1 for what grows together in
// any measure, −1 for what runs against each other.
func TestCorrelation(t *testing.T) {
	profile := [12]float64{5, 2, 3.5, 2, 4.5, 4, 2, 4.5, 2, 3.5, 1.5, 4}
	for tonic := range 12 {
		var with, against [12]float64
		for i, p := range profile {
			with[(i+tonic)%12] = 3*p + 7
			against[(i+tonic)%12] = 50 - 4*p
		}
		if r := correlation(&with, &profile, tonic); r < 1-1e-12 || r > 1+1e-12 {
			t.Errorf("the profile on tone %d correlates with itself by %v; want 1", tonic, r)
		}
		if r := correlation(&against, &profile, tonic); r > -1+1e-12 || r < -1-1e-12 {
			t.Errorf("the profile on tone %d correlates with its opposite by %v; want -1", tonic, r)
		}
	}
}
