package feel

import "fmt"

// Swing says how eighth notes written alike are parted.
type Swing uint8

// The swings.
const (
	Even    Swing = iota // as written
	Triplet              // the first of two has two thirds of the beat
	ByTempo              // the quicker the tune, the nearer to even
)

// String returns the swing's name.
func (s Swing) String() string { return [...]string{"even", "triplet", "by tempo"}[s] }

// shortNote is how long the second of two swung eighths lasts on a ride cymbal at
// middle and quick tempos, in seconds: about 100 ms whatever the tempo (Friberg and
// Sundström 2002, abstract).
const shortNote = 0.1

// MostSwing bounds the ratio. On the cymbal it reaches 3.5 near 120 beats a minute
// (the same abstract), but players of melodies stay well below, at 1.3 in the middle
// and 2 only now and then (Corcoran and Frieler 2021, abstract); as one clock here
// moves both, 2 is the most (our choice).
const MostSwing = 2.0

// Ratio returns how long the first of two eighths is against the second when so many
// quarters are played a minute: 1 is even, 2 a triplet's quarter and eighth. By tempo
// it is (60/n − 0.1)/0.1, within 1 and MostSwing.
func (s Swing) Ratio(perMinute float64) float64 {
	switch {
	case s == Triplet:
		return MostSwing
	case s == ByTempo && perMinute > 0:
		return min(max((60/perMinute-shortNote)/shortNote, 1), MostSwing)
	}
	return 1
}

// Words tells the swing to a player.
func (s Swing) Words() string {
	switch s {
	case Triplet:
		return fmt.Sprintf("swung %g to 1", MostSwing)
	case ByTempo:
		return fmt.Sprintf("swung by tempo, at most %g to 1", MostSwing)
	}
	return "even"
}
