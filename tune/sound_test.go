package tune_test

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// score makes a tune of one voice from words: "C4:4" is a quarter C4 (a fourth of
// a whole note), "C4+E4:4" a chord, "r:4" a rest, "|" a barline, "|:" and ":|" with
// a repeat. After a pitch, "-" ties it and "/" glides it; "{D4}C4:4" has a grace.
// Words joined by "&" hold for the second voice from there on in the bar.
func score(text string) *tune.Tune {
	t := &tune.Tune{}
	for v, part := range strings.Split(text, "&") {
		t.Voices = append(t.Voices, tune.Voice{ID: fmt.Sprint(v + 1)})
		i, line := 0, []tune.Event(nil)
		at := tune.Ticks(0)
		close := func(repeats bool) {
			if len(line) == 0 {
				return
			}
			if v == 0 {
				t.Bars = append(t.Bars, tune.Bar{Number: i + 1, Len: at, Meter: tune.Meter{Beats: 4, Unit: 4}})
			}
			b := &t.Bars[i]
			b.Lines = append(b.Lines, line)
			if repeats {
				b.Right.Repeat = 1
			}
			i, line, at = i+1, nil, 0
		}
		for word := range strings.FieldsSeq(part) {
			if word == "|" || word == ":|" {
				close(word == ":|")
				continue
			}
			e := tune.Event{At: at}
			name, length, _ := strings.Cut(word, ":")
			var den int64
			fmt.Sscan(length, &den)
			e.Len = tune.Whole / tune.Ticks(den)
			e.Value, _ = tune.ValueOf(e.Len)
			for strings.HasPrefix(name, "{") {
				grace, rest, _ := strings.Cut(name[1:], "}")
				e.Graces = append(e.Graces, tune.Grace{Notes: notes(grace), Value: tune.Value{Log2: 4}})
				name = rest
			}
			if name == "r" {
				e.Kind = tune.Rest
			} else {
				e.Notes = notes(name)
			}
			line = append(line, e)
			at += e.Len
		}
		close(false)
	}
	return t
}

func notes(text string) []tune.Note {
	var out []tune.Note
	for word := range strings.SplitSeq(text, "+") {
		n := tune.Note{}
		bare := strings.TrimRight(word, "-/")
		n.Tie, n.Glide = strings.Contains(word[len(bare):], "-"), strings.Contains(word[len(bare):], "/")
		name, err := pitch.ParseName(bare)
		if err != nil {
			panic(err)
		}
		n.Name = name
		out = append(out, n)
	}
	return out
}

// heard writes what sounds: onset, length, name and, after ">", the index that it
// glides to.
func heard(t *tune.Tune) string {
	var out []string
	for _, s := range tune.Sound(t) {
		text := fmt.Sprintf("%s+%s:%s", s.At, s.Len, s.Name)
		if s.GlideTo >= 0 {
			text += fmt.Sprintf(">%d", s.GlideTo)
		}
		out = append(out, text)
	}
	return strings.Join(out, " ")
}

func TestSound(t *testing.T) {
	for _, c := range []struct{ score, want string }{
		{"C4:4 D4:4", "0+1/4:C4 1/4+1/4:D4"},
		{"C4-:4 C4:4 D4:4", "0+1/2:C4 1/2+1/4:D4"},
		{"C4-:2 | C4-:1 | C4:2", "0+2:C4"},
		{"C4-:4 D4:4", "0+1/4:C4 1/4+1/4:D4"},
		{"C4-:4 r:4 C4:4", "0+1/4:C4 1/2+1/4:C4"},
		{"C#4-:4 Db4:4", "0+1/2:C#4"},
		{"C4-+E4-:4 C4+F4:4", "0+1/4:E4 0+1/2:C4 1/4+1/4:F4"},
		{"C4+C4-:4 C4+C4:4", "0+1/4:C4 0+1/2:C4 1/4+1/4:C4"},
		{"C4:2 C4-:2 :|", "0+1/2:C4 1/2+1:C4 3/2+1/2:C4"},
		{"E4:2 C4-:2 :| C4:2", "0+1/2:E4 1/2+1/2:C4 1+1/2:E4 3/2+1:C4"},
		{"C4/:4 D4:4", "0+1/4:C4>1 1/4+1/4:D4"},
		{"C4+E4/:4 D4+G4:4", "0+1/4:E4>2 0+1/4:C4 1/4+1/4:G4 1/4+1/4:D4"},
		{"C4+E4/:4 G4:4", "0+1/4:E4>2 0+1/4:C4 1/4+1/4:G4"},
		{"C4-:4 C4/:4 D4:4", "0+1/2:C4>1 1/2+1/4:D4"},
		{"C4-+E4/:4 C4+F4:4", "0+1/4:E4>2 0+1/2:C4 1/4+1/4:F4"},
		{"C4/:2 :|", "0+1/2:C4>1 1/2+1/2:C4"},
		{"{D4}C4:4", "0+1/16:D4 1/16+3/16:C4"},
		{"{D4}{E4}C4:4", "0+1/16:D4 1/16+1/16:E4 1/8+1/8:C4"},
		{"{D4}C4:8", "0+1/16:D4 1/16+1/16:C4"},
		{"{D4}{E4}{F4}C4:8", "0+1/64:D4 1/64+1/64:E4 1/32+1/64:F4 3/64+5/64:C4"},
		{"{D4/}C4:4", "0+1/16:D4>1 1/16+3/16:C4"},
		{"C4/:4 {D4}E4:4", "0+1/4:C4>1 1/4+1/16:D4 5/16+3/16:E4"},
		{"C4-:4 {D4}C4:4", "0+1/2:C4 1/4+1/16:D4"},
		{"C4:2 D4:2 & E4:1", "0+1:E4 0+1/2:C4 1/2+1/2:D4"},
	} {
		if got := heard(score(c.score)); got != c.want {
			t.Errorf("%s: got %s, want %s", c.score, got, c.want)
		}
	}
}

// TestCrushed: a crushed note takes a 32nd at most.
func TestCrushed(t *testing.T) {
	tn := score("{D4}C4:4")
	tn.Bars[0].Lines[0][0].Graces[0].Slash = true
	if got, want := heard(tn), "0+1/32:D4 1/32+7/32:C4"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// moments writes them: place, length, the notes (tied ones in brackets, graces
// with a star), and how many are held.
func moments(t *tune.Tune) string {
	var out []string
	for _, m := range tune.Moments(t) {
		text := fmt.Sprintf("%d@%s+%s", m.BarIndex+1, m.At, m.Len)
		for _, n := range m.Notes {
			switch {
			case n.Tied:
				text += fmt.Sprintf(" (%s)", n.Name)
			case n.Grace:
				text += fmt.Sprintf(" %s*", n.Name)
			default:
				text += " " + n.Name.String()
			}
		}
		if len(m.Held) > 0 {
			text += fmt.Sprintf(" h%d", len(m.Held))
		}
		if m.Grace {
			text += " g"
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

func TestMoments(t *testing.T) {
	for _, c := range []struct{ score, want string }{
		{"C4:4 D4:4", "1@0+1/4 C4, 1@1/4+1/4 D4"},
		{"C4:4 r:4 D4:2", "1@0+1/4 C4, 1@1/2+1/2 D4"},
		{"C4-:4 C4:4 | C4:1", "1@0+1/4 C4, 1@1/4+1/4 (C4), 2@0+1 C4"},
		{"C4-:1 | C4:1", "1@0+1 C4, 2@0+1 (C4)"},
		{"C4:1 & E4:2 F4:2", "1@0+1/2 E4 C4, 1@1/2+1/2 F4 h1"},
		{"{D4}C4:2 E4:2", "1@0+1/16 D4* g, 1@1/16+7/16 C4, 1@1/2+1/2 E4"},
		{"C4-:2 {D4}C4:2", "1@0+1/2 C4, 1@1/2+1/2 (C4) D4*"},
		{"C4:2 E4-:2 :| E4:1", "1@0+1/2 C4, 1@1/2+1/2 E4, 2@0+1 (E4)"},
		{"C4:2 C4-:2 :| E4:1", "1@0+1/2 C4, 1@1/2+1/2 C4, 2@0+1 E4"},
	} {
		got := moments(score(c.score))
		// Two notes at one instant stand from high to low: (C4) under D4*.
		got = strings.ReplaceAll(got, "D4* (C4)", "(C4) D4*")
		if got != c.want {
			t.Errorf("%s: got %s, want %s", c.score, got, c.want)
		}
	}
}

// TestTiedAtEndings: the second ending takes up the tie of the bar before the
// first, not of the first ending's end.
func TestTiedAtEndings(t *testing.T) {
	tn := score("C4-:1 | C4:2 D4-:2 :| C4:1")
	tn.Bars[1].Endings, tn.Bars[2].Endings = []int{1}, []int{2}
	tune.EndEndings(tn.Bars)
	if got, want := moments(tn), "1@0+1 C4, 2@0+1/2 (C4), 2@1/2+1/2 D4, 3@0+1 (C4)"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestTranspose(t *testing.T) {
	for _, c := range []struct{ key, chord, note, interval, wantKey, wantChord, wantNote string }{
		{"C major", "C7", "E4", "2/4", "E major", "E7", "G#4"},
		{"G major", "D/F#", "F#4", "-3/-5", "D major", "A/C#", "C#4"},
		{"F major", "Bbm7/Eb", "Bb3", "1/2", "G major", "Cm7/F", "C4"},
		{"A minor", "E7b9", "G#5", "2/3", "C minor", "G7b9", "B5"},
		{"B major", "F#", "A#4", "1/1", "C major", "G", "B4"},
		// G sharp major would have eight sharps: A flat is taken.
		{"C# major", "G#7", "B#4", "4/7", "Ab major", "Eb7", "G5"},
		{"D dorian", "N.C.", "B4", "0/1", "D# dorian", "N.C.", "B#4"},
	} {
		tn := score(c.note + ":1")
		b := &tn.Bars[0]
		key, err := pitch.ParseKey(c.key)
		if err != nil {
			t.Fatal(err)
		}
		b.Key = key
		b.Chords = []tune.ChordAt{{Text: c.chord}}
		if chord, err := pitch.ParseChord(c.chord); err == nil {
			b.Chords[0].Chord = &chord
		}
		var iv pitch.Interval
		fmt.Sscanf(c.interval, "%d/%d", &iv.Steps, &iv.Semitones)
		got := tune.Transpose(tn, iv)
		g := got.Bars[0]
		if g.Key.String() != c.wantKey || g.Chords[0].Text != c.wantChord || g.Lines[0][0].Notes[0].Name.String() != c.wantNote {
			t.Errorf("%+v: got %s %s %s", c, g.Key, g.Chords[0].Text, g.Lines[0][0].Notes[0].Name)
		}
		if x := g.Chords[0]; x.Chord != nil && x.Chord.String() != c.wantChord {
			t.Errorf("%+v: the chord itself is %s", c, x.Chord)
		}
		if tn.Bars[0].Lines[0][0].Notes[0].Name.String() != c.note || tn.Bars[0].Chords[0].Text != c.chord {
			t.Errorf("%+v: the tune itself was changed", c)
		}
	}
}

// TestTransposeChordTexts: the ways in which older books write chords.
func TestTransposeChordTexts(t *testing.T) {
	for _, c := range []struct{ text, chord, want string }{
		{"(E7)", "E7", "(F#7)"}, {"D/f+", "D/F#", "E/G#"}, {"Gd", "Gdim", "Ad"}, {"C6/9", "C6/9", "D6/9"}, {"Bb-", "Bbm", "C-"}, {"?", "G", "A"},
	} {
		tn := score("C4:1")
		chord, err := pitch.ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		tn.Bars[0].Chords = []tune.ChordAt{{Text: c.text, Chord: &chord}}
		if got := tune.Transpose(tn, pitch.Interval{Steps: 1, Semitones: 2}).Bars[0].Chords[0].Text; got != c.want {
			t.Errorf("%s up a tone: got %s, want %s", c.text, got, c.want)
		}
	}
}

func TestShift(t *testing.T) {
	for _, c := range []struct {
		key       string
		semitones int
		want      string
	}{
		{"C major", 1, "Db major"}, {"C major", 6, "F# major"}, {"C major", -1, "B major"}, {"G major", 1, "Ab major"},
		{"A minor", 1, "Bb minor"}, {"D dorian", -3, "B dorian"}, {"E major", 12, "E major"}, {"Bb major", -14, "Ab major"},
	} {
		key, err := pitch.ParseKey(c.key)
		if err != nil {
			t.Fatal(err)
		}
		iv := tune.Shift(key, c.semitones)
		if got := key.Up(iv).String(); got != c.want || iv.Semitones != c.semitones {
			t.Errorf("%s by %d: got %s by %+v, want %s", c.key, c.semitones, got, iv, c.want)
		}
	}
}

func TestClock(t *testing.T) {
	tn := score("C4:1 | C4:1 :| C4:1")
	if got := tune.NewClock(tn).Seconds(tune.Whole); got != 2.4 {
		t.Errorf("a whole note at 100 quarters a minute: got %v s, want 2.4", got)
	}
	tn.Bars[1].Tempos = []tune.Tempo{{At: tune.Whole / 2, Beat: tune.Whole / 4, PerMinute: 60_000}, {At: 0, Text: "Slowly"}}
	c := tune.NewClock(tn)
	for _, x := range []struct {
		at   tune.Ticks
		want float64
	}{
		{0, 0}, {tune.Whole, 2.4}, {tune.Whole * 3 / 2, 3.6}, {2 * tune.Whole, 5.6},
		// The tempo goes on in the repeat, where no first tempo stands.
		{3 * tune.Whole, 9.6}, {5 * tune.Whole, 17.6}, {6 * tune.Whole, 21.6},
	} {
		if got := c.Seconds(x.at); abs(got-x.want) > 1e-9 {
			t.Errorf("%s: got %v s, want %v", x.at, got, x.want)
		}
		if got := c.At(x.want); got < x.at-1 || got > x.at+1 {
			t.Errorf("%v s: got %s, want %s", x.want, got, x.at)
		}
	}
	if c.Len() != 5*tune.Whole {
		t.Errorf("length %s, want 5", c.Len())
	}
	jig := score("C4:1")
	jig.Bars[0].Meter = tune.Meter{Beats: 6, Unit: 8}
	if got := tune.NewClock(jig).Seconds(tune.Whole * 3 / 8); got != 0.6 {
		t.Errorf("a dotted quarter of a jig: got %v s, want 0.6", got)
	}
}

func abs(x float64) float64 { return max(x, -x) }

func TestValues(t *testing.T) {
	for _, c := range []struct {
		num, den int64
		want     string
	}{
		{1, 4, "2.0"}, {3, 8, "2.1"}, {7, 16, "2.2"}, {15, 32, "2.1 4.1"}, {5, 8, "1.0 3.0"}, {9, 8, "0.0 3.0"}, {11, 16, "1.0 3.1"}, {8, 1, "-3.0"}, {20, 1, "-3.1 -3.0"},
	} {
		length, _ := tune.Of(c.num, c.den)
		values, ok := tune.Values(length)
		var out []string
		var sum tune.Ticks
		for _, v := range values {
			out = append(out, fmt.Sprintf("%d.%d", v.Log2, v.Dots))
			sum += v.Len()
		}
		if got := strings.Join(out, " "); got != c.want || !ok || sum != length {
			t.Errorf("%d/%d: got %s, want %s", c.num, c.den, got, c.want)
		}
	}
	for _, length := range []tune.Ticks{0, -1, 1, tune.Whole / 3, tune.Whole / 2048 * 3, (tune.MaxWholes + 1) * tune.Whole} {
		if v, ok := tune.Values(length); ok {
			t.Errorf("%s: got %v, want none", length, v)
		}
	}
	if v, ok := tune.ValueOf(tune.Whole / 32 * 15); !ok || v != (tune.Value{Log2: 2, Dots: 3}) {
		t.Errorf("15/32: got %v %v, want a quarter with three dots", v, ok)
	}
}

func TestNumber(t *testing.T) {
	tn := bars("x |:x x:| x x")
	lens := []tune.Ticks{1, 4, 3, 1, 4} // a pickup, and a bar split over the repeat
	for i := range tn.Bars {
		tn.Bars[i].Len = lens[i] * tune.Whole / 4
	}
	tune.Number(tn.Bars)
	var got []int
	for _, b := range tn.Bars {
		got = append(got, b.Number)
	}
	if fmt.Sprint(got) != "[0 1 2 2 3]" {
		t.Errorf("got %v, want [0 1 2 2 3]", got)
	}
	// Of three half bars with repeats between them two share a number, and the third begins the next.
	tn = bars("x x:| x:| x:| x")
	for i := 1; i < len(tn.Bars); i++ {
		tn.Bars[i].Len = tune.Whole / 2
	}
	tune.Number(tn.Bars)
	got = nil
	for _, b := range tn.Bars {
		got = append(got, b.Number)
	}
	if fmt.Sprint(got) != "[1 2 2 3 3]" {
		t.Errorf("half bars: got %v, want [1 2 2 3 3]", got)
	}
}
