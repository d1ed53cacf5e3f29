package arrange

import "lapwright/say"

// MovedBy says in words how far a tune was moved: "moved down by 1 octave",
// "moved up by 5 semitones"; "" when it was not.
func MovedBy(semitones int) string {
	way := "up"
	if semitones < 0 {
		way, semitones = "down", -semitones
	}
	switch {
	case semitones == 0:
		return ""
	case semitones%12 == 0:
		return "moved " + way + " by " + say.Count(semitones/12, "octave")
	}
	return "moved " + way + " by " + say.Count(semitones, "semitone")
}
