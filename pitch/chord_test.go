package pitch

import (
	"errors"
	"testing"
)

// chordTable lists chord symbols as players write them, the canonical form and
// the tones. Spellings are checked against another library in refcheck.
var chordTable = []struct{ in, want, tones string }{
	{"C", "C", "R 3 5"},
	{"Cmaj", "C", "R 3 5"},
	{"CM", "C", "R 3 5"},
	{"Cm", "Cm", "R b3 5"},
	{"Cmin", "Cm", "R b3 5"},
	{"C-", "Cm", "R b3 5"},
	{"Cmi", "Cm", "R b3 5"},
	{"Bb", "Bb", "R 3 5"},
	{"B♭m", "Bbm", "R b3 5"},
	{"F#dim", "F#dim", "R b3 b5"},
	{"F#o", "F#dim", "R b3 b5"},
	{"C°7", "Cdim7", "R b3 b5 bb7"},
	{"Cdim7", "Cdim7", "R b3 b5 bb7"},
	{"CdimMaj7", "CdimMaj7", "R b3 b5 7"},
	{"Cø", "Cm7b5", "R b3 b5 b7"},
	{"Cø7", "Cm7b5", "R b3 b5 b7"},
	{"F#m7b5/E", "F#m7b5/E", "R b3 b5 b7"},
	{"Cm7-5", "Cm7b5", "R b3 b5 b7"},
	{"Cm7(♭5)", "Cm7b5", "R b3 b5 b7"},
	{"Caug", "Caug", "R 3 #5"},
	{"C+", "Caug", "R 3 #5"},
	{"C(#5)", "Caug", "R 3 #5"},
	{"C(b5)", "C(b5)", "R 3 b5"},
	{"C-5", "C(b5)", "R 3 b5"},
	{"C+7", "C7#5", "R 3 #5 b7"},
	{"C7+", "C7#5", "R 3 #5 b7"},
	{"Caug7", "C7#5", "R 3 #5 b7"},
	{"C7+5", "C7#5", "R 3 #5 b7"},
	{"C7#5", "C7#5", "R 3 #5 b7"},
	{"C7b5", "C7b5", "R 3 b5 b7"},
	{"C7b5#5", "C7b5#5", "R 3 b5 #5 b7"},
	{"C+9", "C9#5", "R 3 #5 b7 9"},
	{"Cmaj7#5", "Cmaj7#5", "R 3 #5 7"},
	{"C+maj7", "Cmaj7#5", "R 3 #5 7"},
	{"C5", "C5", "R 5"},
	{"C(no3)", "C5", "R 5"},
	{"C(no5)", "C(no5)", "R 3"},
	{"Cm(no5)", "Cm(no5)", "R b3"},
	{"C6", "C6", "R 3 5 6"},
	{"Cm6", "Cm6", "R b3 5 6"},
	{"C6/9", "C6/9", "R 3 5 6 9"},
	{"C69", "C6/9", "R 3 5 6 9"},
	{"C6add9", "C6/9", "R 3 5 6 9"},
	{"C6/9/E", "C6/9/E", "R 3 5 6 9"},
	{"Cm6/9", "Cm6/9", "R b3 5 6 9"},
	{"C7", "C7", "R 3 5 b7"},
	{"Cdom7", "C7", "R 3 5 b7"},
	{"Cmaj7", "Cmaj7", "R 3 5 7"},
	{"CM7", "Cmaj7", "R 3 5 7"},
	{"CΔ", "Cmaj7", "R 3 5 7"},
	{"CΔ7", "Cmaj7", "R 3 5 7"},
	{"C^9", "Cmaj9", "R 3 5 7 9"},
	{"C(maj7)", "Cmaj7", "R 3 5 7"},
	{"Cm7", "Cm7", "R b3 5 b7"},
	{"C-7", "Cm7", "R b3 5 b7"},
	{"Cm(maj7)", "CmMaj7", "R b3 5 7"},
	{"CmM7", "CmMaj7", "R b3 5 7"},
	{"Cm/maj7", "CmMaj7", "R b3 5 7"},
	{"C-Δ", "CmMaj7", "R b3 5 7"},
	{"Cm#7", "CmMaj7", "R b3 5 7"},
	{"C9", "C9", "R 3 5 b7 9"},
	{"C7add9", "C9", "R 3 5 b7 9"},
	{"C7/9", "C9", "R 3 5 b7 9"},
	{"Cmaj9", "Cmaj9", "R 3 5 7 9"},
	{"Cm9", "Cm9", "R b3 5 b7 9"},
	{"Cm7(9)", "Cm9", "R b3 5 b7 9"},
	{"C11", "C11", "R 5 b7 9 11"},
	{"Cm11", "Cm11", "R b3 5 b7 9 11"},
	{"Cm7(11)", "Cm7add11", "R b3 5 b7 11"},
	{"B♭13", "Bb13", "R 3 5 b7 9 13"},
	{"C7(13)", "C7add13", "R 3 5 b7 13"},
	{"C9(13)", "C13", "R 3 5 b7 9 13"},
	{"C13(no9)", "C13(no9)", "R 3 5 b7 13"},
	{"Cmaj13", "Cmaj13", "R 3 5 7 9 13"},
	{"Cm13", "Cm13", "R b3 5 b7 9 13"},
	{"C7b9", "C7b9", "R 3 5 b7 b9"},
	{"C7-9", "C7b9", "R 3 5 b7 b9"},
	{"C7(b9)", "C7b9", "R 3 5 b7 b9"},
	{"C9b9", "C7b9", "R 3 5 b7 b9"},
	{"C7#9", "C7#9", "R 3 5 b7 #9"},
	{"C7+9", "C7#9", "R 3 5 b7 #9"},
	{"C7#11", "C7#11", "R 3 5 b7 #11"},
	{"C7b13", "C7b13", "R 3 5 b7 b13"},
	{"C7(b9,#5)", "C7#5b9", "R 3 #5 b7 b9"},
	{"C7 b9 b13", "C7b9b13", "R 3 5 b7 b9 b13"},
	{"C13#11", "C13#11", "R 3 5 b7 9 #11 13"},
	{"C13b9", "C13b9", "R 3 5 b7 b9 13"},
	{"Cmaj7#11", "Cmaj7#11", "R 3 5 7 #11"},
	{"Cmaj9#11", "Cmaj9#11", "R 3 5 7 9 #11"},
	{"C7alt", "C7alt", "R 3 b7 b9 #9 #11 b13"},
	{"Calt", "C7alt", "R 3 b7 b9 #9 #11 b13"},
	{"Csus", "Csus4", "R 4 5"},
	{"Csus2", "Csus2", "R 2 5"},
	{"Csus4", "Csus4", "R 4 5"},
	{"Csus24", "Csus24", "R 2 4 5"},
	{"Csus4sus2", "Csus24", "R 2 4 5"},
	{"G7sus4", "G7sus4", "R 4 5 b7"},
	{"G7sus", "G7sus4", "R 4 5 b7"},
	{"G9sus4", "G9sus4", "R 4 5 b7 9"},
	{"G13sus4", "G13sus4", "R 4 5 b7 9 13"},
	{"Gsus4b9", "Gsus4addb9", "R 4 5 b9"},
	{"Cadd9", "Cadd9", "R 3 5 9"},
	{"C/9", "Cadd9", "R 3 5 9"},
	{"C(9)", "Cadd9", "R 3 5 9"},
	{"C2", "Cadd2", "R 2 3 5"},
	{"Cadd2", "Cadd2", "R 2 3 5"},
	{"Cadd4", "Cadd4", "R 3 4 5"},
	{"Cmadd9", "Cmadd9", "R b3 5 9"},
	{"Cadd#11", "Cadd#11", "R 3 5 #11"},
	{"C(b9)", "Caddb9", "R 3 5 b9"},
	{"C7/6", "C7add6", "R 3 5 6 b7"},
	{"A7/e", "A7/E", "R 3 5 b7"},
	{"D/f#", "D/F#", "R 3 5"},
	{"C/b", "C/B", "R 3 5"},
	{"C/bb", "C/Bb", "R 3 5"},
	{"Am/G#", "Am/G#", "R b3 5"},
	{" C7 ", "C7", "R 3 5 b7"},
	{"F##m", "F##m", "R b3 5"},
	{"C/C", "C", "R 3 5"},
	// A slash before a degree adds it; "/b" alone is a bass.
	{"C7/11", "C7add11", "R 3 5 b7 11"},
	{"C9/13", "C13", "R 3 5 b7 9 13"},
	{"C7/b9", "C7b9", "R 3 5 b7 b9"},
	{"C7/♭9", "C7b9", "R 3 5 b7 b9"},
	{"C7/#9", "C7#9", "R 3 5 b7 #9"},
	{"C7/♯11", "C7#11", "R 3 5 b7 #11"},
	{"Cm/Bb", "Cm/Bb", "R b3 5"},
	{"Cno3add9", "C5add9", "R 5 9"},
	{"Csus2add9", "Csus2add9", "R 2 5 9"},
	{"C9(11)", "C9add11", "R 3 5 b7 9 11"},
	{"Cm9(11)", "Cm11", "R b3 5 b7 9 11"},
	{"C9(no3,11)", "C11", "R 5 b7 9 11"},
	{"C13(no11)", "C13", "R 3 5 b7 9 13"},
	{"C13(11,no11)", "C13", "R 3 5 b7 9 13"},
	{"C7alt", "C7alt", "R 3 b7 b9 #9 #11 b13"},
}

// Chords moved as players transpose them; the bass goes along.
func TestChordUp(t *testing.T) {
	for _, c := range []struct{ chord, by, want string }{
		{"G7/B", "P4", "C7/E"}, {"C/Bb", "M2", "D/C"}, {"F#m7b5/E", "m3", "Am7b5/G"}, {"D/F#", "-M2", "C/E"}, {"Bb/D", "P5", "F/A"}, {"Am/G#", "m2", "Bbm/A"},
		{"F/Eb", "-P4", "C/Bb"}, {"Dm", "M6", "Bm"},
	} {
		in, err := ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		by, err := ParseInterval(c.by)
		if err != nil {
			t.Fatal(err)
		}
		if got := in.Up(by).String(); got != c.want {
			t.Errorf("%s up %s is %s; want %s", c.chord, c.by, got, c.want)
		}
	}
}

// Which tone of a chord a note is, in any spelling and octave.
func TestChordTone(t *testing.T) {
	for _, c := range []struct{ chord, note, want string }{
		{"G7", "B", "3"}, {"G7", "Cb", "3"}, {"G7", "F", "b7"}, {"G7", "A", ""}, {"G9", "A", "9"}, {"C13", "A", "13"}, {"C", "C", "R"}, {"Am", "C", "b3"},
		{"C/D", "D", ""}, {"E7#9", "G", "#9"},
	} {
		ch, err := ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		k, err := ParseClass(c.note)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := ch.Tone(k); got.Label != c.want || ok != (c.want != "") {
			t.Errorf("%s is the %q of %s, %v; want %q", c.note, got.Label, c.chord, ok, c.want)
		}
	}
}

func TestParseChord(t *testing.T) {
	for _, c := range chordTable {
		got, err := ParseChord(c.in)
		if err != nil {
			t.Errorf("ParseChord(%q): %v", c.in, err)
			continue
		}
		if got.String() != c.want || got.TonesText() != c.tones {
			t.Errorf("ParseChord(%q) = %s, tones %s; want %s, tones %s", c.in, got, got.TonesText(), c.want, c.tones)
		}
		for _, text := range []string{got.String(), got.Pretty()} {
			again, err := ParseChord(text)
			if err != nil || !again.Equal(got) || again.TonesText() != got.TonesText() {
				t.Errorf("ParseChord(%q), the printed form of %q, = %s (%v)", text, c.in, again, err)
			}
		}
	}
}

// badChordTable lists texts that are not chord symbols and the character at
// which reading stops, counted from 1.
var badChordTable = []struct {
	in string
	at int
}{
	{"", 1}, {"c", 1}, {"H7", 1}, {"N.C.", 1}, {"slowly", 1},
	{"Coda", 3}, {"Fine", 2}, {"D.C.", 2}, {"Add", 2}, {"Bass", 2}, {"Gently", 2},
	{"C###", 4}, {"C#b5", 3}, {"C(7", 4}, {"C7)", 3}, {"C((7))", 4}, {"C/", 3}, {"C/X", 3}, {"C/E7", 4},
	{"C7b4", 4}, {"C77", 3}, {"C75", 3}, {"C15", 2}, {"C8", 2}, {"Cmsus4", 6}, {"Csus4m", 7}, {"Cm5", 3},
	{"Cmaj5", 5}, {"Cmajmin", 8}, {"Cmm", 4}, {"Cadd", 5}, {"Cno", 4}, {"Cno7", 4}, {"Cm+7", 4}, {"C4", 2}, {"C7sus4sus4", 11},
	// "alt" stands after the root or a plain 7; a fifth is raised once; a degree after a slash is one that adds.
	{"Cm7alt", 7}, {"C9alt", 6}, {"C6alt", 6}, {"Cmaj7alt", 9}, {"C++", 4}, {"C(no5)+", 8}, {"C/7", 3}, {"C6/6", 4}, {"C/13sus4/2", 10}, {"C/#", 3}, {"Cm7/maj", 5},
}

func TestParseChordRefuses(t *testing.T) {
	for _, c := range badChordTable {
		got, err := ParseChord(c.in)
		var bad *BadChord
		if !errors.As(err, &bad) {
			t.Errorf("ParseChord(%q) = %s, %v; want a *BadChord", c.in, got, err)
			continue
		}
		if n := len([]rune(bad.Text[:bad.Offset])) + 1; n != c.at {
			t.Errorf("ParseChord(%q) stops at character %d, want %d: %v", c.in, n, c.at, err)
		}
	}
}
