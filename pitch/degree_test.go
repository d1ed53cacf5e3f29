package pitch

import (
	"errors"
	"testing"
)

// The chords of the numbers are common knowledge: in G one is G, two minor is Am, five
// seven is D7; of a minor key the numbers count the major scale on its tonic.
func TestDegrees(t *testing.T) {
	for _, c := range []struct{ tonic, number, chord string }{
		{"G", "1", "G"}, {"G", "2m", "Am"}, {"G", "4", "C"}, {"G", "57", "D7"}, {"G", "6m", "Em"}, {"G", "b7", "F"}, {"G", "1/3", "G/B"},
		{"G", "2m7b5", "Am7b5"}, {"Bb", "4", "Eb"}, {"Bb", "b3maj7", "Dbmaj7"}, {"A", "1m", "Am"}, {"A", "b6", "F"}, {"E", "#4dim7", "A#dim7"},
		{"C", "77", "B7"}, {"C", "16", "C6"}, {"C", "16/9", "C6/9"}, {"C", "4/5", "F/G"}, {"F#", "b7", "E"}, {"C", "57/b7", "G7/Bb"},
	} {
		tonic, _ := ParseClass(c.tonic)
		got, err := ParseDegree(c.number, tonic)
		if err != nil || got.String() != c.chord {
			t.Errorf("%s in %s: %s, %v, want %s", c.number, c.tonic, got, err, c.chord)
			continue
		}
		if back := got.Degree(tonic); back != c.number {
			t.Errorf("%s in %s comes back as %s", c.number, c.tonic, back)
		}
	}
	tonic, _ := ParseClass("G")
	for _, s := range []string{"", "8", "0", "b", "1/8", "1x", "G", "bbb7"} {
		if got, err := ParseDegree(s, tonic); err == nil {
			t.Errorf("%q is read as %s", s, got)
		} else if bad := (*BadChord)(nil); !errors.As(err, &bad) || bad.Offset > len(s) {
			t.Errorf("%q: %v", s, err)
		}
	}
}
