package abc

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/tune"
)

// TestNamesOfDecorations: between plus signs stand names of decorations or, in old files, chords.
func TestNamesOfDecorations(t *testing.T) {
	for s, want := range map[string]bool{
		"trill": true, "zab": true, "ZAB": true, "hAb": true, "abz": true, "HGA": true, "abc": false, "agAG": false, "GAB": false, "fgG": false, "zz": false, "ab": false, "tr1": false, "a b": false, "tr[": false, "tr@": false, "tr{": false, "tr`": false, "": false,
	} {
		if got := isName(s); got != want {
			t.Errorf("%q is a name: %v, want %v", s, got, want)
		}
	}
	for s, want := range map[string]string{
		"D.C.": "D.C.", "da capo": "D.C.", "D.S. al Fine": "D.S.alfine", "D.C. al Coda": "D.C.alcoda", "D.C. al Fine": "D.C.alfine", "Dal Segno al Coda": "D.S.alcoda", "D.S.": "D.S.", "FINE": "fine", "To Coda": "dacoda",
		"D/C": "", "DC7": "", "fin": "", "Ds#": "", "zany": "",
	} {
		if got := spokenSign(s); got != want {
			t.Errorf("%q asks for %q, want %q", s, got, want)
		}
	}
	for s, want := range map[string]string{
		"glide": "g 0 0", "slide": "s -1 0", "chop": "x 0 0", "courtesy": "c 0 0", "scoop=-2": "s -2 0", "scoop=24": "s 24 0", "scoop=-24": "s -24 0", "glide@1": "g 0 1", "glide@64": "g 0 64",
		"scoop=25": "", "scoop=-25": "", "scoop=0": "", "scoop=x": "", "glide@0": "", "glide@65": "", "glide@x": "", "trill": "",
	} {
		j, ok := parseJoin(s)
		got := ""
		if ok {
			got = fmt.Sprintf("%c %d %d", j.kind, j.scoop, j.from)
		}
		if got != want {
			t.Errorf("%q is read as %q, want %q", s, got, want)
		}
	}
}

// TestJoinsFromTheTop: a scoop or glide of one note is of that many from the top.
func TestJoinsFromTheTop(t *testing.T) {
	for from, want := range map[int]string{0: "[true true true]", 1: "[false false true]", 2: "[false true false]", 3: "[true false false]", 4: "[false false false]"} {
		notes := make([]tune.Note, 3)
		b := &book{}
		join{kind: 'g', from: from}.apply(b, notes, 1, 1)
		got := fmt.Sprint([]bool{notes[0].Glide, notes[1].Glide, notes[2].Glide})
		if got != want || (len(b.warnings) > 0) != (from == 4) {
			t.Errorf("%d from the top of three: %s, want %s; %v", from, got, want, b.warnings)
		}
	}
}

// TestMacroNotes: the letters h to z are notes as far from n as they are in the alphabet (ABC 2.1,
// section 9.2); notes so many steps over C.
func TestMacroNotes(t *testing.T) {
	for step, want := range map[int]string{0: "C", 6: "B", 7: "c", 13: "b", 14: "c'", 21: "c''", -1: "B,", -7: "C,", -8: "B,,", -14: "C,,", 140: "c" + strings.Repeat("'", 19), 154: "c" + strings.Repeat("'", 20), -140: "C" + strings.Repeat(",", 20), -147: "C" + strings.Repeat(",", 20)} {
		if got := noteAt(step); got != want {
			t.Errorf("%d steps over C: %s, want %s", step, got, want)
		}
	}
	for with, want := range map[string]string{
		"n": "G", "h": "A,", "z": "e'", "o/m/": "A/F/", "!trill!n": "!trill!G", `"no"n`: `"no"G`, "!no!n!on!": "!no!G!on!", "gGn": "gGG", "{o}n": "{A}G",
	} {
		m := &macro{with: with}
		if got := m.moved(4); got != want {
			t.Errorf("%q at G: %q, want %q", with, got, want)
		}
	}
	for _, c := range []struct {
		target, rest string
		want         bool
	}{
		{"~G3", "/2", true}, {"~G3", "2", true}, {"~G3", "", false}, {"~G3", "'", false}, {"~G3", "A", false}, {"~G/", "2", true},
		{"~G", "2", true}, {"~G", "'", true}, {"~G", ",", true}, {"~G", "/", true}, {"~G", "A", false}, {"~n", "2", true}, {"~g'", "'", true}, {"~g'", "2", true}, {"~g,", ",", true}, {"~g,", "a", false},
		{"~", "2", false}, {"~", "'", false},
	} {
		if got := goesOn(c.target, c.rest); got != c.want {
			t.Errorf("%s goes on in %q: %v", c.target, c.rest, got)
		}
	}
}

// TestMacrosOfATune: the longest target is looked for first; what is longer than section 9 lets
// one be is left out.
func TestMacrosOfATune(t *testing.T) {
	ms := &macros{b: &book{file: "x"}}
	for _, s := range []string{"~G=1", "~G3=2", "~G33=3", "~A3=4"} {
		ms.add(s, 1, 1)
	}
	var order []string
	for _, m := range ms.list {
		order = append(order, m.target)
	}
	if got := strings.Join(order, " "); got != "~G33 ~A3 ~G3 ~G" && got != "~G33 ~G3 ~A3 ~G" {
		t.Errorf("looked for in the order %s", got)
	}
	for s, want := range map[string]bool{
		strings.Repeat("v", 31) + "=C":   true,
		strings.Repeat("v", 32) + "=C":   false,
		"~G=" + strings.Repeat("C", 200): true,
		"~G=" + strings.Repeat("C", 201): false,
		"~n3=n":                          true,
		"~n3/2=n":                        true,
		"~nG=n":                          false,
		"~G=":                            false,
		"=C":                             false,
		"~G":                             false,
	} {
		one := &macros{b: &book{file: "x"}}
		if one.add(s, 1, 1); len(one.list) == 1 != want {
			t.Errorf("%.40q is taken: %v", s, !want)
		}
	}
	full := &macros{b: &book{file: "x"}}
	for range maxMacros + 1 {
		full.add("~G=C", 1, 1)
	}
	if len(full.list) != maxMacros {
		t.Errorf("%d macros are taken, want %d", len(full.list), maxMacros)
	}
	for _, c := range []struct {
		macro, in, put string
		took           int
	}{
		{"~n3=n", "~g3", "g", 3}, {"~n3=n", "~g'3", "g'", 4}, {"~n3=n", "~C,3", "C,", 4}, {"~n3=n", "~C,,'3", "C,", 6}, {"~n3=n", "~^g3", "", 0}, {"~n3=n", "~g", "", 0}, {"~n3=n", "~g2", "", 0}, {"~n3=n", "~g32", "", 0}, {"~n3=n", "~", "", 0}, {"~n3=n", "~z3", "", 0}, {"~n3=n", "g3", "", 0},
		{"~n=n", "~g'", "g'", 3}, {"~G=A", "~G", "A", 2}, {"~G=A", "~Gc", "A", 2}, {"~G=A", "~G2", "", 0},
	} {
		one := &macros{b: &book{file: "x"}}
		one.add(c.macro, 1, 1)
		if put, took := one.at(c.in); put != c.put || took != c.took {
			t.Errorf("%s in %s: %q for %d, want %q for %d", c.macro, c.in, put, took, c.put, c.took)
		}
	}
}

// TestFieldsAndComments: what is a field, and what is music that looks like one; a comment begins
// with a percent sign that no backslash stands before.
func TestFieldsAndComments(t *testing.T) {
	for s, want := range map[string]string{
		"T:x": "T x", "T:": "T ", "+:x": "+ x", "a:x": "a x", "z:x": "z x", "A:x": "A x", "Z:x": "Z x", "A:|": "", "z:|": "", "C::D": "", "X::": "", "T:|x": "T |x", "T": "", "": "", "1:x": "", "@:x": "", "[:x": "", "`:x": "", "{:x": "", "T;x": "",
	} {
		letter, value, ok := field(s)
		got := ""
		if ok {
			got = string(letter) + " " + value
		}
		if got != want {
			t.Errorf("%q is the field %q, want %q", s, got, want)
		}
	}
	for s, want := range map[string]string{"ab%c": "ab", "%": "", "a\\%b": "a\\%b", "a\\%b%c": "a\\%b", "ab": "ab", "%a": ""} {
		if got := uncomment(s); got != want {
			t.Errorf("%q without its comment is %q, want %q", s, got, want)
		}
	}
	for s, want := range map[string]bool{"[K:G]": true, "[a:x]": true, "[z:x]": true, "[A:x]": true, "[Z:x]": true, "[K:|": false, "[K::": false, "[1:": false, "[@:x": false, "[`:x": false, "[{:x": false, "[[:x": false, "[KG]": false, "K:G": false} {
		if got := (&scan{s: s}).atField(); got != want {
			t.Errorf("%q is a field: %v", s, got)
		}
	}
	for s, want := range map[string]int{"K:G]": 3, `T:"]"]`: 5, `T:"]`: 3, "K:G": -1} {
		if got := fieldEnd(s); got != want {
			t.Errorf("%q ends at %d, want %d", s, got, want)
		}
	}
	var notes []byte
	for c := range 256 {
		if isNote(byte(c)) {
			notes = append(notes, byte(c))
		}
	}
	if string(notes) != "=ABCDEFG^_abcdefg" {
		t.Errorf("notes begin with %q", notes)
	}
}

// TestNumbers: digits, lengths and lists of endings, at their bounds.
func TestNumbers(t *testing.T) {
	for s, want := range map[string]string{"0": "0 true 1", "9": "9 true 1", "100": "100 true 3", "101": "100 false 3", "1000x": "100 false 4", "": "0 false 0", "x": "0 false 0", "/": "0 false 0", ":": "0 false 0"} {
		m := &scan{s: s}
		n, ok := m.number(100)
		if got := fmt.Sprint(n, ok, m.i); got != want {
			t.Errorf("%q is the number %s, want %s", s, got, want)
		}
	}
	for s, want := range map[string]string{
		"": "1/1 true", "3": "3/1 true", "3/2": "3/2 true", "/": "1/2 true", "//": "1/4 true", "/4": "1/4 true", "/9/": "1/18 true", "3//": "3/4 true", "0": "0/1 false", "/0": "1/1 false", "0/2": "0/2 false", "/:": "1/2 true",
		fmt.Sprint(int64(maxPart)): fmt.Sprintf("%d/1 true", int64(maxPart)), fmt.Sprintf("/%d", int64(maxPart)): fmt.Sprintf("1/%d true", int64(maxPart)), fmt.Sprintf("/%d", int64(maxPart)+1): fmt.Sprintf("1/%d false", int64(maxPart)), fmt.Sprintf("/%d/", int64(maxPart)): fmt.Sprintf("1/%d false", int64(maxPart)),
	} {
		num, den, text, ok := (&scan{s: s}).multiple()
		if got := fmt.Sprintf("%d/%d %v", int64(num), int64(den), ok); got != want || text != strings.TrimRight(s, ":") {
			t.Errorf("%q is the length %s of %q, want %s", s, got, text, want)
		}
	}
	for _, c := range []struct {
		length, num, den, most, want tune.Ticks
		ok                           bool
	}{
		{8, 3, 2, 100, 12, true}, {8, 3, 5, 100, 0, false}, {8, 3, 2, 12, 12, true}, {8, 3, 2, 11, 0, false}, {8, 0, 1, 100, 0, false}, {2, math.MaxInt64 / 2, 1, math.MaxInt64, math.MaxInt64 - 1, true}, {2, math.MaxInt64/2 + 1, 1, math.MaxInt64, 0, false},
	} {
		if got, ok := times(c.length, c.num, c.den, c.most); got != c.want || ok != c.ok {
			t.Errorf("%d·%d/%d is %d, %v", c.length, c.num, c.den, got, ok)
		}
	}
	for s, want := range map[string]string{
		"1": "[1]", "1,3": "[1 3]", "1-3": "[1 2 3]", "3,1": "[1 3]", "1,1": "[1]", "1-2,2-3": "[1 2 3]", "2-2": "[2]", "2-1": "", "0": "", "99": "[99]", "100": "", "1-99": "", "1-100": "", "1,": "[1]", "1,x": "[1]", "1,0": "", "1,9": "[1 9]", "1,:": "[1]", "1,/": "[1]", "x": "",
	} {
		list, ok := (&scan{s: s}).endings()
		got := ""
		if ok {
			got = fmt.Sprint(list)
		}
		if want == "" && s == "1-99" {
			if len(list) != 99 || !ok {
				t.Errorf("%q has %d numbers", s, len(list))
			}
			continue
		}
		if got != want {
			t.Errorf("%q is the list %s, want %s", s, got, want)
		}
	}
}

// TestBrokenRhythmLengths: n dots lengthen by as many halves of halves, and shorten the other note
// to what is left (ABC 2.1, section 4.4).
func TestBrokenRhythmLengths(t *testing.T) {
	for _, c := range []struct {
		length tune.Ticks
		n      int
		want   tune.Ticks
		told   bool
	}{
		{16, 0, 16, false}, {16, 1, 24, false}, {16, -1, 8, false}, {16, 2, 28, false}, {16, -2, 4, false}, {16, 3, 30, false}, {16, -3, 2, false}, {12, 3, 12, true}, {12, -3, 12, true}, {12, 2, 21, false},
	} {
		b := &book{}
		if got := stretch(b, c.length, c.n, 1, 1); got != c.want || (len(b.warnings) > 0) != c.told {
			t.Errorf("%d by %d: %d, want %d; %v", c.length, c.n, got, c.want, b.warnings)
		}
	}
}

// TestTupletsFill: a tuplet that is full ends those inside it along; what a barline cuts begins anew.
func TestTupletsFill(t *testing.T) {
	take := func(ts *tuplets) string {
		it := &item{}
		ts.take(it)
		s := ""
		for _, x := range it.tuplets {
			s += fmt.Sprint(x.Actual)
			if x.Starts {
				s += "("
			}
			if x.Ends {
				s += ")"
			}
		}
		return s
	}
	ts := tuplets{{actual: 3, normal: 2, left: 2}, {actual: 5, normal: 4, left: 3}}
	if got := []string{take(&ts), take(&ts), take(&ts)}; !slices.Equal(got, []string{"3(5(", "3)5)", ""}) || len(ts) != 0 {
		t.Errorf("two notes of a three with a five in it: %q", got)
	}
	ts = tuplets{{actual: 3, normal: 2, left: 3}, {actual: 5, normal: 4, left: 1}}
	if got := []string{take(&ts), take(&ts), take(&ts)}; !slices.Equal(got, []string{"3(5()", "3", "3)"}) {
		t.Errorf("a five of one in a three: %q", got)
	}
	ts = tuplets{{actual: 3, normal: 2, left: 3}}
	it := &item{}
	ts.take(it)
	if !ts.cut(it) || !it.tuplets[0].Ends || ts[0].begun {
		t.Errorf("cut %+v %+v", it, ts)
	}
	if ts.cut(it) {
		t.Errorf("what has not begun again is cut")
	}
	for _, c := range []struct {
		nominal, want tune.Ticks
		tuplets       []tune.Tuplet
		ok            bool
	}{
		{12, 12, nil, true}, {12, 8, []tune.Tuplet{{Actual: 3, Normal: 2}}, true}, {12, 0, []tune.Tuplet{{Actual: 5, Normal: 4}}, false}, {45, 24, []tune.Tuplet{{Actual: 3, Normal: 2}, {Actual: 5, Normal: 4}}, true},
	} {
		it := item{nominal: c.nominal, tuplets: c.tuplets}
		if got, ok := it.length(); got != c.want || ok != c.ok {
			t.Errorf("%d in %v lasts %d, %v", c.nominal, c.tuplets, got, ok)
		}
	}
}

// TestNamedEndings: words over an ending are the one after those that end before it.
func TestNamedEndings(t *testing.T) {
	bar := func(left, right int, endings ...int) *bar {
		b := &bar{}
		b.Left.Repeat, b.Right.Repeat, b.Endings = left, right, endings
		return b
	}
	for name, c := range map[string]struct {
		bars bars
		want int
	}{
		"none":              {nil, 0},
		"a first":           {bars{bar(1, 0), bar(0, 1, 1)}, 1},
		"one and three":     {bars{bar(1, 0), bar(0, 1, 3, 1)}, 3},
		"two bars of one":   {bars{bar(1, 0), bar(0, 0, 1), bar(0, 1)}, 1},
		"a bar after":       {bars{bar(1, 0), bar(0, 1, 1), bar(0, 0)}, 0},
		"a repeat before":   {bars{bar(0, 1, 1), bar(1, 0), bar(0, 0)}, 0},
		"a repeat at once":  {bars{bar(0, 0, 2), bar(1, 1)}, 0},
		"without an ending": {bars{bar(0, 0), bar(0, 1)}, 0},
	} {
		if got := c.bars.endingBefore(); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
}
