package terms

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// TestUnits: a sixteenth under 3/4 as a fraction, else an eighth (section 3.1.7, from
// memory), and a unit is one over a power of two.
func TestUnits(t *testing.T) {
	for _, c := range []struct {
		beats, unit int
		want        tune.Ticks
	}{
		{2, 4, tune.Whole / 16}, {3, 4, tune.Whole / 8}, {4, 4, tune.Whole / 8}, {6, 8, tune.Whole / 8}, {5, 8, tune.Whole / 16}, {3, 8, tune.Whole / 16}, {0, 0, tune.Whole / 8},
	} {
		if got := UnitOf(tune.Meter{Beats: c.beats, Unit: c.unit}); got != c.want {
			t.Errorf("in %d/%d the unit is %v, want %v", c.beats, c.unit, got, c.want)
		}
	}
	for _, c := range []struct {
		field string
		want  tune.Ticks // 0 for none
	}{
		{"1/8", tune.Whole / 8}, {"1", tune.Whole}, {"1/1", tune.Whole}, {" 1 / 512 ", tune.Whole / 512},
		{"1/1024", 0}, {"1/3", 0}, {"2/8", 0}, {"1/0", 0}, {"x/8", 0}, {"1/x", 0}, {"", 0}, {"1/-8", 0},
	} {
		if got, err := ParseUnit(c.field); got != c.want || (err != nil) != (c.want == 0) {
			t.Errorf("L:%s: %v, %v; want %v", c.field, got, err, c.want)
		}
	}
}

// TestBoundsOfMeters: as many beats as a bar can have, in one group or in several.
func TestBoundsOfMeters(t *testing.T) {
	most := tune.MaxBeats
	for _, c := range []struct {
		field string
		beats int // 0 for a refusal
	}{
		{fmt.Sprintf("%d/4", most), most}, {fmt.Sprintf("%d/4", most+1), 0},
		{fmt.Sprintf("%d+1/8", most-1), most}, {fmt.Sprintf("%d+1/8", most), 0}, {"2+0/8", 0}, {"2+x/8", 0},
		{"4/1", 4}, {fmt.Sprintf("3/%d", tune.MaxUnit), 3}, {fmt.Sprintf("3/%d", 2*tune.MaxUnit), 0},
	} {
		if m, err := ParseMeter(c.field); m.Beats != c.beats || (err != nil) != (c.beats == 0) {
			t.Errorf("M:%s: %+v, %v; want %d beats", c.field, m, err, c.beats)
		}
	}
}

// TestBoundsOfTempos: a beat of up to sixteen whole notes, three places after the
// point, and as fast as a tune can be.
func TestBoundsOfTempos(t *testing.T) {
	for _, c := range []struct {
		field string
		want  string
	}{
		{"16/1=40", "16=40000"}, {"17/1=40", "bad"}, {"1/4=60.125", "1/4=60125"}, {"1/4=60.1255", "bad"}, {"C64=40", "8=40000"}, {"C65=40", "bad"}, {"C1=40", "1/8=40000"}, {"C0=40", "bad"}, {"0/4 1/4=40", "bad"}, {"Cx=40", "bad"},
		{"1024/1024=40", "1=40000"}, {"1025/1025=40", "bad"}, {"1/4 x=40", "bad"}, {"x/4=40", "bad"}, {"4=40", "bad"}, {"1/x=40", "bad"},
		{fmt.Sprintf("1/4=%d", tune.MaxPerMinute/1000), fmt.Sprintf("1/4=%d", tune.MaxPerMinute/1000*1000)}, {fmt.Sprintf("1/4=%d", tune.MaxPerMinute/1000+1), "bad"},
		{"1/4=0.001", "1/4=1"}, {"1/4=1234567890", "bad"}, {`"" 1/4=50`, "1/4=50000"}, {`"a" 1/4=50 "b"`, "1/4=50000 a b"},
	} {
		x, _, err := ParseTempo(c.field, tune.Whole/8)
		got := fmt.Sprintf("%s=%d", x.Beat, x.PerMinute)
		if x.Text != "" {
			got += " " + x.Text
		}
		if err != nil {
			got = "bad"
		}
		if got != c.want {
			t.Errorf("Q:%s: got %s, want %s", c.field, got, c.want)
		}
	}
	for _, c := range []struct {
		x    tune.Tempo
		want string
	}{
		{tune.Tempo{Beat: tune.Whole * 3 / 8, PerMinute: 92_500}, "3/8=92.5"}, {tune.Tempo{Text: "Slowly"}, `"Slowly"`},
		{tune.Tempo{Beat: tune.Whole / 4, PerMinute: 100_000, Text: "Lively"}, `"Lively" 1/4=100`},
	} {
		if got := FormatTempo(c.x); got != c.want {
			t.Errorf("%+v is written %s, want %s", c.x, got, c.want)
		}
	}
}

// TestTuplets: how many notes a tuplet of p is in the time of (section 4.13, from
// memory: 2, 4 and 8 in that of 3; 3 and 6 in that of 2; 5, 7 and 9 in that of 3 in a
// compound meter, else of 2), and the value of a grace.
func TestTuplets(t *testing.T) {
	for _, c := range []struct {
		p, beats int
		want     int
	}{
		{2, 4, 3}, {3, 4, 2}, {4, 4, 3}, {6, 6, 2}, {8, 4, 3}, {5, 4, 2}, {5, 6, 3}, {7, 9, 3}, {9, 12, 3}, {5, 3, 2}, {7, 2, 2}, {5, 0, 2}, {7, 8, 2},
	} {
		if got := NormalOf(c.p, tune.Meter{Beats: c.beats, Unit: 8}); got != c.want {
			t.Errorf("%d in a meter of %d: in the time of %d, want %d", c.p, c.beats, got, c.want)
		}
	}
	if GraceUnit(1) != tune.Whole/8 || GraceUnit(2) != tune.Whole/16 || GraceUnit(3) != tune.Whole/16 {
		t.Errorf("graces are %v, %v and %v", GraceUnit(1), GraceUnit(2), GraceUnit(3))
	}
}

// TestBoundsOfClefs: four octaves either way, by octaves or by semitones.
func TestBoundsOfClefs(t *testing.T) {
	for _, c := range []struct {
		field             string
		octave, semitones int
		unread            bool
	}{
		{"C octave=4", 4, 0, false}, {"C octave=5", 0, 0, true}, {"C octave=-4", -4, 0, false}, {"C octave=-5", 0, 0, true},
		{"C transpose=48", 4, 0, false}, {"C transpose=49", 0, 0, true}, {"C transpose=-48", -4, 0, false}, {"C transpose=-49", 0, 0, true}, {"C t=12", 1, 0, false},
		{"C treble+8", 1, 0, false}, {"C treble+15", 2, 0, false}, {"C bass-8", -1, 0, false}, {"C bass-15", -2, 0, false},
	} {
		k := ParseKey(c.field)
		if k.Clef.Octave != c.octave || k.Clef.Semitones != c.semitones || (k.Unread != "") != c.unread {
			t.Errorf("K:%s: %d octaves and %d semitones, unread %q", c.field, k.Clef.Octave, k.Clef.Semitones, k.Unread)
		}
	}
}

// TestFarKeys: G sharp major has eight sharps, F doubly, and D sharp major nine: F and
// C doubly (the circle of fifths, common practice).
func TestFarKeys(t *testing.T) {
	for _, c := range []struct {
		key  string
		want [7]int8 // C to B
	}{
		{"G#", [7]int8{1, 1, 1, 2, 1, 1, 1}}, {"D#", [7]int8{2, 1, 1, 2, 1, 1, 1}}, {"Fb", [7]int8{-1, -1, -1, -1, -1, -1, -2}},
		{"D#lyd", [7]int8{2, 1, 1, 2, 2, 1, 1}},      // ten sharps
		{"Fbm", [7]int8{-1, -2, -2, -1, -1, -2, -2}}, // eleven flats
		{"C exp __b ^^f", [7]int8{0, 0, 0, 2, 0, 0, -2}},
	} {
		if k := ParseKey(c.key); k.Key.Signature != c.want {
			t.Errorf("K:%s has the signature %v, want %v", c.key, k.Key.Signature, c.want)
		}
	}
}

// TestChordsOfOlderBooks: a bass with + and − for sharp and flat, "d" for diminished,
// brackets round a chord that may be left out.
func TestChordsOfOlderBooks(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"D/f+", "D/F#"}, {"G/B-", "G/Bb"}, {"G/b", "G/B"}, {"Gd", "Gdim"}, {"F#d", "F#dim"}, {"Bbd", "Bbdim"}, {"Ad", "Adim"}, {"(A7)", "A7"}, {"C", "C"}, {"Gxd", ""}, {"d", ""}, {"Hd", ""}, {"G/h+", ""}, {"G/c+", "G/C#"}, {"F/a-", "F/Ab"}, {"(A7", ""}, {"A7)", ""}, {"Gmad", ""},
	} {
		got := ""
		if p, ok := ParseChord(c.text); ok {
			got = p.String()
		}
		if got != c.want {
			t.Errorf("%q is read as %q, want %q", c.text, got, c.want)
		}
	}
}

// TestAccentsOfText: an accent stands on any letter of either case, and on nothing
// else.
func TestAccentsOfText(t *testing.T) {
	for abc, want := range map[string]string{
		`\'A`: "Á", `\'a`: "á", `\'z`: "ź", `\'Z`: "Ź", `\'1`: `\'1`, `\'[`: `\'[`, "\\'`": "\\'`", `\'{`: `\'{`, `\'@`: `\'@`,
		`\U0001D11E`: "𝄞", `\u266d`: "♭", `\u00e`: `\u00e`, `\u`: `\u`, `\U00110000`: `\U00110000`, `\u0009`: `\u0009`, `a\u0020b`: "a b",
	} {
		if got := DecodeText(abc); got != want {
			t.Errorf("%q: got %q, want %q", abc, got, want)
		}
	}
}

// TestTiesCarryAccidentals: over a barline a tie brings its accidental along, so the
// note needs none; without the tie it does.
func TestTiesCarryAccidentals(t *testing.T) {
	c, err := pitch.ParseKey("C")
	if err != nil {
		t.Fatal(err)
	}
	sharp, natural := pitch.Note(pitch.F, 1, 4), pitch.Note(pitch.F, 0, 4)
	tied, loose := []tune.Note{{Name: sharp, Tie: true}}, []tune.Note{{Name: sharp}}
	var a Accidentals
	for _, x := range []struct {
		prev []tune.Note
		n    pitch.Name
		want bool
	}{{tied, sharp, true}, {loose, sharp, false}, {tied, natural, false}, {loose, natural, true}, {nil, natural, true}} {
		if got := a.PlainAfter(x.prev, x.n, &c); got != x.want {
			t.Errorf("after %v, %v is read right without an accidental: %v", x.prev, x.n, got)
		}
	}
}

// TestUnopenedRepeats: which repeats go back over a double line, by the bars alone.
// "|" is a plain line, "D" a double, "F" a final, "T" a thick and thin one at a bar's
// right, "t" at its left; ":" repeats, "(" opens, "1" and "2" are endings, "P" a part.
func TestUnopenedRepeats(t *testing.T) {
	for _, c := range []struct {
		bars  []string
		parts bool
		want  string
	}{
		{[]string{"D", "|:"}, false, "[{0 1}]"}, {[]string{"F", "|:"}, false, "[{0 1}]"}, {[]string{"T", "|:"}, false, "[{0 1}]"}, {[]string{"|", "t|:"}, false, "[{0 1}]"},
		{[]string{"|", "|:"}, false, "[]"}, {[]string{"D", "(|:"}, false, "[]"}, {[]string{"(D", "|:"}, false, "[]"}, {[]string{"D", "|"}, false, "[]"},
		{[]string{"|:", "D", "|:"}, false, "[{1 2}]"}, {[]string{"D:", "|:"}, false, "[]"}, {[]string{"(|:", "D", "|:"}, false, "[{1 2}]"},
		{[]string{"D", "|", "1|:", "2|"}, false, "[{0 1}]"}, {[]string{"|", "1D:", "2|"}, false, "[]"}, {[]string{"|", "1D", "1|:", "2|"}, false, "[]"},
		{[]string{"|", "1|:", "2F", "D", "|:"}, false, "[{3 4}]"},
		{[]string{"(|", "PD", "|:"}, true, "[{1 2}]"}, {[]string{"(|", "PD", "|:"}, false, "[]"}, {[]string{"D", "P|", "|:"}, true, "[]"}, {[]string{"|", "P|", "|:"}, false, "[]"}, {[]string{"D", "P|", "|:"}, false, "[{0 1}]"},
		{[]string{"D", "|:", "|", "D", "|:"}, false, "[{0 1} {2 4}]"},
	} {
		var bars []tune.Bar
		for _, text := range c.bars {
			var b tune.Bar
			for _, r := range text {
				switch r {
				case 'D':
					b.Right.Style = tune.DoubleBarline
				case 'F':
					b.Right.Style = tune.FinalBarline
				case 'T':
					b.Right.Style = tune.OpenBarline
				case 't':
					b.Left.Style = tune.OpenBarline
				case ':':
					b.Right.Repeat = 1
				case '(':
					b.Left.Repeat = 1
				case '1', '2':
					b.Endings = []int{int(r - '0')}
				case 'P':
					b.Part = "B"
				}
			}
			bars = append(bars, b)
		}
		tune.EndEndings(bars)
		if got := fmt.Sprint(UnopenedRepeats(bars, c.parts)); got != c.want {
			t.Errorf("%q, parts %v: %s, want %s", c.bars, c.parts, got, c.want)
		}
	}
}

// TestHowFarAccidentalsCarry: by the standard's default to every octave, as a directive may say to their
// own octave, or to no other note (section 11.3, from memory). A note needs no accidental of
// its own only if it is read right both ways.
func TestHowFarAccidentalsCarry(t *testing.T) {
	g, err := pitch.ParseKey("G") // F sharp
	if err != nil {
		t.Fatal(err)
	}
	f4, f5, c4 := pitch.Note(pitch.F, 0, 4).Step(), pitch.Note(pitch.F, 0, 5).Step(), pitch.Note(pitch.C, 0, 4).Step()
	var a Accidentals
	read := func(l pitch.Letter, step int) [3]int {
		return [3]int{a.Alter(l, step, &g, CarryPitch), a.Alter(l, step, &g, CarryOctave), a.Alter(l, step, &g, CarryNot)}
	}
	check := func(say string, got, want [3]int) {
		t.Helper()
		if got != want {
			t.Errorf("%s: %v to every octave, to its own, to none; want %v", say, got, want)
		}
	}
	check("at first", read(pitch.F, f4), [3]int{1, 1, 1})
	a.Put(pitch.F, f4, 0)
	check("after =F, F", read(pitch.F, f4), [3]int{0, 0, 1})
	check("after =F, f", read(pitch.F, f5), [3]int{0, 1, 1})
	check("after =F, C", read(pitch.C, c4), [3]int{0, 0, 0})
	for _, x := range []struct {
		step, alter int
		want        bool
	}{{f4, 0, true}, {f4, 1, false}, {f5, 0, false}, {f5, 1, false}} {
		if got := a.Plain(pitch.F, x.step, x.alter, &g); got != x.want {
			t.Errorf("after =F, an F on step %d altered by %d needs no accidental: %v", x.step, x.alter, got)
		}
	}
	a.Put(pitch.F, f5, 2)
	check("after =F ^^f, F", read(pitch.F, f4), [3]int{2, 0, 1})
	check("after =F ^^f, f", read(pitch.F, f5), [3]int{2, 2, 1})
	// The lowest and the highest octave that are kept, and what lies beyond.
	for step, own := range map[int]int{0: -1, 79: -1, -1: 0, 80: 0} {
		var a Accidentals
		a.Put(pitch.C, step, -1)
		if every, own1 := a.Alter(pitch.C, step, &g, CarryPitch), a.Alter(pitch.C, step, &g, CarryOctave); every != -1 || own1 != own {
			t.Errorf("step %d: %d to every octave, %d to its own", step, every, own1)
		}
	}
}

// TestLetters: of all characters only the seven letters, large and small, are notes.
func TestLetters(t *testing.T) {
	for c := range 256 {
		l, ok := LetterOf(byte(c))
		at := strings.IndexByte("CDEFGABcdefgab", byte(c))
		if ok != (at >= 0) || ok && int(l) != at%7 {
			t.Errorf("%q is the note %v: %v", byte(c), l, ok)
		}
	}
}

// TestKeysAreWrittenShort: a key with the signature of its mode is written by its name alone.
func TestKeysAreWrittenShort(t *testing.T) {
	for _, text := range []string{"C", "Cb", "C#", "Am", "A#m", "Abm", "Ddor", "Gmix", "Flyd", "Ephr", "B#loc"} {
		if got := FormatKey(ParseKey(text).Key); got != text {
			t.Errorf("K:%s is written K:%s", text, got)
		}
	}
}

// TestControlCharacters: a field's text stays on its line.
func TestControlCharacters(t *testing.T) {
	if got := EncodeText("a\tb\x7fc\nd e~"); got != "a b c d e~" {
		t.Errorf("%q", got)
	}
}
