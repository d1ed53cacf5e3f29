package outline

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/abc"
	"lapwright/notation/abc/abctest"
	"lapwright/tune"
)

// read reads one tune of our own.
func read(t testing.TB, src string) *tune.Tune {
	t.Helper()
	return abctest.Tune(t, "X:1\nT:Quay\n"+src+"\n")
}

// sounds writes what is left: place and name of every note that begins.
func sounds(t *tune.Tune) string {
	var out []string
	for _, m := range tune.Moments(t) {
		for _, n := range m.Notes {
			if !n.Tied && !n.Grace {
				out = append(out, fmt.Sprintf("%d@%s %s", m.BarIndex+1, m.At, n.Name))
			}
		}
	}
	return strings.Join(out, ", ")
}

// begun counts the notes that begin.
func begun(t *tune.Tune) int {
	n := 0
	for _, m := range tune.Moments(t) {
		for _, x := range m.Notes {
			if !x.Tied {
				n++
			}
		}
	}
	return n
}

// What an outline keeps, as a teacher of beginners would (common practice, no source).
func TestKept(t *testing.T) {
	for _, c := range []struct{ what, abc, want string }{
		{"chord tones on strong beats, and the beats between to two fifths", "M:4/4\nL:1/8\nQ:1/4=180\nK:G\n\"G\"GABc dcBA|\"D7\"A8|]", "1@0 G4, 1@1/4 B4, 1@1/2 D5, 1@3/4 B4, 2@0 A4"},
		{"the first of a bar, whatever it is", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\n\"G\"A G F E|\"G\"G4|]", "1@0 A4, 1@1/4 G4, 2@0 G4"},
		{"pickups", "M:3/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"DE|\"G\"GABABA|\"G\"G6|]", "1@0 D4, 1@1/8 E4, 2@0 G4, 2@1/4 B4, 2@1/2 B4, 3@0 G4"},
		{"what follows a rest and what comes before it", "M:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"C\"c2 zB AF z2|\"C\"c8|]", "1@0 C5, 1@3/8 B4, 1@5/8 F#4, 2@0 C5"},
		{"what is held on over a bar line", "M:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"GABc dcBF-|F4 G4|]", "1@0 G4, 1@1/4 B4, 1@1/2 D5, 1@7/8 F#4, 2@1/2 G4"},
		{"the melody of several voices, and the top of chords", "M:4/4\nL:1/2\nQ:1/4=100\nK:G\nV:1\n[GB][Ac]|[GB]2|]\nV:2\nG,D,|G,2|]", "1@0 B4, 1@1/2 C5, 2@0 B4"},
		{"no graces", "M:4/4\nL:1/2\nQ:1/4=100\nK:G\n{A}G{c}B|G2|]", "1@0 G4, 1@1/2 B4, 2@0 G4"},
	} {
		of := read(t, c.abc)
		o := Of(tune.Perform(of), ChordsOf(of))
		if got := sounds(o.Tune); got != c.want {
			t.Errorf("%s: %s, want %s", c.what, got, c.want)
		}
		if l := o.Tune.Check(); len(l) > 0 {
			t.Errorf("%s: %v", c.what, l)
		}
		if 5*o.Kept < 2*o.Notes {
			t.Errorf("%s: %d of %d are kept", c.what, o.Kept, o.Notes)
		}
		n := begun(of) - begun(o.Tune)
		if len(o.LeftOut) != n {
			t.Errorf("%s: %d notes are listed as left out, and %d are gone", c.what, len(o.LeftOut), n)
		}
	}
}

// The chords that a musician hears in melodies of our own without symbols: those of
// the first, fourth and fifth degree (common practice, no source).
func TestGuessed(t *testing.T) {
	for _, c := range []struct{ abc, want string }{
		{"M:4/4\nL:1/4\nK:G\nGBdB|ceec|FADF|G4|]", "G C D G"},
		{"M:3/4\nL:1/4\nK:Am\nAce|dfa|eBe|A3|]", "Am Dm E Am"},
		{"M:4/4\nL:1/4\nK:D mix\ndfaf|cege|dfaf|d4|]", "D C D D"},
		{"M:4/4\nL:1/4\nK:F\nz4|FAcA|z4|F4|]", "<nil> F F F"},
		{"M:3/4\nL:1/4\nK:G\nDFA|D3|D3|]", "D D G"}, // the last bar is at home
		{"M:4/4\nL:1/8\nK:G\ncfGAefGf|G8|]", "C G"}, // what is on the beat counts for more
		{"M:4/4\nL:1/8\nK:G\nfAGfcfec|G8|]", "C G"}, // on every beat
		{"M:6/4\nL:1/4\nK:G\nGBGBEG|G6|]", "Em G"},  // all of it is in the chord, though G is at home
	} {
		of := read(t, c.abc)
		chords := ChordsOf(of)
		var got []string
		for b := range of.Bars {
			got = append(got, fmt.Sprint(chords.At(b, 0)))
		}
		if s := strings.Join(got, " "); s != c.want || !chords.Guessed {
			t.Errorf("%q: %s, guessed %v; want %s", c.abc, s, chords.Guessed, c.want)
		}
	}
	given := ChordsOf(read(t, "M:4/4\nL:1/4\nK:G\nGB\"D7\"AF|G4|]"))
	if given.Guessed || given.At(0, tune.Whole/4) != nil || given.At(0, tune.Whole/2).String() != "D7" || given.At(1, 0).String() != "D7" || !given.Has(0, 0, 61) || given.Has(1, 0, 61) {
		t.Errorf("chord symbols are not what holds: %+v", given)
	}
}

// A reel is outlined for a student in the first year.
func Example() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Quay Reel\nM:4/4\nL:1/8\nQ:1/4=180\nK:G\n\"G\"GABc dcBA|\"D7\"FAdA F4|]\n"), "quay.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	o := Of(tune.Perform(tunes[0]), ChordsOf(tunes[0]))
	fmt.Println(o.Kept, "of", o.Notes, "notes;", len(o.LeftOut), "are left out, first", o.LeftOut[0].Text())
	// Output: 6 of 13 notes; 7 are left out, first 1.1 at 1/8 len 1/8 A4
}
