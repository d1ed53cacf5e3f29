package tabtext

import (
	"strings"
	"testing"

	"lapwright/notation/columns"
	"lapwright/rig"
	"lapwright/tune"
)

// Words of every kind are written as one token and read back the same.
func TestWordsOfEveryKind(t *testing.T) {
	for _, text := range []string{"", "sail", "two words", "end-", "end_", "-", "_", `a"b`, `"`, "a\tb", "a\nb", "a\u2028b", "a\u2029b", "a\u0085b", "a\x7fb", "a\ufeffb", "a@1/2", "{D}", "a{b", "a}", "höher"} {
		one := func(token string) {
			t.Helper()
			if got := columns.NewTextLine(1, token).Words(0, len(token)); len(got) != 1 || got[0].Text != token {
				t.Errorf("%q is written as %q, which is %d tokens", text, token, len(got))
			}
			if lines := columns.SplitLines([]byte(token)); len(lines) != 1 || lines[0].Text != token {
				t.Errorf("%q is written as %q, which no line can hold", text, token)
			}
		}
		for _, y := range []tune.Lyric{{Text: text}, {Text: text, Hyphen: true}, {Text: text, Extend: true}, {Text: text, Hyphen: true, Extend: true}} {
			token := formatLyric(y)
			one(token)
			if got, ok := scanLyric(token); !ok || got != y {
				t.Errorf("%+v is written as %q and read as %+v %v", y, token, got, ok)
			}
		}
		for _, chord := range []string{"", "D", "F#m7b5/E"} {
			c := tune.ChordAt{Text: text, Chord: columns.ReadChord(chord)}
			token := formatChord(c)
			one(token)
			rest, _, own, ok := cutTime(token)
			got, _, want := scanChord(rest)
			if own || !ok || want != "" || got.Text != text || (got.Chord == nil) != (chord == "") || got.Chord != nil && got.Chord.String() != c.Chord.String() {
				t.Errorf("%+v is written as %q and read as %+v (%s)", c, token, got, want)
			}
		}
	}
}

// A syllable that could stand alone is not quoted.
func TestPlainWords(t *testing.T) {
	if got := formatLyric(tune.Lyric{Text: "höher", Hyphen: true}); got != "höher-" {
		t.Errorf("a syllable: %q", got)
	}
	if got := formatChord(tune.ChordAt{Text: "F#m7b5/E", Chord: columns.ReadChord("F#m7b5/E")}); got != "F#m7b5/E" {
		t.Errorf("a chord: %q", got)
	}
}

// A system has as many bars as the width holds, and not one more.
func TestSystemsFillTheWidth(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	for unit := range 7 {
		text := soundText(t)
		head, _, _ := strings.Cut(text, "bar  ")
		text = head + "rhythm q   q   q   q" + strings.Repeat(" ", unit) + "\n1 D4  |-0---2---5---7" + strings.Repeat("-", unit) + "|\n"
		for s, name := range []string{"B3", "G3", "D3", "B2", "G2"} {
			text += string(rune('2'+s)) + " " + name + "  |--------------" + strings.Repeat("-", unit) + "|\n"
		}
		text = strings.Replace(text, "rhythm q", "rhythm  q", 1)
		tb, _, err := Parse([]byte(text), "x", r)
		if err != nil {
			t.Fatal(err)
		}
		tb.Tune.Bars[0].Number = 1
		for i := 1; i < 40; i++ {
			b := tb.Tune.Bars[0]
			b.Number, b.Tempos = i+1, nil
			tb.Tune.Bars = append(tb.Tune.Bars, b)
			for _, s := range tb.Strokes[:4] {
				s.BarIndex = i
				s.Plucks = append(s.Plucks[:0:0], s.Plucks...)
				for p := range s.Plucks {
					s.Plucks[p].Ref.Bar = i
				}
				tb.Strokes = append(tb.Strokes, s)
			}
		}
		if unit%2 == 1 {
			tb.Tune.Bars[0].Left.Repeat = 1
		}
		tb.Tune.Title = strings.Repeat("x", unit)
		systems := 0
		var before string
		for l := range strings.Lines(string(Format(tb))) {
			l = strings.TrimSuffix(l, "\n")
			if !strings.HasPrefix(l, "1 D4") {
				continue
			}
			systems++
			if len(l) > width {
				t.Errorf("a system is %d columns wide, more than %d", len(l), width)
			}
			if next := strings.SplitN(l, "|", 3)[1]; before != "" && len(before)+len(next)+1 <= width {
				t.Errorf("a bar of %d columns would have stood in the system before, which is %d wide", len(next), len(before))
			}
			before = l
		}
		if systems < 3 {
			t.Fatalf("%d systems", systems)
		}
	}
}

// The rule that says most about the beams stands once, and bars that follow it
// are not named.
func TestBeamRuleOfTheFinePrint(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	head, _, _ := strings.Cut(soundText(t), "bar  ")
	text := head + "rhythm  e q e q q\n1 D4   |-0-2-5-7-0--|\n2 B3   |------------|\n3 G3   |------------|\n4 D3   |------------|\n5 B2   |------------|\n6 G2   |------------|\n"
	text = strings.Replace(text, "rhythm  e", "rhythm   e", 1)
	for _, rule := range columns.BeamRules {
		tb, _, err := Parse([]byte(text), "x", r)
		if err != nil {
			t.Fatal(err)
		}
		b := &tb.Tune.Bars[0]
		for e, end := range columns.Beamed(b, 0, rule) {
			b.Lines[0][e].BeamEnd = end
		}
		_, fine, _ := strings.Cut(string(Format(tb)), finePrintLabel)
		want := "\nbeams: " + rule + "\n"
		if rule == columns.BeamBeats {
			want = ""
		}
		if fine != want {
			t.Errorf("%s: fine print %q, want %q", rule, fine, want)
		}
		if rule != "bars" {
			continue
		}
		b.Lines[0][0].BeamEnd = true // no rule has it
		if _, fine, _ = strings.Cut(string(Format(tb)), finePrintLabel); !strings.Contains(fine, "beams 1.1: 1 5\n") {
			t.Errorf("a beam of its own: fine print %q", fine)
		}
	}
}

// With the capo on, the tuning may be named without it, or, as in texts from
// before, with it; never half and half.
func TestTuningAtTheCapo(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	r = r.Clone()
	r.Capo.Highest = 5
	for tuning, want := range map[string]string{
		"G2 B2 D3 G3 B3 D4":    "",
		"A2 C#3 E3 A3 C#4 E4":  "",
		"A2 Db3 E3 A3 C#4 E4":  "",
		"A2 C#3 E3 A3 B3 E4":   `x:4:9: string 6 is "A2" here, and "G2" on the rig "reso-open-g"`,
		"G2 B2 D3 G3 C#4 D4":   `x:4:21: string 2 is "C#4" here, and "B3" on the rig "reso-open-g"`,
		"B2 D#3 F#3 B3 D#4 F4": `x:4:9: string 6 is "B2" here, and "G2" on the rig "reso-open-g"`,
	} {
		text := strings.Replace(soundText(t), "tuning: G2 B2 D3 G3 B3 D4", "tuning: "+tuning, 1)
		text = strings.Replace(text, "capo: 0", "capo: 2", 1)
		got := ""
		if _, _, err := Parse([]byte(text), "x", r); err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%s: %q, want %q", tuning, got, want)
		}
	}
}
