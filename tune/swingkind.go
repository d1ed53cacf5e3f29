package tune

import (
	"fmt"
	"strconv"
	"strings"
)

// Swing says how eighth notes written alike are parted: the first of the two of a
// quarter lasts Long against Short for the second. The zero value is even.
type Swing struct {
	Long, Short int  // 1 to MaxSwingPart each, Long the larger; both 0 when even or ByTempo
	ByTempo     bool // the quicker the tune, the nearer to even (Ratio)
}

// The usual swings.
var (
	TripletSwing = Swing{Long: 2, Short: 1} // the first of two has two thirds of the beat
	TempoSwing   = Swing{ByTempo: true}
)

// MaxSwingPart bounds both parts of a ratio.
const MaxSwingPart = 100

// Even reports whether eighths last as they are written.
func (s Swing) Even() bool { return s == Swing{} }

// Known reports whether the parts are within their bounds.
func (s Swing) Known() bool {
	return s.Even() || s == TempoSwing || !s.ByTempo && 0 < s.Short && s.Short < s.Long && s.Long <= MaxSwingPart
}

// shortNote is how long the second of two swung eighths lasts on a ride cymbal at
// middle and quick tempos, in seconds: about 100 ms whatever the tempo (A. Friberg and A.
// Sundström, Swing ratios and ensemble timing in jazz performance, Music Perception 19,
// 2002, page 333; abstract).
const shortNote = 0.1

// MostSwing bounds the ratio by tempo. On the cymbal it reaches 3.5 near 120 beats a
// minute (the same abstract), but players of melodies stay well below, at 1.3 in the
// middle and 2 only now and then (C. Corcoran and K. Frieler on the solos of 456
// recordings, Music Perception 38, 2021, page 372; abstract); as one clock here moves
// both, 2 is the most (our choice).
const MostSwing = 2.0

// Ratio returns how long the first of two eighths is against the second when so many
// quarters are played a minute: 1 is even. By tempo it is (60/n − 0.1)/0.1, within 1
// and MostSwing.
func (s Swing) Ratio(perMinute float64) float64 {
	switch {
	case s.ByTempo && perMinute > 0:
		return min(max((60/perMinute-shortNote)/shortNote, 1), MostSwing)
	case s.Short > 0:
		return float64(s.Long) / float64(s.Short)
	}
	return 1
}

// String returns the swing as it is typed: "even", "2 to 1" or "by tempo".
func (s Swing) String() string {
	switch {
	case s.ByTempo:
		return "by tempo"
	case s.Even():
		return "even"
	}
	return fmt.Sprintf("%d to %d", s.Long, s.Short)
}

// ParseSwing reads a swing as String writes it.
func ParseSwing(text string) (Swing, error) {
	switch text {
	case "even":
		return Swing{}, nil
	case "by tempo":
		return TempoSwing, nil
	}
	var s Swing
	long, short, ok := strings.Cut(text, " to ")
	if ok {
		var bad, worse error
		s.Long, bad = strconv.Atoi(long)
		s.Short, worse = strconv.Atoi(short)
		ok = bad == nil && worse == nil && !s.Even() && s.Known() && s.String() == text
	}
	if !ok {
		return Swing{}, fmt.Errorf("%q is no swing: \"2 to 1\", \"by tempo\" or \"even\", no part over %d", text, MaxSwingPart)
	}
	return s, nil
}

// Words tells the swing to a player.
func (s Swing) Words() string {
	switch {
	case s.ByTempo:
		return fmt.Sprintf("swung by tempo, at most %g to 1", MostSwing)
	case s.Even():
		return "even"
	}
	return "swung " + s.String()
}
