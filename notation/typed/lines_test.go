package typed

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/notation/columns"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

func line(text string) columns.TextLine { return columns.NewTextLine(1, text) }

// TestKindsOfLines: what stands over and under the strings of tab that people type: chord
// names, letters for lengths, counted beats, bar numbers, endings, names of parts, and
// the fingers of the picking hand beneath (common practice, no source).
func TestKindsOfLines(t *testing.T) {
	names := map[lineKind]string{wordLine: "words", chordLine: "chords", rhythmLine: "rhythm", countLine: "count", numberLine: "numbers", endingLine: "endings", partLine: "part", handLine: "hand"}
	for _, c := range []struct{ text, above, below string }{
		{"G    C7   N.C.  Em/B", "chords", "chords"},
		{"G  /  /  %", "chords", "chords"},
		{"E", "chords", "chords"}, // the chord, though an eighth is written so too
		{"E E", "chords", "chords"},
		{"E Q", "rhythm", "rhythm"},
		{"q e e h", "rhythm", "rhythm"},
		{"q. rs e3 e3 e3", "rhythm", "rhythm"},
		{"q x y", "words", "words"},
		{"1 & 2 & 3 e & a", "count", "count"},
		{"1 and 2 and", "count", "count"},
		{"& 2", "words", "words"},
		{"1 2 3 4", "count", "count"},
		{"1        2", "count", "count"},      // nine apart
		{"1         2", "numbers", "numbers"}, // ten
		{"1    1", "count", "count"},
		{"2 1", "numbers", "numbers"},
		{"1", "numbers", "numbers"},
		{"1 3 5", "numbers", "numbers"},
		{"5        6        7", "numbers", "numbers"},
		{"0 12", "numbers", "numbers"},
		{"-1 2", "words", "words"},
		{"1.        2.", "endings", "endings"},
		{"[1.-----]", "endings", "endings"},
		{"1.  3.", "words", "words"},
		{"[Verse 2]", "part", "part"},
		{"Second part:", "part", "part"},
		{"Part B", "part", "part"},
		{"verse and chorus", "words", "words"},
		{"T I M", "words", "hand"},
		{"T TI M", "words", "hand"},
		{"T I R", "words", "words"},
		{"slowly", "words", "words"},
		{"", "words", "words"},
		{"| -- |", "words", "words"},
	} {
		if got := names[kindOf(line(c.text), nil)]; got != c.above {
			t.Errorf("%q above is %s; want %s", c.text, got, c.above)
		}
		if got := names[kindOf(line(c.text), &looseSystem{})]; got != c.below {
			t.Errorf("%q below is %s; want %s", c.text, got, c.below)
		}
	}
}

// TestLetters: a letter is a note's length, r before it a rest, 3 after it a third of
// two (whole, half, quarter, eighth, sixteenth, thirty-second, sixty-fourth).
func TestLetters(t *testing.T) {
	for _, c := range []struct {
		letter  string
		len     tune.Ticks
		rest    bool
		triplet bool
	}{
		{"w", tune.Whole, false, false}, {"H", tune.Whole / 2, false, false}, {"q", tune.Whole / 4, false, false},
		{"q.", tune.Whole * 3 / 8, false, false}, {"e", tune.Whole / 8, false, false}, {"s", tune.Whole / 16, false, false},
		{"rq", tune.Whole / 4, true, false}, {"Re.", tune.Whole * 3 / 16, true, false}, {"e3", tune.Whole / 8, false, true}, {"rq3", tune.Whole / 4, true, true},
	} {
		v, rest, triplet := looseValue(c.letter)
		if v.Len() != c.len || rest != c.rest || triplet != c.triplet {
			t.Errorf("%q lasts %v, a rest: %v, a triplet: %v; want %v, %v, %v", c.letter, v.Len(), rest, triplet, c.len, c.rest, c.triplet)
		}
	}
}

// TestStringLines: a line of a string has dashes, or bars with blanks between, after a
// name or none; words, rules and sums have none of that.
func TestStringLines(t *testing.T) {
	for _, c := range []struct {
		text  string
		label string
		body  int
		cells string // bars, between their barlines
		marks string
	}{
		{"D|--0--|--2--|", "D", 1, "--0-- --2--", "| | |"},
		{"F#3 |--0--|", "F#3", 4, "--0--", "| |"},
		{"1 D4: --0--2--|", "1 D4:", 6, "--0--2--", " |"},
		{"--0--|--2--", "", 0, "--0-- --2--", " | "},
		{"0--2--|", "", 1, "0--2--", " |"},
		{"12--2--|", "12", 2, "--2--", " |"}, // a string's number or a bar's
		{"17|--0--|", "17", 2, "--0--", "| |"},
		{"|:-0-:||:-2-:|", "", 0, "-0- -2-", "|: :||: :|"},
		{"G||--0--*||", "G", 1, "--0--", "|| *||"},
		{"D|0|2|", "D", 1, "0 2", "| | |"},
		{"D| 0  2 |", "D", 1, " 0  2 ", "| |"},
		{"D|--0--| x2", "D", 1, "--0--", "| |"},
		{"D|--0--|--", "D", 1, "--0-- --", "| | "},
		{"D|--0--|-", "D", 1, "--0--", "| |"},
		{"────0───│", "", 0, "----0---", " |"},
		{"D|..0..2..|", "D", 1, "--0--2--", "| |"},
		{"--------", "", 0, "--------", " "},
		{"|-5A--|", "", 0, "-5A--", "| |"},
		{"|0-|", "", 0, "0-", "| |"},
		{"|-9--|", "", 0, "-9--", "| |"},
		{"----------", "", 0, "----------", " "},
	} {
		s, ok := asString(line(c.text))
		if !ok {
			t.Errorf("%q is no line of a string", c.text)
			continue
		}
		s.cut()
		var cells, marks []string
		for _, x := range s.cells {
			cells = append(cells, string(s.runes[x[0]:x[1]]))
		}
		for _, m := range s.marks {
			marks = append(marks, m.Text)
		}
		if s.label != c.label || s.body != c.body || strings.Join(cells, " ") != c.cells || strings.Join(marks, " ") != c.marks {
			t.Errorf("%q: name %q to column %d, bars %q, barlines %q; want %q, %d, %q, %q", c.text, s.label, s.body, cells, marks, c.label, c.body, c.cells, c.marks)
		}
	}
	for _, text := range []string{
		"", "slowly", "well-known", "D--", "-------", "--", "3 - 2 = 1", "H|--0--|", "G | C | D", "0.5--2--|",
		"verse 1 - 2 - 3 - 4", "| G | C | D7 |", "D|§--%--$$|", "|-5A§--|", "|0-A§|",
	} {
		if s, ok := asString(line(text)); ok {
			t.Errorf("%q is taken as the string %q", text, s.label)
		}
	}
}

// TestNamesOfStrings: a line is named by its string's number, its note with or without
// its octave, or both.
func TestNamesOfStrings(t *testing.T) {
	for label, want := range map[string]string{
		"G": "0 G", "F#3": "0 F#3", "e": "0 e", "2": "2 ", "1 D4": "1 D4", "3:": "3 ", "4) G": "4 G", "16": "16 ", "17": "0 ", "0": "0 ",
		"": "0 ", "1 2": "0 ", "D E": "0 D", "H": "0 ", "1 D x": "0 ", "b": "0 b", "Bb.": "0 Bb",
	} {
		num, note := splitLabel(label)
		if got := fmt.Sprint(num, " ", note); got != want {
			t.Errorf("%q: %q; want %q", label, got, want)
		}
		if is := isLabel(label); is != (want != "0 " || label == "") {
			t.Errorf("%q can name a string: %v", label, is)
		}
	}
}

// TestWhichWayRound: names decide where all of them agree one way; letters without their
// sharps only where more of the names are whole.
func TestWhichWayRound(t *testing.T) {
	for _, c := range []struct {
		top, bottom [3]int // names that disagree, agree by letter, agree
		up, down    bool
	}{
		{[3]int{0, 0, 6}, [3]int{4, 0, 2}, true, false},
		{[3]int{4, 0, 2}, [3]int{0, 0, 6}, false, true},
		{[3]int{0, 0, 6}, [3]int{0, 0, 6}, true, true},
		{[3]int{0, 1, 5}, [3]int{3, 1, 2}, true, false},
		{[3]int{0, 1, 5}, [3]int{0, 0, 6}, false, true},
		{[3]int{3, 1, 2}, [3]int{0, 2, 4}, false, true},
		{[3]int{0, 3, 3}, [3]int{0, 4, 2}, false, false}, // half of them are not whole
		{[3]int{1, 0, 5}, [3]int{1, 1, 4}, false, false},
		{[3]int{1, 0, 5}, [3]int{0, 3, 3}, false, false},
	} {
		if up, down := settled(c.top, c.bottom); up != c.up || down != c.down {
			t.Errorf("%v from the top, %v from the bottom: %v, %v; want %v, %v", c.top, c.bottom, up, down, c.up, c.down)
		}
	}
}

// TestSpacingMakesTime: numbers lie on the coarsest grid of the bar on which no two fall
// together: halves before quarters before eighths.
func TestSpacingMakesTime(t *testing.T) {
	four, three := tune.Meter{Beats: 4, Unit: 4}, tune.Meter{Beats: 3, Unit: 4}
	for _, c := range []struct {
		line  string // a bar, dashes and numbers
		meter tune.Meter
		want  string
	}{
		{"-0---2---5---7---", four, "0 1/4 1/2 3/4"},
		{"-0-------5-------", four, "0 1/2"},
		{"-0-2-5-7-0-2-5-7-", four, "0 1/8 1/4 3/8 1/2 5/8 3/4 7/8"},
		{"-0---2-5-7-------", four, "0 1/4 3/8 1/2"},
		{"-0---2---5---", three, "0 1/4 1/2"},
		{"-0-----2-5---", three, "0 3/8 1/2"},
		{"-0---2---5---7--", four, "0 1/4 1/2 3/4"},
		{"-0---2---5---7----", four, "0 1/4 1/2 3/4"},
		{"---------5-------", four, "1/2"},
		{"-02------5-------", four, "0 1/16 1/2"},
		{"0123456789012345", four, "0 1/16 1/8 3/16 1/4 5/16 3/8 7/16 1/2 9/16 5/8 11/16 3/4 13/16 7/8 15/16"},
	} {
		var starts []float64
		for i, r := range c.line {
			if r != '-' {
				starts = append(starts, float64(i))
			}
		}
		var got []string
		pad := 1.0
		if c.line[0] != '-' {
			pad = 0
		}
		for _, at := range spacing(starts, pad, float64(len(c.line)), c.meter.Len(), c.meter) {
			got = append(got, at.String())
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%q: %q; want %q", c.line, got, c.want)
		}
	}
	// More numbers than the spacing can tell apart share the bar evenly.
	many := make([]float64, 40)
	got := spacing(many, 0, 3, tune.Whole, four)
	if len(got) != 40 || !slices.IsSorted(got) || got[39] >= tune.Whole || got[1] != tune.Whole/64 {
		t.Errorf("forty numbers in one place: %v", got)
	}
	if got := spacing(nil, 0, 3, tune.Whole, four); len(got) != 0 {
		t.Errorf("no numbers: %v", got)
	}
}

// TestWhereBarlinesPart: two lines part at the first barline that one has and the other
// has not; a column or two beside it is the same barline. A line is cut like another
// only where it has dashes at the other's barlines and none of its own inside a bar.
func TestWhereBarlinesPart(t *testing.T) {
	read := func(text string) *looseString {
		s, ok := asString(line(text))
		if !ok {
			t.Fatalf("%q is no string", text)
		}
		s.cut()
		return &s
	}
	for _, c := range []struct {
		a, b string
		at   int
		like bool // the second can be cut like the first
	}{
		{"D|--0--|--2--|", "B|-----|-----|", 1, true},
		{"D|--0--|--2--|", "B|-----------|", 7, true},
		{"D|--0--|--2--|", "B|-----5-----|", 7, false},
		{"D|--0--|--2--|", "B|--|--------|", 4, false},
		{"D|--0--|--2--|", "B|-------|---|", 1, false}, // two columns on
		{"D|--0--|--2--|", "B|--------|--|", 7, false}, // three
		{"D|--0--|--2--|", "B|--------|--", 7, false},
		{"D|--0--|--2--|", "B|-----|-----|--|", 13 + 3, false},
		{"D|--0--|--2--|--|", "B|-----|-----|", 13 + 3, false},
		{"D|--0--|", "Bb|-----|", 2, false},
	} {
		a, b := read(c.a), read(c.b)
		if got := b.astray(a); got != c.at {
			t.Errorf("%s and %s part at %d; want %d", c.a, c.b, got, c.at)
		}
		if got := b.cutLike(a); got != c.like {
			t.Errorf("%s can be cut like %s: %v", c.b, c.a, got)
		}
	}
}

// TestHeadings: what is said of a tune before its first line of strings.
func TestHeadings(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	body := "\n\n" + sixStrings("|-0---2---5---7---|")
	for _, c := range []struct {
		head string
		want string
	}{
		{"Title: Quay\nComposer: Nobody", "Quay by Nobody"},
		{"Quay", "Quay"},
		{"Quay\nby: Nobody", "Quay by Nobody"},
		{"Quay\nSubtitle: a walk\nslow air", "Quay (a walk) – slow air"},
		{"Quay\n6/8", "Quay in 6/8"},
		{"Quay\n3/4 time", "Quay in 3/4"},
		{"Quay\nTime: 3/4", "Quay in 3/4"},
		{"Quay\nTime: 0/4", "Quay"},
		{"Quay\nTempo: 96", "Quay at 96"},
		{"Quay\n96 bpm", "Quay at 96"},
		{"Quay\nTempo: slow", "Quay at slow"},
		{"Quay\nKey: D", "Quay, D major"},
		{"Quay\nin the key of Am", "Quay, A minor"},
		{"Quay\nKey: H", "Quay"},
		{"Quay\nTuning: G B D G B D", "Quay"},
		{"Quay\nTuning: D-B-G-D-B-G", "Quay"},
		{"Quay\nTuning: low ones", "Quay – Tuning: low ones"},
		{"Quay\n-----", "Quay"},
	} {
		got, guesses, err := Parse([]byte(c.head+body), "head.txt", r)
		if err != nil {
			t.Errorf("%q: %v", c.head, err)
			continue
		}
		tn := got.Tune
		w := tn.Title
		for _, s := range tn.Subtitles {
			w += " (" + s + ")"
		}
		if tn.Composer != "" {
			w += " by " + tn.Composer
		}
		for _, n := range tn.Notes {
			w += " – " + n
		}
		b := &tn.Bars[0]
		if m := b.Meter; m.Beats != 4 || m.Unit != 4 {
			w += fmt.Sprintf(" in %d/%d", m.Beats, m.Unit)
		}
		for _, x := range b.Tempos {
			if x.Text != "" {
				w += " at " + x.Text
			} else {
				w += fmt.Sprint(" at ", x.PerMinute/1000)
			}
		}
		if !slices.ContainsFunc(guesses, func(f *fault.Fault) bool { return strings.HasPrefix(f.Msg, "no key is named") }) {
			w += ", " + b.Key.String()
		}
		if w != c.want {
			t.Errorf("%q: %q; want %q", c.head, w, c.want)
		}
	}
	for _, bad := range []string{"Tuning: D A D F# A D", "Tuning: G B D"} {
		if _, _, err := Parse([]byte(bad+body), "head.txt", r); err == nil || !strings.Contains(err.Error(), "tuned") {
			t.Errorf("%q on an instrument in G: %v", bad, err)
		}
	}
}
