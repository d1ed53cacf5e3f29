package pitch

import "math"

// How well each of the twelve tones fits a key, from its tonic up in
// semitones: D. Temperley, "What's Key for Key? The Krumhansl-Schmuckler
// Key-Finding Algorithm Reconsidered", Music Perception 17 (1999), figure 4
// (from memory). They mend the bias to the dominant of the listeners' ratings
// of C. L. Krumhansl, Cognitive Foundations of Musical Pitch (1990), chapter
// 4, whose way of comparing is used.
var (
	majorProfile = [12]float64{5, 2, 3.5, 2, 4.5, 4, 2, 4.5, 2, 3.5, 1.5, 4}
	minorProfile = [12]float64{5, 2, 3.5, 4.5, 2, 4, 2, 4.5, 3.5, 2, 1.5, 4}
)

// LikeliestKey returns the major or minor key whose profile correlates best
// with how long each of the twelve tones sounds, C first, in any unit. Of
// two signatures that sound the same it is the one with fewer accidentals.
// ok is false when no tone stands out: nothing sounds, or all as long.
func LikeliestKey(long [12]float64) (key Key, ok bool) {
	best := 0.0
	for tonic := range 12 {
		for _, mode := range []Mode{Major, Minor} {
			profile := &majorProfile
			if mode == Minor {
				profile = &minorProfile
			}
			r := correlation(&long, profile, tonic)
			if !(r > best) {
				continue
			}
			// The place of the tonic on the line of fifths nearest to no
			// signature: 7 fifths are a semitone.
			fifths := (tonic*7 - int(mode)) % 12
			if fifths > 6 {
				fifths -= 12
			}
			if k, err := NewKey(ClassAtFifths(fifths+int(mode)), mode); err == nil {
				key, best, ok = k, r, true
			}
		}
	}
	return key, ok
}

// correlation is Pearson's coefficient between the lengths and a profile
// that begins at the tonic; 0 when the lengths are all the same.
func correlation(long, profile *[12]float64, tonic int) float64 {
	var meanLong, meanProfile float64
	for i := range 12 {
		meanLong += long[i] / 12
		meanProfile += profile[i] / 12
	}
	var both, a, b float64
	for i := range 12 {
		x, y := long[(i+tonic)%12]-meanLong, profile[i]-meanProfile
		both, a, b = both+x*y, a+x*x, b+y*y
	}
	if a == 0 {
		return 0
	}
	return both / math.Sqrt(a*b)
}
