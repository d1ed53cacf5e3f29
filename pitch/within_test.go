package pitch

import (
	"strings"
	"testing"
)

// Common practice, no source: C6 and Am7 are one set of notes and hold both
// triads; so do the upper four of a ninth chord; a diminished seventh holds none.
func TestTriadsWithin(t *testing.T) {
	for _, c := range []struct{ notes, want string }{
		{"C E G A", "C Am"},
		{"A C E G", "C Am"},
		{"C E G", "C"},
		{"C Eb G", "Cm"},
		{"C E G Bb D", "C Gm"},
		{"C E G B D", "C G Em"},
		{"B D F Ab", ""},
		{"C E", ""},
		{"C C C", ""},
		{"", ""},
		{"F# A C# E", "A F#m"},
		{"Gb A Db E", "A Gbm"},
		{"C E G E C", "C"},
	} {
		var notes []Class
		for _, w := range strings.Fields(c.notes) {
			k, err := ParseClass(w)
			if err != nil {
				t.Fatal(err)
			}
			notes = append(notes, k)
		}
		var got []string
		for _, chord := range TriadsWithin(notes) {
			got = append(got, chord.String())
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%q holds %v; want %q", c.notes, got, c.want)
		}
	}
}

// A triad needs the accidentals of its own key (common practice, no source): G
// major none but F#, of which it has none; D major F#; F# major F#, C# and A#, the first, second and fifth sharp; C minor Eb.
func TestFewestAccidentals(t *testing.T) {
	for _, c := range []struct {
		notes string
		want  int
	}{
		{"C4 E4 G4", 0},
		{"D4 F#4 A4", 1},
		{"A4 C#5 E5", 2},
		{"E4 G#4 B4", 3},
		{"C4 Eb4 G4", -2},
		{"Bb3 D4 F4", -1},
		{"F#4 A#4 C#5", 5},
		{"Ab3 C4 Eb4", -3},
		{"Db4 F4 Ab4", -4},
		{"B3 D#4 F#4", 4},
	} {
		var keys []int
		for _, w := range strings.Fields(c.notes) {
			n, err := ParseName(w)
			if err != nil {
				t.Fatal(err)
			}
			keys = append(keys, n.Key())
		}
		if got := FewestAccidentals(keys); got != c.want {
			t.Errorf("%s: %d sharps, want %d", c.notes, got, c.want)
		}
	}
}

func TestSoundsAs(t *testing.T) {
	for _, c := range []struct {
		a, b        string
		same, equal bool
	}{
		{"F#m", "Gbm", true, false},
		{"F#m", "F#m", true, true},
		{"C/E", "C", false, false},
		{"C/E", "C/Fb", true, false},
		{"C6", "Am7/C", false, false},
		{"C", "Cm", false, false},
		{"C", "G", false, false},
	} {
		a, err := ParseChord(c.a)
		if err != nil {
			t.Fatal(err)
		}
		b, err := ParseChord(c.b)
		if err != nil {
			t.Fatal(err)
		}
		if a.SoundsAs(b) != c.same || b.SoundsAs(a) != c.same || a.Equal(b) != c.equal {
			t.Errorf("%s and %s: sound the same %v, equal %v; want %v, %v", c.a, c.b, a.SoundsAs(b), a.Equal(b), c.same, c.equal)
		}
	}
}
