package pitch

import "testing"

func TestParseKey(t *testing.T) {
	for _, c := range []struct {
		in, want string
		fifths   int
	}{
		{"G", "G major", 1}, {"g", "G major", 1}, {"Am", "A minor", 0}, {"F# minor", "F# minor", 3},
		{"D dorian", "D dorian", 0}, {"Ddor", "D dorian", 0}, {"Bb major", "Bb major", -2}, {"B♭", "Bb major", -2},
		{"Amix", "A mixolydian", 2}, {"E Phrygian", "E phrygian", 0}, {"F LYD", "F lydian", 0}, {"Bloc", "B locrian", 0},
		{"C#", "C# major", 7}, {"Cb", "Cb major", -7}, {"A#m", "A# minor", 7}, {"Ab min", "Ab minor", -7},
		{"C ionian", "C major", 0}, {"C aeolian", "C minor", -3}, {" Em ", "E minor", 1}, {"GM", "G major", 1},
		{"D major, signed Bb F#", "D major", 0},
	} {
		k, err := ParseKey(c.in)
		if err != nil || k.String() != c.want || k.Fifths() != c.fifths {
			t.Errorf("ParseKey(%q) = %v with %d fifths, %v; want %s with %d", c.in, k, k.Fifths(), err, c.want, c.fifths)
		}
		again, err := ParseKey(k.Text())
		if err != nil || again != k {
			t.Errorf("ParseKey(%q) = %v, %v; want the key it was printed from", k.Text(), again, err)
		}
	}
	for _, bad := range []string{"", "H", "C blues", "Cma", "G# major", "Fbm", "C major, signed X", "C major, signed F# Fb", "C###", "major"} {
		if k, err := ParseKey(bad); err == nil {
			t.Errorf("ParseKey(%q) = %v; want an error", bad, k)
		}
	}
}

func TestScales(t *testing.T) {
	for _, c := range []struct{ tonic, name, want string }{
		{"G", "major", "G A B C D E F#"},
		{"A", "minor", "A B C D E F G"},
		{"A", "harmonic minor", "A B C D E F G#"},
		{"C", "Melodic Minor", "C D Eb F G A B"},
		{"D", "dorian", "D E F G A B C"},
		{"E", "minor pentatonic", "E G A B D"},
		{"D", "pentatonic", "D E F# A B"},
		{"A", "blues", "A C D Eb E G"},
		{"F", "whole tone", "F G A B C# D#"},
	} {
		s, err := ParseScale(c.name)
		if err != nil {
			t.Fatal(err)
		}
		tonic, err := ParseClass(c.tonic)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for i, n := range s.On(tonic) {
			if i > 0 {
				got += " "
			}
			got += n.String()
		}
		if got != c.want {
			t.Errorf("%s %s = %s; want %s", c.tonic, c.name, got, c.want)
		}
	}
	if _, err := ParseScale("klezmer"); err == nil {
		t.Error("ParseScale accepts a scale it can't know")
	}
	for m := Lydian; m <= Locrian; m++ {
		k, err := NewKey(Class{D, 0}, m)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range k.Scale().On(k.Tonic) {
			if int(c.Alter) != k.Alter(c.Letter) {
				t.Errorf("the scale of %v has %v, its signature says %d", k, c, k.Alter(c.Letter))
			}
		}
	}
}

func TestIntervals(t *testing.T) {
	for _, c := range []struct {
		iv          Interval
		name, short string
	}{
		{MinorThird, "minor third", "m3"}, {PerfectFifth, "perfect fifth", "P5"}, {AugFourth, "augmented fourth", "A4"},
		{DimSeventh, "diminished seventh", "d7"}, {Octave, "octave", "P8"}, {Unison, "unison", "P1"},
		{Interval{9, 16}, "major tenth", "M10"}, {Interval{-5, -9}, "falling major sixth", "-M6"},
		{Interval{3, 7}, "doubly augmented fourth", "AA4"}, {Interval{14, 24}, "double octave", "P15"},
	} {
		if c.iv.String() != c.name || c.iv.Short() != c.short {
			t.Errorf("%#v is called %q, %q; want %q, %q", c.iv, c.iv.String(), c.iv.Short(), c.name, c.short)
		}
		for _, text := range []string{c.name, c.short} {
			if got, err := ParseInterval(text); err != nil || got != c.iv {
				t.Errorf("ParseInterval(%q) = %#v, %v; want %#v", text, got, err, c.iv)
			}
		}
	}
	for text, want := range map[string]Interval{"third": MajorThird, "sixth": MajorSixth, "fifth": PerfectFifth} {
		if got, err := ParseInterval(text); err != nil || got != want {
			t.Errorf("ParseInterval(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, bad := range []string{"", "x3", "m5", "P3", "m0", "m16", "M99999999999999999999", "minor fifth", "third minor", "3", "dd1"} {
		if got, err := ParseInterval(bad); err == nil {
			t.Errorf("ParseInterval(%q) = %v; want an error", bad, got)
		}
	}
}
