package refcheck

import (
	"slices"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// TestKeysAgainstFields guesses the key of every tune of the books from its notes
// alone and compares the signature with the K: field of the text, which its
// collector wrote.
func TestKeysAgainstFields(t *testing.T) {
	tried, signature, near, tonic := 0, 0, 0, 0
	for _, tunes := range tuneBooks(t) {
		for _, tn := range tunes {
			var long [12]float64
			for _, s := range tune.Sound(tn) {
				long[s.Name.Key()%12] += float64(s.Len)
			}
			want := tn.Bars[0].Key
			got, ok := pitch.LikeliestKey(long)
			if !ok {
				t.Errorf("%q: no key", tn.Title)
			}
			tried++
			off := got.Fifths() - want.Fifths()
			if off == 0 {
				signature++
			}
			if off >= -1 && off <= 1 {
				near++
			}
			if slices.Contains([]pitch.Mode{pitch.Major, pitch.Minor}, want.Mode) && got.Tonic == want.Tonic && got.Mode == want.Mode {
				tonic++
			}
		}
	}
	t.Logf("%d tunes: the signature of the K: field %d times (%.1f %%), within one sharp or flat of it %d times (%.1f %%), tonic and mode %d times",
		tried, signature, 100*float64(signature)/float64(tried), near, 100*float64(near)/float64(tried), tonic)
	if tried != 616 {
		t.Errorf("%d tunes tried, the books have 616", tried)
	}
	if signature*100 < tried*90 || near*100 < tried*97 {
		t.Errorf("the signature is right %d times in %d, near %d times", signature, tried, near)
	}
}
