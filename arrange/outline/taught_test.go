package outline

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/tune"
)

// Which notes a teacher leaves of a bar, and how many the melody has (common practice,
// no source).
func TestLeft(t *testing.T) {
	for _, c := range []struct {
		what, abc, want string
		notes           int
	}{
		{"the higher voice, though it comes second and has fewer notes", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\nV:1\nG,A,B,G,|G,4|]\nV:2\nz2 d2|B4|]", "1@1/2 D5, 2@0 B4", 2},
		{"of voices that lie as high the first", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\nV:1\nG4|B4|]\nV:2\nB4|G4|]", "1@0 G4, 2@0 B4", 2},
		{"beats of the chord that last, where there is time", "M:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"GBdB|G4|]", "1@0 G4, 1@1/4 B4, 1@1/2 D5, 1@3/4 B4, 2@0 G4", 5},
		{"strong beats of the chord, where there is none", "M:4/4\nL:1/4\nQ:1/4=180\nK:G\n\"G\"GBdB|G4|]", "1@0 G4, 1@1/2 D5, 2@0 G4", 5},
		{"short notes are no time, however slow", "M:4/4\nL:1/8\nQ:1/4=60\nK:G\n\"G\"G2 Bc d2 BA|G8|]", "1@0 G4, 1@1/4 B4, 1@1/2 D5, 2@0 G4", 7},
		{"notes beside the beat are none either", "M:4/4\nL:1/8\nQ:1/4=60\nK:G\n\"G\"A B2 A d2 G2|G8|]", "1@0 A4, 1@1/2 D5, 1@3/4 G4, 2@0 G4", 6},
		{"a long note of its bar rather than a short one", "M:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"G2 BA c2 B2|G8|]", "1@0 G4, 1@3/4 B4, 2@0 G4", 6},
		{"the half of a beat rather than its quarter", "M:2/4\nL:1/16\nQ:1/4=120\nK:G\n\"G\"GBdA c2AF|G8|]", "1@0 G4, 1@1/8 D5, 1@1/4 C5, 2@0 G4", 8},
		{"in a jig the note that leads to the beat", "M:6/8\nL:1/8\nQ:3/8=120\nK:G\n\"G\"GBd cAF|G6|]", "1@0 G4, 1@1/4 D5, 1@3/8 C5, 2@0 G4", 7},
		{"a note held within the bar before a rest", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\n\"G\"G/F/-F z d|G4|]", "1@0 G4, 1@1/8 F#4, 1@3/4 D5, 2@0 G4", 4},
		{"the last of a bar when it lasts for half of it", "M:3/4\nL:1/4\nQ:1/4=200\nK:G\n\"G\"G B/ F3/2|G3|]", "1@0 G4, 1@3/8 F#4, 2@0 G4", 4},
		{"what comes before a double line", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\n\"G\"GBdF||G4|]", "1@0 G4, 1@1/2 D5, 1@3/4 F#4, 2@0 G4", 5},
		{"what comes before a repeat", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\n|:\"G\"GBdF:|G4|]", "1@0 G4, 1@1/2 D5, 1@3/4 F#4, 2@0 G4", 5},
		{"the last note, whatever stands behind it", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\n\"G\"GBdF|GBdF|", "1@0 G4, 1@1/2 D5, 2@0 G4, 2@1/2 D5, 2@3/4 F#4", 8},
		{"the pickup of a second part", "M:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"G8||FEFE|G8|]", "1@0 G4, 2@0 F#4, 2@1/8 E4, 2@1/4 F#4, 2@3/8 E4, 3@0 G4", 6},
		{"both ends of a glide", "M:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"GA B2 !glide!de f2|G8|]", "1@0 G4, 1@1/4 B4, 1@1/2 D5, 1@5/8 E5, 2@0 G4", 7},
		{"a note tied over the line once", "M:4/4\nL:1/4\nQ:1/4=200\nK:G\n\"G\"GBd2-|d2 B2|]", "1@0 G4, 1@1/2 D5, 2@1/2 B4", 4},
	} {
		of := read(t, c.abc)
		o := Of(tune.Perform(of), ChordsOf(of))
		if got := sounds(o.Tune); got != c.want || o.Notes != c.notes || o.Kept != strings.Count(c.want, "@") {
			t.Errorf("%s: %s, %d kept of %d; want %s of %d", c.what, got, o.Kept, o.Notes, c.want, c.notes)
		}
	}
}

// Strong beats, in quarters: the first and third of four, the first of three, every second
// of six, else every beat (common practice, no source).
func TestStrong(t *testing.T) {
	for m, want := range map[string]tune.Ticks{"4/4": 2, "2/4": 1, "3/4": 3, "5/4": 1, "6/4": 2, "2/2": 2} {
		b := read(t, "M:"+m+"\nL:1/4\nK:G\nG|")
		if got := Strong(&b.Bars[0].Meter); got != want*tune.Whole/4 {
			t.Errorf("%s: strong beats lie %s apart", m, got)
		}
	}
	for m, want := range map[string]tune.Ticks{"6/8": 3, "9/8": 9, "12/8": 6} {
		b := read(t, "M:"+m+"\nL:1/8\nK:G\nG|")
		if got := Strong(&b.Bars[0].Meter); got != want*tune.Whole/8 {
			t.Errorf("%s: strong beats lie %s apart", m, got)
		}
	}
}

// slurred writes where the slurs of a tune begin and end.
func slurred(of *tune.Tune) string {
	var out []string
	for b := range of.Bars {
		for _, e := range of.Bars[b].Lines[0] {
			if e.Slurs+e.SlurEnds > 0 {
				out = append(out, fmt.Sprintf("%s%s%s", strings.Repeat(")", e.SlurEnds), e.Notes[0].Name, strings.Repeat("(", e.Slurs)))
			}
		}
	}
	return strings.Join(out, " ")
}

// A slur stays where all notes under it do.
func TestSlursLeft(t *testing.T) {
	for _, c := range []struct{ abc, want string }{
		{"(GB)dB|G4|]", "G4( )B4"},
		{"(GA)dB|G4|]", ""},
		{"G(Ad)B|G4|]", ""},
		{"GBd(B|G)BdG|]", "B4( )G4"},
		{"GBd(A|G)BdG|]", ""},
		{"((GB)dA)|G4|]", "G4( )B4"},
		{"((GB)dB)|G4|]", "G4(( )B4 )B4"},
		{"(GAd)B|(GB)dB|]", "G4( )B4"},
		{"(GB)(dB)|G4|]", "G4( )B4 D5( )B4"},
	} {
		of := read(t, "M:4/4\nL:1/4\nQ:1/4=60\nK:G\n\"G\""+c.abc)
		if got := slurred(Of(tune.Perform(of), ChordsOf(of)).Tune); got != c.want {
			t.Errorf("%s: slurs %s, want %s", c.abc, got, c.want)
		}
	}
}

// What is sung to a note that goes is sung to the one that sounds on.
func TestSung(t *testing.T) {
	for _, c := range []struct{ words, want string }{
		{"w:all day we sail", "1 all day, 1 we sail"},
		{"w:mor-ning tide is", "1 mor-ning, 1 tide is"},
		{"w:bro-ken wa-ter", "1 bro-ken, 1 wa-ter"},
		{"w:the sea-wa-ter", "1 the sea-, 1 wa-ter"},
		{"w:tide _ goes out", "1 tide_, 1 goes out"},
		{"w:tide goes _ out", "1 tide goes_, 1 out"},
		{"w:a b c d\nw:e f g h", "1 a b, 2 e f, 1 c d, 2 g h"},
		{"w:a * c *\nw:* f * h", "1 a, 2 f, 1 c, 2 h"},
	} {
		of := read(t, "M:4/4\nL:1/4\nQ:1/4=200\nK:G\n\"G\"GAdB|\n"+c.words+"\nG4|]")
		var got []string
		for _, e := range Of(tune.Perform(of), ChordsOf(of)).Tune.Bars[0].Lines[0] {
			lyrics := slices.Clone(e.Lyrics)
			for _, l := range lyrics {
				s := fmt.Sprintf("%d %s", l.Verse, l.Text)
				if l.Hyphen {
					s += "-"
				}
				if l.Extend {
					s += "_"
				}
				got = append(got, s)
			}
		}
		if s := strings.Join(got, ", "); s != c.want {
			t.Errorf("%q: %s, want %s", c.words, s, c.want)
		}
	}
}

// What a teacher is told of an outline.
func TestWords(t *testing.T) {
	for _, c := range []struct {
		of   Told
		want string
	}{
		{Told{Notes: 12, Kept: 5}, "an outline: 5 of the melody's 12 notes"},
		{Told{Notes: 12, Kept: 5, Low: 2, High: 5}, "an outline: 5 of the melody's 12 notes, the steel between frets 2 and 5"},
		{Told{Notes: 12, Kept: 5, Guessed: true}, "an outline: 5 of the melody's 12 notes; there are no chord symbols, so its harmony is guessed from key and melody"},
	} {
		if got := c.of.Words(); got != c.want {
			t.Errorf("%s; want %s", got, c.want)
		}
	}
}

// A chord that comes within a bar waits until then; before it the last one goes on.
func TestChordsGoOn(t *testing.T) {
	chords := ChordsOf(read(t, "M:4/4\nL:1/4\nK:G\n\"G\"GBdB|GB\"D7\"AF|AFDA|\"G\"G4|]"))
	for _, c := range []struct {
		bar  int
		at   tune.Ticks
		want string
	}{{0, 3, "G"}, {1, 0, "G"}, {1, 1, "G"}, {1, 2, "D7"}, {1, 3, "D7"}, {2, 0, "D7"}, {3, 0, "G"}} {
		if got := chords.At(c.bar, c.at*tune.Whole/4).String(); got != c.want {
			t.Errorf("bar %d, beat %d: %s, want %s", c.bar+1, c.at+1, got, c.want)
		}
	}
}
