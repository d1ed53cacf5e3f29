package terms

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
)

// TestHarmonies: chord symbols as kind and degrees. The kinds and their tones are
// those of the kind-value type of MusicXML 4.0; degrees count from the major
// scale with the flat seventh.
func TestHarmonies(t *testing.T) {
	for _, c := range []struct{ chord, want string }{
		{"C", "major"}, {"Cm", "minor"}, {"Cdim", "diminished"}, {"Caug", "augmented"}, {"C5", "power"}, {"Csus4", "suspended-fourth"}, {"Csus2", "suspended-second"},
		{"C7", "dominant"}, {"Cmaj7", "major-seventh"}, {"Cm7", "minor-seventh"}, {"CmMaj7", "major-minor"}, {"Cm7b5", "half-diminished"}, {"Cdim7", "diminished-seventh"},
		{"C7#5", "augmented-seventh"}, {"C6", "major-sixth"}, {"Cm6", "minor-sixth"}, {"C9", "dominant-ninth"}, {"Cmaj9", "major-ninth"}, {"Cm9", "minor-ninth"},
		{"Cm11", "minor-11th"}, {"C13", "dominant-13th"}, {"Cmaj13", "major-13th"}, {"Cm13", "minor-13th"},
		{"C6/9", "major-sixth add 9 0"}, {"Cadd9", "major add 9 0"}, {"Cadd2", "major add 2 0"}, {"Cadd4", "major add 4 0"}, {"Cmadd9", "minor add 9 0"},
		{"C7b9", "dominant add 9 -1"}, {"C7#9", "dominant add 9 1"}, {"C7#11", "dominant add 11 1"}, {"C7b13", "dominant add 13 -1"}, {"C7b9b13", "dominant add 9 -1 add 13 -1"},
		{"C7add13", "dominant add 13 0"}, {"Cm7add11", "minor-seventh add 11 0"}, {"C7add6", "dominant add 6 0"}, {"Cmaj7#11", "major-seventh add 11 1"},
		{"C7b5", "dominant alter 5 -1"}, {"Cmaj7#5", "major-seventh alter 5 1"}, {"Cm6/9", "minor-sixth add 9 0"},
		{"C(b5)", "other"}, {"C(no5)", "other"}, {"C7alt", "augmented-seventh add 9 -1 add 9 1 add 11 1"}, {"C7sus4", "other"}, {"C11", "other"},
	} {
		ch, err := pitch.ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		name, degrees := HarmonyOf(&ch)
		got := name
		for _, d := range degrees {
			got += fmt.Sprintf(" %s %d %d", d.Kind, d.Value, d.Alter)
		}
		if got != c.want {
			t.Errorf("%s is %s; want %s", c.chord, got, c.want)
		}
		if name == "other" {
			continue
		}
		suffix, ok := SuffixOf(name, degrees)
		again, err := pitch.ParseChord("C" + suffix)
		if !ok || err != nil || sounding(again) != sounding(ch) {
			t.Errorf("%s comes back as C%s (%s), %v, %v", c.chord, suffix, again.TonesText(), ok, err)
		}
	}
}

// sounding returns the set of a chord's tones, each by its semitones above the root.
func sounding(c pitch.Chord) (set int) {
	for _, t := range c.Tones {
		set |= 1 << (t.Interval.Semitones % 12)
	}
	return set
}

// TestSuffixes: what other programs write of kinds and degrees, as a player would.
func TestSuffixes(t *testing.T) {
	for _, c := range []struct {
		kind    string
		degrees []Degree
		want    string
	}{
		{"major", []Degree{{5, -1, "alter"}}, "(b5)"}, {"major", []Degree{{9, -1, "add"}}, "addb9"}, {"power", []Degree{{5, -1, "alter"}}, "5(b5)"},
		{"dominant", []Degree{{9, 1, "add"}}, "7#9"}, {"dominant", []Degree{{13, 0, "add"}}, "7add13"}, {"dominant", []Degree{{3, 0, "subtract"}}, "7no3"},
		{"minor", []Degree{{1, 0, "subtract"}}, "mno1"}, {"dominant", []Degree{{5, 0, "alter"}}, "7"}, {"dominant", []Degree{{9, 1, "strange"}}, "7"},
		{"augmented", nil, "aug"}, {"augmented", []Degree{{9, 0, "add"}}, "augadd9"}, {"augmented-seventh", []Degree{{9, -1, "add"}}, "7#5(b9)"}, {"half-diminished", []Degree{{11, 0, "add"}}, "m7b5add11"},
		{"dominant", []Degree{{14, 0, "add"}}, "none"}, {"dominant", []Degree{{0, 0, "add"}}, "none"}, {"dominant", []Degree{{5, 2, "alter"}}, "none"}, {"Tristan", nil, "none"},
	} {
		got, ok := SuffixOf(c.kind, c.degrees)
		if !ok {
			got = "none"
		}
		if got != c.want {
			t.Errorf("%s with %v is written %q; want %q", c.kind, c.degrees, got, c.want)
		}
	}
}

// TestPlacements: every way the steel lies is read as it is written, and nothing else
// is read as one.
func TestPlacements(t *testing.T) {
	for k := steel.Kind(0); int(k) < len(placementWords); k++ {
		p := steel.Placement{Kind: k, First: 1, Last: 3, FirstFret: 5.97, LastFret: 4}
		if got, ok := ParsePlacement(strings.Fields(FormatPlacement(p))[1:]); !ok || got != p {
			t.Errorf("%q is read as %+v, %v", FormatPlacement(p), got, ok)
		}
	}
	for text, want := range map[string]bool{
		"straight 1@0 12@48": true, "lifted 0@0 0@0": true, "straight 1@5": false, "straight 1@5 3@5 4@5": false, "askew 1@5 3@5": false, "straight 1 3@5": false, "straight 1@5 3": false,
		"straight x@5 3@5": false, "straight 1@x 3@5": false, "straight -1@5 3@5": false, "straight 1@-1 3@5": false, "straight 1@49 3@5": false, "straight 1@5 3@48.5": false,
		fmt.Sprintf("straight 1@5 %d@5", rig.MaxStrings): true, fmt.Sprintf("straight 1@5 %d@5", rig.MaxStrings+1): false,
	} {
		if p, ok := ParsePlacement(strings.Fields(text)); ok != want {
			t.Errorf("%q is read as %+v, %v", text, p, ok)
		}
	}
}

// TestBenders: the marks of what is engaged, in the rig's order.
func TestBenders(t *testing.T) {
	r := rigtest.Builtin(t, "bender-open-d")
	a, b := r.Benders[0].Mark, r.Benders[1].Mark
	for set, want := range map[rig.BenderSet]string{0: "", 1: "benders " + a, 2: "benders " + b, 3: "benders " + a + " " + b} {
		if got := FormatBenders(r, set); got != want {
			t.Errorf("the set %b is written %q; want %q", set, got, want)
		}
	}
}

// TestAccidentals: what a reader sees follows from the signature and from what stood
// in the bar, on the line or space of its octave alone (common practice, no source).
func TestAccidentals(t *testing.T) {
	key, err := pitch.ParseKey("G")
	if err != nil {
		t.Fatal(err)
	}
	a := NewAccidentals(key)
	for _, c := range []struct {
		note string
		want bool
	}{
		{"F#4", false}, {"F4", true}, {"F4", false}, {"F#4", true}, {"F5", true}, {"G4", false}, {"G#4", true}, {"G#5", true}, {"G5", true}, {"G4", true}, {"Bb3", true}, {"B3", true}, {"B4", false},
	} {
		n, err := pitch.ParseName(c.note)
		if err != nil {
			t.Fatal(err)
		}
		if got := a.Take(n); got != c.want {
			t.Errorf("%s wants an accidental: %v; want %v", c.note, got, c.want)
		}
	}
}
