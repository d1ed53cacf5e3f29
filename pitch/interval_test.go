package pitch

import (
	"strings"
	"testing"
)

// Intervals between written notes, counted on the staff.
func TestFrom(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"C4", "E4", "major third"}, {"E4", "C4", "falling major third"}, {"B3", "C4", "minor second"}, {"G2", "D4", "perfect twelfth"},
		{"F4", "B4", "augmented fourth"}, {"B3", "F4", "diminished fifth"}, {"C4", "F5", "perfect eleventh"}, {"C#4", "C4", "falling augmented unison"},
		{"F4", "F#4", "augmented unison"}, {"A3", "A5", "double octave"}, {"C4", "C4", "unison"}, {"B3", "Ab4", "diminished seventh"},
		{"C#4", "Eb4", "diminished third"}, {"C##4", "Eb4", "doubly diminished third"}, {"B3", "Eb4", "diminished fourth"}, {"B#3", "Eb4", "doubly diminished fourth"}, {"Bb3", "F##4", "doubly augmented fifth"},
		{"C4", "C#6", "augmented double octave"}, {"C4", "D6", "interval of 15 steps and 26 semitones"},
		{"C##4", "Ebb4", "interval of 2 steps and 0 semitones"}, {"Cb4", "E#4", "doubly augmented third"}, {"Cbb4", "E#4", "interval of 2 steps and 7 semitones"},
		{"C#4", "Fbb4", "interval of 3 steps and 2 semitones"}, {"C##4", "Fbb4", "interval of 3 steps and 1 semitones"},
	} {
		a, err := ParseName(c.from)
		if err != nil {
			t.Fatal(err)
		}
		b, err := ParseName(c.to)
		if err != nil {
			t.Fatal(err)
		}
		iv := From(a, b)
		if iv.String() != c.want {
			t.Errorf("from %s to %s is a %s (%v); want %s", c.from, c.to, iv, iv.Short(), c.want)
		}
		if got := a.Up(iv); got != b {
			t.Errorf("a %s from %s leads to %v; want %s", iv, c.from, got, c.to)
		}
	}
}

// The short forms of music theory: P, M, m, A and d before the number.
func TestIntervalTexts(t *testing.T) {
	for text, want := range map[string]Interval{
		"d5": {4, 6}, "dd5": {4, 5}, "AA5": {4, 9}, "dd3": {2, 1}, "d3": {2, 2}, "A1": {0, 1}, "-A1": {0, -1}, "P11": {10, 17}, "P12": {11, 19},
		"M13": {12, 21}, "d8": {7, 11}, "P15": {14, 24}, "m7": {6, 10}, "d4": {3, 4}, "AA4": {3, 7}, "-m2": {-1, -1}, "P1": {0, 0}, "A15": {14, 25},
	} {
		if got, err := ParseInterval(text); err != nil || got != want {
			t.Errorf("ParseInterval(%q) = %v, %v; want %#v", text, got, err, want)
		}
		if got := want.Short(); got != text {
			t.Errorf("%#v is %q in short; want %q", want, got, text)
		}
		if got, err := ParseInterval(want.String()); err != nil || got != want {
			t.Errorf("ParseInterval(%q) = %v, %v; want %#v", want.String(), got, err, want)
		}
	}
	for _, bad := range []string{"minor augmented fourth", "doubly minor third", "doubly perfect fifth", "twice augmented fourth", "quite augmented fourth", "very doubly augmented fourth", "dd1", "d1"} {
		if got, err := ParseInterval(bad); err == nil {
			t.Errorf("ParseInterval(%q) = %v; want an error", bad, got)
		}
	}
}

// Pitches moved past what two accidentals can spell keep their sound.
func TestUpRespells(t *testing.T) {
	for _, c := range []struct{ from, by, want string }{
		{"B#4", "A1", "B##4"}, {"B##4", "A1", "D5"}, {"Fb4", "dd5", "A4"}, {"C4", "-A1", "Cb4"}, {"Cb4", "-A1", "Cbb4"}, {"Cbb4", "-A1", "A3"},
		{"E#4", "M3", "G##4"}, {"B4", "m2", "C5"}, {"C5", "-m2", "B4"}, {"B#4", "M7", "A##5"}, {"Bb3", "P5", "F4"}, {"F#4", "P4", "B4"},
	} {
		from, err := ParseName(c.from)
		if err != nil {
			t.Fatal(err)
		}
		by, err := ParseInterval(c.by)
		if err != nil {
			t.Fatal(err)
		}
		got := from.Up(by)
		if got.String() != c.want || got.Key() != from.Key()+by.Semitones {
			t.Errorf("%s up %s is %v; want %s", c.from, c.by, got, c.want)
		}
	}
}

// Keys moved as a player transposes: the tonic keeps its letter while at most
// seven accidentals are needed, beyond that the other spelling is taken.
func TestKeyUp(t *testing.T) {
	for _, c := range []struct{ key, by, want string }{
		{"C", "M3", "E major"}, {"B", "m2", "C major"}, {"F#", "M2", "Ab major"}, {"C#", "P5", "Ab major"}, {"Gb", "P4", "Cb major"},
		{"Cb", "P4", "E major"}, {"C", "A5", "Ab major"}, {"A minor", "-m3", "F# minor"}, {"A# minor", "P5", "F minor"}, {"Ab minor", "P4", "C# minor"},
		{"D dorian", "P4", "G dorian"}, {"D# dorian", "P5", "Bb dorian"}, {"F lydian", "P4", "Bb lydian"}, {"Gb lydian", "P4", "Cb lydian"},
		{"D major, signed F# Bb", "M2", "E major, signed F# G#"}, {"D major, signed F# Bb Eb", "P5", "A major, signed C# Bb"},
		{"D major, signed F# Bb Eb", "-M2", "C major, signed Bb Ab Db"},
	} {
		k, err := ParseKey(c.key)
		if err != nil {
			t.Fatal(err)
		}
		by, err := ParseInterval(c.by)
		if err != nil {
			t.Fatal(err)
		}
		got := k.Up(by)
		if got.Text() != c.want {
			t.Errorf("%s up %s is %s; want %s", c.key, c.by, got.Text(), c.want)
		}
		if !got.Own && got.Signature != SignatureOf(got.Fifths()) {
			t.Errorf("%s has the signature %v", got, got.Signature)
		}
	}
}

func TestScaleHas(t *testing.T) {
	scale, err := ParseScale("major")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		tonic, in, out string
	}{
		{"C", "C D E F G A B E# Cb Fb B#", "C# Eb F# Ab Bb"},
		{"A", "A B C# D E F# G# Db Ab", "C G F Bb Eb"},
		{"Eb", "Eb F G Ab Bb C D D# G#", "E A B F# C#"},
	} {
		for _, k := range classes(t, c.in) {
			if !scale.Has(classes(t, c.tonic)[0], k) {
				t.Errorf("%v is not in %s major", k, c.tonic)
			}
		}
		for _, k := range classes(t, c.out) {
			if scale.Has(classes(t, c.tonic)[0], k) {
				t.Errorf("%v is in %s major", k, c.tonic)
			}
		}
	}
}

func TestNameBounds(t *testing.T) {
	for text, key := range map[string]int{"C-1": 0, "G9": 127, "A4": 69, "C10": 132, "B-1": 11, "Cb4": 59, "B#3": 60, "Fx4": 67} {
		n, err := ParseName(text)
		if err != nil || n.Key() != key {
			t.Errorf("ParseName(%q) = %v, key %d, %v; want key %d (MIDI 1.0 numbers middle C 60)", text, n, n.Key(), err, key)
		}
	}
	for text, at := range map[string]string{
		"C-2": "character 2", "C11": "character 2", "C": "character 2", "F♯x": "character 3", "Hb4": "character 1", "C4x": "character 2", "D#b4": "character 3", "Bb#2": "character 3", "Gbbb": "character 4",
	} {
		n, err := ParseName(text)
		if err == nil || !strings.Contains(err.Error(), at) {
			t.Errorf("ParseName(%q) = %v, %v; want an error at %s", text, n, err, at)
		}
	}
	for k := -3; k <= 3; k++ {
		n, ok := Spell(60+k, C)
		if want := k >= -2 && k <= 2; ok != want {
			t.Errorf("key %d as a C is %v, %v; two accidentals are the most", 60+k, n, ok)
		}
	}
}
