package tabtext

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/columns"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// told writes what a cell says.
func told(c columns.Cell) string {
	s := fmt.Sprintf("%g", c.Fret)
	if !c.Exact {
		s += " about"
	}
	if c.Attack != tab.Picked {
		s += " " + c.Attack.String()
	}
	if c.Falling {
		s += " falling"
	}
	if c.Scooped {
		s += fmt.Sprintf(" from %g", c.Start)
	}
	if c.Node != 0 {
		s += fmt.Sprintf(" node %d", c.Node)
	}
	if c.Vibrato {
		s += " vibrato"
	}
	if c.Damp {
		s += " damped"
	}
	for _, b := range c.Benders {
		s += " " + b
	}
	return s
}

// TestCells: what a number on a string says, each with its marks, and where one that says nothing is
// wrong (docs/formats/tab-text.md).
func TestCells(t *testing.T) {
	for in, want := range map[string]string{
		"0": "0", "12": "12", "99": "99", "7.5": "7.5", "7.25": "7.25 about", "7.125": "7.125",
		"5A": "5 A", "5AZ": "5 A Z", "h5": "5 hammered on", "p5": "5 pulled off", "/5": "5 glided into", `\5`: "5 glided into falling", "b5": "5 bent to", "r5": "5 bent to falling", "b5A": "5 bent to A",
		"(5)": "5 held on", "(5)A": "5 held on A", "(5A)": "5 held on A", "3/5": "5 from 3", `7\5`: "5 from 7", "5~": "5 vibrato", "5'": "5 damped", "5~'": "5 vibrato damped", "5'~": "5 vibrato damped",
		"<12>": "12 harmonic node 2", "<7>": "7 harmonic node 3", "<3:6>": "3 harmonic node 6", "<3:6>~": "3 harmonic node 6 vibrato", "<2>A": "2 harmonic node 8 A", "5<17>": "5 palm harmonic node 2", "5<12>": "5 palm harmonic node 3", "5<17:2>": "5 palm harmonic node 2", "5<9:127>": "5 palm harmonic node 127",
	} {
		c, _, wrong := scanCell(in)
		got := told(c)
		if wrong != "" || got != want {
			t.Errorf("%s says %s (%s), want %s", in, got, wrong, want)
		}
	}
	if c, _, wrong := scanCell("x"); wrong != "" || c.Attack != tab.Chopped {
		t.Errorf("x is %+v, %s", c, wrong)
	}
	for in, want := range map[string]string{
		"": "0: a bar position", "100": "0: a bar position", "99.5": "0: a bar position", "h": "1: a bar position", "/": "1: a bar position", "xx": "0: a bar position", "a5": "0: a bar position", "5@": "1: the end of the number", "5[": "1: the end of the number", "5a": "1: the end", "(5": `2: ")" expected`, "<12": `3: ">" expected`,
		"5~~": "2: the end", "5''": "2: the end", "<1:2>": "", "<6>": "3: a fret with a node", "<7:1>": "2: the number of a harmonic", "<7:>": "2: the number of a harmonic", "<7:128>": "2: the number of a harmonic", "h/5": "0: a number expected before", "3h/5": "1: a number expected before", "3/": "2: a bar position", "5<": "2: the fret of the palm's node", "5<6>": "3: a node 12", "5<17": `4: ">" expected`, "5<17:1>": "4: the number of a harmonic", "h5<17>": "2: the end", "1.2.3": "0: a bar position", strings.Repeat("0", 25): "24: the end of the number",
	} {
		_, at, wrong := scanCell(in)
		if got := fmt.Sprintf("%d: %s", at, wrong); want != "" && !strings.HasPrefix(got, want) {
			t.Errorf("%s is refused at %s, want %s", in, got, want)
		}
	}
}

// TestCellsAreWritten: what is written of a pluck is read as that.
func TestCellsAreWritten(t *testing.T) {
	for _, c := range []struct {
		p       tab.Pluck
		falling bool
		letters string
		want    string
	}{
		{tab.Pluck{Fret: 5}, false, "", "5"}, {tab.Pluck{Fret: 5}, false, "AB", "5AB"}, {tab.Pluck{Fret: 5, Attack: tab.Tied}, false, "A", "(5A)"},
		{tab.Pluck{Fret: 5, Attack: tab.Glided}, false, "", "/5"}, {tab.Pluck{Fret: 5, Attack: tab.Glided}, true, "", `\5`}, {tab.Pluck{Fret: 5, Attack: tab.BentTo}, false, "A", "b5A"}, {tab.Pluck{Fret: 5, Attack: tab.BentTo}, true, "", "r5"},
		{tab.Pluck{Fret: 5, Attack: tab.Hammered}, false, "", "h5"}, {tab.Pluck{Fret: 0, Attack: tab.PulledOff}, false, "", "p0"}, {tab.Pluck{Attack: tab.Chopped, Fret: 3}, false, "A", "x"},
		{tab.Pluck{Fret: 12, Attack: tab.Harmonic, Node: 2}, false, "", "<12>"}, {tab.Pluck{Fret: 3, Attack: tab.Harmonic, Node: 7}, false, "", "<3:7>"}, {tab.Pluck{Fret: 5, Attack: tab.PalmHarmonic, Node: 2}, false, "", "5<17>"}, {tab.Pluck{Fret: 5, Attack: tab.PalmHarmonic, Node: 7}, false, "", "5<8:7>"},
		{tab.Pluck{Fret: 5, Scoop: -2}, false, "", "3/5"}, {tab.Pluck{Fret: 5, Scoop: 1}, false, "", `6\5`}, {tab.Pluck{Fret: 5, Vibrato: true, Damp: true}, false, "", "5~'"},
	} {
		got := formatCell(&c.p, false, c.falling, c.letters)
		if got != c.want {
			t.Errorf("%+v is written %s, want %s", c.p, got, c.want)
		}
		if _, at, wrong := scanCell(got); wrong != "" {
			t.Errorf("%s is refused at %d: %s", got, at, wrong)
		}
	}
}

// TestSteelTokens: how the steel lies, with and without its frets and benders.
func TestSteelTokens(t *testing.T) {
	lies := func(kind steel.Kind, first, last int8, ff, lf float64) steel.Placement {
		return steel.Placement{Kind: kind, First: first, Last: last, FirstFret: ff, LastFret: lf}
	}
	for in, want := range map[string]columns.SteelState{
		"-": {Laid: true}, "-+A": {Laid: true, Bent: true, Benders: []string{"A"}}, "+": {Bent: true}, "+AZ": {Bent: true, Benders: []string{"A", "Z"}},
		"=1-3": {Laid: true, Placement: lies(steel.Straight, 1, 3, 0, 0)}, "=2": {Laid: true, Placement: lies(steel.Straight, 2, 2, 0, 0)}, "=1-1": {Laid: true, Placement: lies(steel.Straight, 1, 1, 0, 0)},
		"F1-3:5/4": {Laid: true, Framed: true, Placement: lies(steel.Forward, 1, 3, 5, 4)}, "R1-2:4.5/6": {Laid: true, Framed: true, Placement: lies(steel.Reverse, 1, 2, 4.5, 6)}, "=1-3:99": {Laid: true, Framed: true, Placement: lies(steel.Straight, 1, 3, 99, 99)}, "N3:0+B": {Laid: true, Framed: true, Bent: true, Benders: []string{"B"}, Placement: lies(steel.Nose, 3, 3, 0, 0)},
		fmt.Sprintf("S1-%d", rig.MaxStrings): {Laid: true, Placement: lies(steel.Split, 1, rig.MaxStrings, 0, 0)},
	} {
		if got, wrong := scanSteel(in); wrong != "" || fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s is %+v (%s), want %+v", in, got, wrong, want)
		}
	}
	for in, want := range map[string]string{
		"": "a way of laying the bar", "+a": "bender letters", "+@": "bender letters", "+[": "bender letters", "X1": "one of - = F R S N", "-1": `nothing expected after "-"`, "=": "a string's number", "=0": "a string's number", fmt.Sprintf("=%d", rig.MaxStrings+1): "a string's number", "=3-2": "a further string's", "=1-": "a further string's", fmt.Sprintf("=1-%d", rig.MaxStrings+1): "a further string's",
		"=1:": "a bar position", "=1:100": "a bar position", "=1:5/": "a bar position", "=1:5/x": "a bar position", "=1:-1": "a bar position", "=1:" + strings.Repeat("0", 25): "a bar position",
	} {
		if _, wrong := scanSteel(in); !strings.HasPrefix(wrong, want) {
			t.Errorf("%s is refused with %q, want %q", in, wrong, want)
		}
	}
	if f, ok := parseFret(strings.Repeat("0", 24)); !ok || f != 0 {
		t.Errorf("24 digits are %g, %v", f, ok)
	}
}

// TestRhythmLetters: an event's letter with what begins and ends at it, read and written.
func TestRhythmLetters(t *testing.T) {
	q, triplet := tune.Value{Log2: 2}, tune.Tuplet{Actual: 3, Normal: 2, Starts: true}
	ends := triplet
	ends.Starts, ends.Ends = false, true
	for want, e := range map[string]tune.Event{
		"q": {Value: q}, "q.": {Value: tune.Value{Log2: 2, Dots: 1}}, "rq": {Kind: tune.Rest, Value: q}, "zq": {Kind: tune.Skip, Value: q}, "((q": {Value: q, Slurs: 2}, "q))": {Value: q, SlurEnds: 2}, "(q)": {Value: q, Slurs: 1, SlurEnds: 1},
		"[3q": {Value: q, Tuplets: []tune.Tuplet{triplet}}, "q]": {Value: q, Tuplets: []tune.Tuplet{ends}}, "[5:6q": {Value: q, Tuplets: []tune.Tuplet{{Actual: 5, Normal: 6, Starts: true}}}, "[3[5q": {Value: q, Tuplets: []tune.Tuplet{triplet, {Actual: 5, Normal: 4, Starts: true}}},
		"R": {Kind: tune.Rest, Len: tune.Whole, Value: tune.Value{BarRest: true}}, "Z": {Kind: tune.Skip, Len: tune.Whole, Value: tune.Value{BarRest: true}}, "R=3/4": {Kind: tune.Rest, Len: 3 * tune.Whole / 4, Value: tune.Value{BarRest: true}}, "Z=5/8": {Kind: tune.Skip, Len: 5 * tune.Whole / 8}, "zw": {Kind: tune.Skip, Len: tune.Whole},
	} {
		if got := formatRhythm(&e, tune.Whole, ""); got != want {
			t.Errorf("%+v is written %s, want %s", e, got, want)
		}
		x, at, wrong := scanRhythm(want)
		if wrong != "" || x.slurs != e.Slurs || x.slurEnd != e.SlurEnds || x.kind != e.Kind {
			t.Errorf("%s is read as %+v, %d %s", want, x, at, wrong)
		}
	}
	for _, c := range []struct{ in, want string }{
		{"q:1,3", "[1 3]"}, {"q:", "[]"}, {"q:12", "[12]"}, {"q:0,9", "[0 9]"}, {"q:1,", "[1]"}, {"'e:2", "[2]"}, {"q:9999", "[9999]"},
	} {
		if x, at, wrong := scanRhythm(c.in); wrong != "" || fmt.Sprint(x.strings) != c.want {
			t.Errorf("%s is played on %v, %d %s; want %s", c.in, x.strings, at, wrong, c.want)
		}
	}
	for in, want := range map[string]string{
		"": "0: a note value", "'": "1: a note value", "'/": "2: a note value", "(": "1: a note value", "[": "1: the number of a tuplet", "[0q": "2: the number of a tuplet", "[65q": "3: the number of a tuplet", "[64q": `3: ":" and how many`, "[64:64q": "", "[1:1q": "", "[3:q": "3: the other number", "[3:0q": "4: the other number", "[3:65q": "5: the other number", "[8q": `2: ":" and how many`,
		"'R": "1: a note value", "'rq": "1: a note value", "R=": "2: the length of the bar", "R=0": "2: the length of the bar", "R=1/0": "2: the length", "qq": "1: the end of the rhythm letter", "q):": "2: the end", "q)]": "2: the end", "[12345:1q": "5: the number of a tuplet", "q:1,x": "4: the end", "R=1/4x": "5: the end", "q:/": "2: the end",
	} {
		_, at, wrong := scanRhythm(in)
		if got := fmt.Sprintf("%d: %s", at, wrong); want == "" && wrong != "" || !strings.HasPrefix(got, want) {
			t.Errorf("%s is refused at %s, want %s", in, got, want)
		}
	}
	if x, _, wrong := scanRhythm("'/s"); wrong != "" || !x.grace || !x.slash || x.value.Log2 != 4 {
		t.Errorf("a crushed grace is %+v, %s", x, wrong)
	}
}

// TestLengthsOfEvents: an event has the length that its tuplets leave it; what ends none, has no
// length or has graces before a rest is refused.
func TestLengthsOfEvents(t *testing.T) {
	four := tune.Meter{Beats: 4, Unit: 4}
	triplet := tune.Tuplet{Actual: 3, Normal: 2, Starts: true}
	timed := func(in string, open ...tune.Tuplet) (tune.Event, string) {
		x, _, wrong := scanRhythm(in)
		if wrong != "" {
			t.Fatal(in, wrong)
		}
		e := tune.Event{Kind: x.kind, Value: x.value}
		return e, x.timed(&e, open, four)
	}
	for _, c := range []struct {
		in    string
		open  []tune.Tuplet
		wrong string
	}{
		{"q", nil, ""}, {"R", nil, ""}, {"R=1/4", nil, ""}, {"[3q]", nil, ""}, {"q]", []tune.Tuplet{triplet}, ""}, {"q]]", []tune.Tuplet{triplet}, "ends a tuplet that did not begin"}, {"q]", nil, "ends a tuplet"},
	} {
		if _, wrong := timed(c.in, c.open...); (c.wrong == "") != (wrong == "") || !strings.Contains(wrong, c.wrong) {
			t.Errorf("%s in %v: %q, want %q", c.in, c.open, wrong, c.wrong)
		}
	}
	for at, good := range map[tune.Ticks]bool{tune.MaxWholes*tune.Whole - tune.Whole/4: true, tune.MaxWholes*tune.Whole - tune.Whole/4 + 1: false} {
		x, _, _ := scanRhythm("q")
		e := tune.Event{At: at, Value: x.value}
		if wrong := x.timed(&e, nil, four); (wrong == "") != good {
			t.Errorf("a quarter at %s: %q", at, wrong)
		}
	}
	x, _, _ := scanRhythm("[5q]]")
	e := tune.Event{Value: x.value}
	if wrong := x.timed(&e, []tune.Tuplet{triplet}, four); wrong != "" || e.Len != tune.Whole/4*2/3*4/5 || !e.Tuplets[0].Ends || !e.Tuplets[1].Ends || e.Tuplets[0].Starts {
		t.Errorf("a quarter in a five in a three: %+v, %s", e, wrong)
	}
	x, _, _ = scanRhythm("[5q]")
	e = tune.Event{Value: x.value}
	if wrong := x.timed(&e, []tune.Tuplet{triplet}, four); wrong != "" || e.Tuplets[0].Ends || !e.Tuplets[1].Ends {
		t.Errorf("one of two ends: %+v, %s", e, wrong)
	}
	x, _, _ = scanRhythm("rq")
	e = tune.Event{Kind: tune.Rest, Value: x.value, Graces: make([]tune.Grace, 1)}
	if wrong := x.timed(&e, nil, four); !strings.Contains(wrong, "graces before the rest") {
		t.Errorf("graces before a rest: %q", wrong)
	}
}

// TestLineLabels: which line of a system is which.
func TestLineLabels(t *testing.T) {
	for text, want := range map[string]string{"1 D4 |-": "1 5 true", "24 D4 |": "24 6 true", "0 D4 |": "0 0 false", fmt.Sprintf("%d D4 |", rig.MaxStrings+1): "0 0 false", "1 D4": "0 0 false", "1 |-": "0 0 false", "1 D 4 |-": "0 0 false", "x D4 |": "0 0 false", "|-": "0 0 false"} {
		if text == "24 D4 |" && rig.MaxStrings < 24 {
			continue
		}
		n, at, ok := stringLabel(columns.NewTextLine(1, text))
		if got := fmt.Sprint(n, at, ok); got != want {
			t.Errorf("%q is labelled %s, want %s", text, got, want)
		}
	}
	for text, want := range map[string]string{"bar 1": "bar", "signs": "signs", "chords G": "chords", "steel -": "steel", "hand TIM": "hand", "rhythm q": "rhythm", "rhythm 2 q": "rhythm 2", "rhythm  2": "rhythm", "verse 1": "verse 1", "verse 2/1 la": "verse 2/1", "verse": "", "verse la": "", "rhythm 0": "rhythm", "rhythm 9": "rhythm 9", "": "", "what": ""} {
		if got := rowLabel(text); got != want {
			t.Errorf("%q is the line %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"|-1-|": "0-1 | 4-5 |", "|:-|:": "0-2 |: 3-5 |:", "|-:|-|": "0-1 | 2-4 :| 5-6 |", "|-||": "0-1 | 2-4 ||", "|-|]": "0-1 | 2-4 |]", "|-:|:-|": "0-1 | 2-5 :|: 6-7 |", "|-|]|:": "0-1 | 2-6 |]|:", ":|": "1-2 |", "--": ""} {
		from := 0
		if text == ":|" {
			from = 1
		}
		var out []string
		for _, g := range glyphs(text, from) {
			out = append(out, fmt.Sprintf("%d-%d %s", g.From, g.To, g.Text))
		}
		if got := strings.Join(out, " "); got != want {
			t.Errorf("%q has the barlines %s, want %s", text, got, want)
		}
	}
	g := func(text string) []columns.Glyph { return glyphs(text, 0) }
	for _, c := range []struct {
		a, b string
		at   int
		ok   bool
	}{{"|-|", "|-|", 0, false}, {"|-|", "|--|", 3, true}, {"|-|", "|-|-|", 4, true}, {"|-|-|", "|-|", 2, true}, {"|-|", "|-||", 2, true}} {
		if at, ok := glyphsDiffer(g(c.a), g(c.b)); at != c.at || ok != c.ok {
			t.Errorf("%s and %s differ at %d, %v; want %d, %v", c.a, c.b, at, ok, c.at, c.ok)
		}
	}
	for text, want := range map[string]string{"G@1/4": "G 1/4 true true", "G": "G 0 false true", "G@x": "G 0 true false", `"a@b"`: `"a@b" 0 false true`, `"a"@1/2`: `"a" 1/2 true true`, "{a@b}": "{a@b} 0 false true", "@1/8": " 1/8 true true"} {
		s, at, own, ok := cutTime(text)
		if got := fmt.Sprintf("%s %s %v %v", s, at, own, ok); got != want {
			t.Errorf("%q is cut as %s, want %s", text, got, want)
		}
	}
	spans := func(text string) string {
		var out []string
		for _, sp := range cellSpans(columns.NewTextLine(1, text), 1, len(text)-1) {
			out = append(out, fmt.Sprintf("%d:%s", sp.Byte, sp.Text))
		}
		return strings.Join(out, " ")
	}
	for text, want := range map[string]string{"|-5--12-|": "2:5 5:12", "|5 7|": "1:5 3:7", "|---|": "", "|5|": "1:5"} {
		if got := spans(text); got != want {
			t.Errorf("%q has the numbers %s, want %s", text, got, want)
		}
	}
}

// TestSmallTexts: syllables, notes of the fine print, barlines and texts that need quotes.
func TestSmallTexts(t *testing.T) {
	for text, want := range map[string]string{"la": "la", "la-": "la -", "la_": "la _", "la-_": "la - _", `"two words"`: "two words", `"a-"-`: "a- -", `""_`: " _", "-": "!", "_": "!", "": "!", `"a`: "!", `"a"b`: "!"} {
		y, ok := scanLyric(text)
		got := y.Text
		if y.Hyphen {
			got += " -"
		}
		if y.Extend {
			got += " _"
		}
		if !ok {
			got = "!"
		}
		if got != want {
			t.Errorf("%q is the syllable %q, want %q", text, got, want)
		}
		if ok {
			if again, ok := scanLyric(formatLyric(y)); !ok || again != y {
				t.Errorf("%q comes back as %+v", text, again)
			}
		}
	}
	for text, want := range map[string]string{"C4": "C4", "F#3!": "F#3!", "Bb3?": "Bb3?", "C-1-": "C-1-", "C4-": "C4-", "C4/": "C4/", "C4x": "C4x", "C4s-2": "C4s-2", "C4!?-/xs3": "C4!?-/xs3", "C##4": "C##4", "C4z": "", "C4s": "", "C4s200": "", "H4": "", "": "", "C": "", "C:4": ""} {
		n, ok := parseNote(text)
		got := ""
		if ok {
			got = formatNotes([]tune.Note{n})
		}
		if got != want {
			t.Errorf("%q is the note %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"final 1": "final 1", "single": "single", "double 99": "double 99", "single 0": "", "single 100": "", "single x": "", "thick": "", "": "", "single 1 2": ""} {
		l, ok := parseLine(text)
		got := ""
		if ok {
			got = formatLine(l)
		}
		if got != want {
			t.Errorf("%q is the barline %q, want %q", text, got, want)
		}
	}
	for text, plain := range map[string]bool{"A": true, "": false, "two words": false, "a@b": false, "{a}": false, `a"b`: false, "a\u00a0b": true, "a\x7fb": false, "a\x1fb": false, "~": true} {
		if got := quoteIfNeeded(text); (got == text) != plain {
			t.Errorf("%q is written %s", text, got)
		}
	}
	for text, plain := range map[string]bool{"Low Tide": true, "": false, " a": false, "a ": false, `"a`: false, `a"`: true, "a\nb": false, "a\u2028b": false, "a\ufeffb": false, "a\u0085b": false, "\xff": false} {
		if got := headerText(text); (got == text) != plain {
			t.Errorf("%q is written %s", text, got)
		}
	}
}
