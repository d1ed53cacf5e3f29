package pitch

import "testing"

func FuzzParseChord(f *testing.F) {
	for _, c := range chordTable {
		f.Add(c.in)
	}
	for _, c := range badChordTable {
		f.Add(c.in)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseChord(s)
		if err != nil {
			if c.Tones != nil || err.Error() == "" {
				t.Fatalf("%q: %v with %v", s, err, c)
			}
			return
		}
		for _, form := range []string{c.String(), c.Pretty()} {
			if again, err := ParseChord(form); err != nil || !again.Equal(c) || again.TonesText() != c.TonesText() {
				t.Fatalf("%q reads as %v, which reads back as %v, %v", s, c, again, err)
			}
		}
	})
}

func FuzzParseKey(f *testing.F) {
	for _, s := range []string{"G", "F# minor", "D major, signed Bb F#", "", "Hm", "C###", "B♭ mix"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k, err := ParseKey(s)
		if err != nil {
			return
		}
		if again, err := ParseKey(k.Text()); err != nil || again != k {
			t.Fatalf("%q reads as %v, whose text %q reads as %v, %v", s, k, k.Text(), again, err)
		}
	})
}

func FuzzParseInterval(f *testing.F) {
	for _, s := range []string{"m3", "-P5", "falling minor sixth", "third", "doubly augmented fourth", "P0", "double octave"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		iv, err := ParseInterval(s)
		if err != nil {
			return
		}
		if again, err := ParseInterval(iv.Short()); err != nil || again != iv {
			t.Fatalf("%q reads as %v, whose text %q reads as %v, %v", s, iv, iv.Short(), again, err)
		}
	})
}
