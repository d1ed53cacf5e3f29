package terms

import (
	"fmt"
	"testing"

	"lapwright/tune"
)

// TestKeys reads K: fields: the key, its signature from C to B, and what is not
// understood. Section 3.1.14 of the ABC 2.1 standard, from memory; the signatures of
// the modes are common practice, no source.
func TestKeys(t *testing.T) {
	for _, c := range []struct{ field, want string }{
		{"C", "C major 0000000"}, {"G", "G major 000+000"}, {"Bb", "Bb major 00-000-"}, {"F#", "F# major ++++++0"},
		{"Am", "A minor 0000000"}, {"A minor", "A minor 0000000"}, {"AMin", "A minor 0000000"}, {"Eb MAJOR", "Eb major 00-00--"},
		{"Ddor", "D dorian 0000000"}, {"D Dorian", "D dorian 0000000"}, {"Gmix", "G mixolydian 0000000"}, {"A mix", "A mixolydian +00+000"},
		{"Ephr", "E phrygian 0000000"}, {"Flyd", "F lydian 0000000"}, {"Bloc", "B locrian 0000000"}, {"Cion", "C major 0000000"}, {"Aaeo", "A minor 0000000"},
		{"F#m", "F# minor +00++00"}, {"Bbmin", "Bb minor 0--0---"},
		{"D Phr ^f", "D phrygian 00-+00- own"}, {"D exp _b _e ^f", "D major 00-+00- own"}, {"D maj =c", "D major 000+000 own"}, {"D=c", "D major 000+000 own"},
		{"Gexp^f", "G major 000+000"},
		{"HP", "A mixolydian +00+000"}, {"Hp", "A mixolydian +00+000"}, {"none", "C major 0000000"}, {"", "C major 0000000"},
		{"G clef=bass", "G major 000+000, clef bass"}, {"Am bass", "A minor 0000000, clef bass"}, {"G treble-8", "G major 000+000, clef treble-8, octave -1"},
		{"C octave=-1", "C major 0000000, octave -1"}, {"C transpose=-3", "C major 0000000, semitones -3"}, {"C transpose=14", "C major 0000000, octave 1, semitones 2"},
		{"G nonsense", `G major 000+000, unread "nonsense"`}, {"Gfoo", `G major 000+000, unread "foo"`}, {"G#", "G# major +++++++ own"},
		{"clef=alto", "none, clef alto"}, {"C octave=99", `C major 0000000, unread "octave=99"`},
	} {
		k := ParseKey(c.field)
		got := "none"
		if k.Set {
			got = k.Key.String() + " "
			for _, a := range k.Key.Signature {
				got += map[int8]string{0: "0", 1: "+", -1: "-", 2: "+"}[a]
			}
			if k.Key.Own {
				got += " own"
			}
		}
		if k.Clef.Name != "" {
			got += ", clef " + k.Clef.Name
		}
		if k.Clef.Octave != 0 {
			got += fmt.Sprintf(", octave %d", k.Clef.Octave)
		}
		if k.Clef.Semitones != 0 {
			got += fmt.Sprintf(", semitones %d", k.Clef.Semitones)
		}
		if k.Unread != "" {
			got += fmt.Sprintf(", unread %q", k.Unread)
		}
		if got != c.want {
			t.Errorf("K:%s: got %s, want %s", c.field, got, c.want)
		}
		if k.Set {
			again := ParseKey(FormatKey(k.Key))
			if again.Key != k.Key || again.Unread != "" {
				t.Errorf("K:%s is written K:%s and read as %+v", c.field, FormatKey(k.Key), again)
			}
		}
	}
}

// TestMeters: section 3.1.6, from memory.
func TestMeters(t *testing.T) {
	for _, c := range []struct{ field, want string }{
		{"4/4", "4/4"}, {"C", "4/4 C"}, {"C|", "2/2 C|"}, {"6/8", "6/8"}, {"none", "0/0"}, {"", "0/0"},
		{"2+2+3/8", "7/8 [2 2 3]"}, {"(2+3)/8", "5/8 [2 3]"}, {" 3 / 4 ", "3/4"},
		{"4/0", "bad"}, {"0/4", "bad"}, {"4/3", "bad"}, {"x", "bad"}, {"3", "bad"}, {"4/4/4", "bad"}, {"-3/4", "bad"}, {"999/4", "bad"}, {"3/99999999999999999999", "bad"},
	} {
		m, err := ParseMeter(c.field)
		got := fmt.Sprintf("%d/%d", m.Beats, m.Unit)
		if m.Symbol != "" {
			got += " " + m.Symbol
		}
		if m.Groups != nil {
			got += fmt.Sprint(" ", m.Groups)
		}
		if err != nil {
			got = "bad"
		}
		if got != c.want {
			t.Errorf("M:%s: got %s, want %s", c.field, got, c.want)
		}
	}
}

// TestTempos: section 3.1.8, outdated forms included, from memory; the unit is an
// eighth.
func TestTempos(t *testing.T) {
	for _, c := range []struct{ field, want string }{
		{"1/4=120", `1/4=120000 ""`}, {"3/8=50.5", `3/8=50500 ""`}, {`"Slowly"`, `0=0 "Slowly"`}, {`1/4=60 "Slowly"`, `1/4=60000 "Slowly"`},
		{`"Allegro" 1/4=120`, `1/4=120000 "Allegro"`}, {"1/4 3/8 1/4 3/8=40", `5/4=40000 ""`},
		{"120", `1/8=120000 "" old`}, {"C=100", `1/8=100000 "" old`}, {"C3=40", `3/8=40000 "" old`},
		{"0", "bad"}, {"1/4=0", "bad"}, {"1/0=120", "bad"}, {"1/4=x", "bad"}, {"", "bad"}, {`""`, "bad"}, {`"open`, "bad"}, {"1/4=99999999999", "bad"}, {"1/4=1.2345", "bad"},
		{"99999/1=3", "bad"}, {"-1/4=120", "bad"}, {"1/4=-120", "bad"},
	} {
		x, old, err := ParseTempo(c.field, tune.Whole/8)
		got := fmt.Sprintf("%s=%d %q", x.Beat, x.PerMinute, x.Text)
		if old {
			got += " old"
		}
		if err != nil {
			got = "bad"
		}
		if got != c.want {
			t.Errorf("Q:%s: got %s, want %s", c.field, got, c.want)
		}
	}
}
