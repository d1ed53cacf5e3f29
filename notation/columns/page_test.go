package columns

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/steel"
)

// A text is cut at every kind of line end, tabs stand for blanks to the next
// eighth column (common practice, no source), and what nobody sees at the end
// of a line or of the text is dropped.
func TestSplitLines(t *testing.T) {
	for text, want := range map[string][]string{
		"":                        nil,
		"\n \n\t\n":               nil,
		"\ufeffD|-0-|\r\nB|-1-|":  {"D|-0-|", "B|-1-|"},
		"a\rb\n\nc  \n\n":         {"a", "b", "", "c"},
		"\ta":                     {"        a"},
		"abc\ta\tb":               {"abc     a       b"},
		"12345678\ta":             {"12345678        a"},
		"1234567\ta":              {"1234567 a"},
		"é\ta":                    {"é       a"},
		"  leading blanks stand ": {"  leading blanks stand"},
	} {
		var got []string
		for i, l := range SplitLines([]byte(text)) {
			if l.Number != i+1 {
				t.Errorf("%q: line %d has the number %d", text, i, l.Number)
			}
			got = append(got, l.Text)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// The bounds of docs/formats/tab-text.md: 512 KiB a text, 64 KiB a line.
func TestCut(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	line := strings.Repeat("-", 64<<10)
	whole := strings.Repeat(strings.Repeat("-", 1023)+"\n", 512)
	for name, c := range map[string]struct {
		src string
		r   *rig.Rig
		bad string
	}{
		"the longest line":   {"x\n" + line, r, ""},
		"a line too long":    {"x\n" + line + "-", r, "f:2:65536: the line is longer than 65536 bytes"},
		"the longest text":   {whole, r, ""},
		"a text too long":    {whole + "-", r, "f:1:1: the text is longer than 524288 bytes"},
		"a text for no rig":  {"x", nil, "f:1:1: a tab is read for a rig, and none is named"},
		"no text is no evil": {"", r, ""},
	} {
		lines, err := Cut([]byte(c.src), "f", c.r)
		if c.bad == "" && err != nil || c.bad != "" && (err == nil || err.Error() != c.bad || lines != nil) {
			t.Errorf("%s: %d lines, error %v, want %q", name, len(lines), err, c.bad)
		}
	}
}

// Columns are runes and places in a fault are bytes: both ways between them.
func TestColumns(t *testing.T) {
	l := NewTextLine(3, "a–é d") // 1, 3, 2, 1 and 1 bytes
	for col, at := range []int{0, 1, 4, 6, 7} {
		if got := l.ByteAt(col); got != at {
			t.Errorf("column %d begins at byte %d, want %d", col, got, at)
		}
		if got := l.column(at); got != col {
			t.Errorf("byte %d begins column %d, want %d", at, got, col)
		}
	}
	plain := NewTextLine(1, "abc")
	for col, at := range map[int]int{-1: 0, 0: 0, 2: 2, 3: 3, 4: 3} {
		if got := plain.ByteAt(col); got != at {
			t.Errorf("plain text, column %d: byte %d, want %d", col, got, at)
		}
	}
	for col, at := range map[int]int{-1: 0, 5: 8, 9: 8} {
		if got := l.ByteAt(col); got != at {
			t.Errorf("column %d: byte %d, want %d", col, got, at)
		}
	}
	if got := plain.column(2); got != 2 {
		t.Errorf("plain text, byte 2: column %d", got)
	}
	for byteAt, col := range map[int]int{0: 1, 4: 5, 8: 9, 20: 9} {
		if f := FaultAt("x.txt", l, byteAt, "odd"); f.Line != 3 || f.Col != col || f.Msg != "odd" || f.File != "x.txt" {
			t.Errorf("a fault at byte %d: %+v, want column %d", byteAt, f, col)
		}
	}
}

// Tokens end at blanks, but for those in quotes and braces.
func TestWords(t *testing.T) {
	l := NewTextLine(1, `é "a b"x {key D {m} n} "open z`)
	want := []Span{{"é", 0, 0}, {`"a b"x`, 3, 2}, {"{key D {m} n}", 10, 9}, {`"open`, 24, 23}, {"z", 30, 29}}
	if got := l.Words(0, 99); !slices.Equal(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := l.Words(2, 9); !slices.Equal(got, []Span{{`"a b"x`, 3, 2}}) {
		t.Errorf("bytes 2 to 9: %+v", got)
	}
	if got := l.Words(10, 15); !slices.Equal(got, []Span{{"{key ", 10, 9}}) {
		t.Errorf("a brace cut off: %+v", got)
	}
	if got := l.Words(31, 99); got != nil {
		t.Errorf("beyond the line: %+v", got)
	}
	if got := NewTextLine(1, "ab é cd").Words(2, 99); !slices.Equal(got, []Span{{"é", 3, 3}, {"cd", 6, 5}}) {
		t.Errorf("columns are counted in runes: %+v", got)
	}
}

// The caret stands under the place, counted in what is seen; of a long line a
// window of 200 bytes around the place is shown, with no rune cut in two.
func TestCaretUnderThePlace(t *testing.T) {
	long := strings.Repeat("-", 150) + "x" + strings.Repeat("=", 150)
	runes := strings.Repeat("é", 75) + "x" + strings.Repeat("ö", 75)
	for name, c := range map[string]struct {
		src       string
		line, col int
		shown     string
		under     int // blanks before the caret; -1 for no caret
	}{
		"the first column":     {"abc\nnext", 1, 1, "abc", 0},
		"the last line":        {"abc\nnext", 2, 3, "next", 2},
		"just after the line":  {"abc", 1, 4, "abc", 3},
		"far after the line":   {"abc", 1, 40, "abc", 3},
		"no column":            {"abc", 1, 0, "abc", 0},
		"runes of two bytes":   {"éèx", 1, 5, "éèx", 2},
		"a line that is none":  {"abc", 2, 1, "", -1},
		"no line":              {"abc", 0, 1, "", -1},
		"near the head":        {long, 1, 101, long[:200], 100},
		"in the middle":        {long, 1, 151, long[50:250], 100},
		"at the end":           {long, 1, 301, long[200:], 100},
		"a line just so long":  {long[:200], 1, 180, long[:200], 179},
		"runes are not cut":    {runes, 1, 152, runes[50:251], 51},
		"a rune cut by either": {"x" + runes, 1, 153, ("x" + runes)[51:252], 51},
		"and a byte before it": {"x" + runes, 1, 152, ("x" + runes)[51:252], 50},
	} {
		want := ""
		if c.under >= 0 {
			want = c.shown + "\n" + strings.Repeat(" ", c.under) + "^"
		}
		f := &fault.Fault{Line: c.line, Col: c.col}
		if got := Caret([]byte(c.src), f); got != want {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
		}
		Show(SplitLines([]byte(c.src)), fault.List{f})
		if f.Shown != want {
			t.Errorf("%s: shown\n%s\nwant\n%s", name, f.Shown, want)
		}
	}
	if got := Caret([]byte("abc"), nil); got != "" {
		t.Errorf("no fault: %q", got)
	}
}

// Frets as they are written.
func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		fret    float64
		shorten bool
		want    string
	}{{5, false, "5"}, {5, true, "5"}, {0, true, "0"}, {5.25, false, "5.25"}, {5.128, true, "5.13"}, {5.128, false, "5.128"}, {5.5, true, "5.50"}} {
		if got := Number(c.fret, c.shorten); got != c.want {
			t.Errorf("%v, short %v: %q, want %q", c.fret, c.shorten, got, c.want)
		}
	}
	// Nodes of a string by their nearest fret: halves of it at 12, thirds at 7,
	// quarters at 5, fifths at 4, sixths at 3 (common practice, no source).
	for fret, want := range map[float64]int8{12: 2, 7: 3, 5: 4, 4: 5, 3: 6, 2: 8, 0: 0, 6: 0, 11: 0, 5.5: 0} {
		if got := NodeAt(fret); got != want {
			t.Errorf("fret %v: harmonic %d, want %d", fret, got, want)
		}
	}
	for _, c := range []struct {
		p     steel.Placement
		frets bool
		want  string
	}{
		{steel.Placement{}, true, "-"}, {steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 5, LastFret: 5}, true, "=1-6:5"},
		{steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 6, LastFret: 5}, true, "F1-3:6/5"},
		{steel.Placement{Kind: steel.Nose, First: 2, Last: 2, FirstFret: 7, LastFret: 7}, true, "N2:7"},
		{steel.Placement{Kind: steel.Nose, First: 2, Last: 2, FirstFret: 7, LastFret: 7}, false, "N2"},
		{steel.Placement{Kind: steel.Split, First: 1, Last: 4, FirstFret: 7, LastFret: 5}, false, "S1-4"},
	} {
		if got := FormatPlacement(c.p, c.frets); got != c.want {
			t.Errorf("%+v: %q, want %q", c.p, got, c.want)
		}
	}
}

func TestBenderSet(t *testing.T) {
	r := &rig.Rig{Benders: []rig.Bender{{Mark: "A"}, {Mark: "B"}, {Mark: "C"}}}
	for _, c := range []struct {
		letters []string
		set     rig.BenderSet
		bad     string
	}{{nil, 0, ""}, {[]string{"A"}, 1, ""}, {[]string{"C", "A"}, 5, ""}, {[]string{"B", "B"}, 2, ""}, {[]string{"B", "Q", "C"}, 2, "Q"}} {
		if set, bad := BenderSet(r, c.letters); set != c.set || bad != c.bad {
			t.Errorf("%q: %b %q, want %b %q", c.letters, set, bad, c.set, c.bad)
		}
	}
}

func TestReadChord(t *testing.T) {
	if c := ReadChord("F#m7b5/E"); c == nil || c.Root.String() != "F#" {
		t.Errorf("F#m7b5/E: %v", c)
	}
	if c := ReadChord("Tune"); c != nil {
		t.Errorf("a word is read as the chord %v", c)
	}
}

// What doesn't hold for the tune as a whole is an error with the file's name.
func TestCheckRead(t *testing.T) {
	g := small(t, "q q")
	tb, faults := g.Derive("x.txt")
	if len(faults) > 0 || CheckRead(tb, "x.txt") != nil {
		t.Fatalf("%v %v", faults, CheckRead(tb, "x.txt"))
	}
	tb.Tune.Bars[0].Len++
	var list fault.List
	if err := CheckRead(tb, "x.txt"); !errors.As(err, &list) || len(list) == 0 || list[0].File != "x.txt" {
		t.Errorf("a bar that is too long: %v", err)
	}
}
