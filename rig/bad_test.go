package rig

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"lapwright/fault"
)

// goodRig is a small rig that reads; the table below spoils it one place at a time.
const goodRig = `name = "class-three"
title = "Three strings for the evening class"
body = "lap steel"
styles = ["blues"]
scale = "22.5 in"
frets = 24
nut_spread = "20 mm"
bridge_spread = "24 mm"
reference = 440.0

[steel]
length = "70 mm"
diameter = "20 mm"

[capo]
highest = 5

[[string]]
pitch = "D4"
gauge = "0.016 in"
material = "music wire"

[[string]]
pitch = "B3"
gauge = "0.018 in"
material = "music wire"

[[string]]
pitch = "G3"
gauge = "0.026 in"
wound = true
material = "phosphor bronze"
core_ratio = 0.5

[[bender]]
name = "palm 1"
mark = "A"
kind = "palm"
moves = [{ string = 2, semitones = 1 }]
`

// badRigs spoil goodRig: old is replaced by new, in which « stands before the
// place that must be named, and say must be in the message.
var badRigs = []struct{ name, old, new, say string }{
	{"negative gauge", `"0.016 in"`, `«"-0.016 in"`, `"-0.016 in" is not`},
	{"zero gauge", `"0.016 in"`, `«"0 in"`, `above zero`},
	{"gauge a hundred times too thick", `"0.016 in"`, `«"1.6 in"`, `outside what strings are made in`},
	{"plain string too thick", `"0.016 in"`, `«"0.042 in"`, `is it wound`},
	{"wound thinner than its core", `core_ratio = 0.5`, `core_diameter = «"0.030 in"`, `thicker than its core`},
	{"core as thick as the string", `core_ratio = 0.5`, `core_ratio = «1.0`, `thicker than its core`},
	{"core given twice", `core_ratio = 0.5`, "core_ratio = 0.5\ncore_diameter = «\"0.013 in\"", `given twice`},
	{"core ratio not a number", `core_ratio = 0.5`, `core_ratio = «nan`, `"nan"`},
	{"core ratio infinite", `core_ratio = 0.5`, `core_ratio = «inf`, `"inf"`},
	{"no core ratio", "material = \"phosphor bronze\"\ncore_ratio = 0.5", `material = "phosphor bronze"`, `needs its core`},
	{"core on a plain string", `gauge = "0.018 in"`, "gauge = \"0.018 in\"\ncore_ratio = «0.4", `no core`},
	{"square core", `core_ratio = 0.5`, "core_ratio = 0.5\ncore = «\"square\"", `"square"`},
	{"pitch out of range", `pitch = "D4"`, `pitch = «"D9"`, `"D9" is outside C1 to C7`},
	{"pitch that is none", `pitch = "D4"`, `pitch = «"H4"`, `"H4" is not a note name`},
	{"pitch without an octave", `pitch = "D4"`, `pitch = «"D"`, `octave`},
	{"zero scale", `"22.5 in"`, `«"0 in"`, `a scale of "0 in" is outside 250 mm to 1000 mm`},
	{"negative scale", `"22.5 in"`, `«"-25 in"`, `a scale of "-25 in"`},
	{"NaN scale", `"22.5 in"`, `«"nan in"`, `"nan in" is not a length`},
	{"scale without a unit", `"22.5 in"`, `«"22.5"`, `"22.5" is not a length`},
	{"scale as a bare number", `"22.5 in"`, `«22.5`, `in quotes with its unit`},
	{"scale in miles", `"22.5 in"`, `«"22.5 mi"`, `the unit "mi"`},
	{"scale beyond all numbers", `"22.5 in"`, `«"1e999 in"`, `out of range`},
	{"unknown material", `material = "phosphor bronze"`, `material = «"string cheese"`, `unknown material "string cheese"`},
	{"plain string of bronze", `material = "music wire"`, `material = «"phosphor bronze"`, `a plain string is of steel`},
	{"unknown body", `"lap steel"`, `«"bathtub"`, `unknown body "bathtub"`},
	{"unknown key", `frets = 24`, "frets = 24\n«colour = \"red\"", `unknown key "colour"`},
	{"unknown key of a string", `pitch = "B3"`, "pitch = \"B3\"\n«thickness = \"1 mm\"", `unknown key "thickness"`},
	{"unknown key of a move", `semitones = 1 }`, `semitones = 1, «cents = 3 }`, `unknown key "cents"`},
	{"unknown table", `[capo]`, `[«pickup]`, `unknown key "pickup"`},
	{"unknown list of tables", `[[bender]]`, `[[«lever]]`, `unknown key "lever"`},
	{"key given twice", `frets = 24`, "frets = 24\n«frets = 25", `frets`},
	{"table given twice", `[capo]`, "[steel]\n[capo]", ``},
	{"fraction of a fret", `frets = 24`, `frets = «24.5`, `whole number`},
	{"no frets", `frets = 24`, `frets = «0`, `"0" frets`},
	{"frets beyond counting", `frets = 24`, `frets = «9000000000000000000`, `whole number`},
	{"integer too long", `frets = 24`, `frets = «99999999999999999999999`, ``},
	{"text for a number", `reference = 440.0`, `reference = «"440"`, `reference is a number`},
	{"reference out of range", `reference = 440.0`, `reference = «880.0`, `"880.0" Hz`},
	{"reference not a number", `reference = 440.0`, `reference = «nan`, `"nan" Hz`},
	{"number for a text", `title = "Three strings for the evening class"`, `title = «3`, `a text in quotes`},
	{"date for a text", `title = "Three strings for the evening class"`, `title = «2026-01-01`, `a text in quotes`},
	{"empty title", `"Three strings for the evening class"`, `«""`, `title`},
	{"two lines of title", `"Three strings for the evening class"`, `«"a\nb"`, `one line`},
	{"name with a slash", `"class-three"`, `«"../etc"`, `small letters`},
	{"number for truth", `wound = true`, `wound = «1`, `true or false`},
	{"text for a list", `styles = ["blues"]`, `styles = «"blues"`, `not a list`},
	{"number in a list of texts", `styles = ["blues"]`, `styles = ["blues", «7]`, `a style is a text`},
	{"list for a table", "[steel]\nlength = \"70 mm\"\ndiameter = \"20 mm\"", "steel = «[1]", `not a table`},
	{"no steel", "[steel]\nlength = \"70 mm\"\ndiameter = \"20 mm\"\n", "", `no key "steel"`},
	{"no steel length", "length = \"70 mm\"\n", "", `[steel] has no key "length"`},
	{"no pitch", "pitch = \"B3\"\n", "", `[string[2]] has no key "pitch"`},
	{"tiny steel", `"70 mm"`, `«"7 mm"`, `a steel length of "7 mm"`},
	{"slant past square", `diameter = "20 mm"`, "diameter = \"20 mm\"\nmax_slant = «90", `"90" degrees`},
	{"negative mass", `diameter = "20 mm"`, "diameter = \"20 mm\"\nmass = «\"-3 g\"", `"-3 g"`},
	{"capo beyond the frets", `highest = 5`, `highest = «24`, `"24"`},
	{"another kind of capo", `highest = 5`, "highest = 5\nkind = «\"screwed\"", `unknown kind of capo "screwed": it is "sliding" or "clamp"`},
	{"a kind of capo that is no text", `highest = 5`, "highest = 5\nkind = «2", `kind is a text in quotes`},
	{"capo above its highest", `highest = 5`, "highest = 5\nat = «6", `"6"`},
	{"bender of a string that is not there", `string = 2,`, `string = «4,`, `no string "4"`},
	{"bender that bends nothing", `semitones = 1 }`, `semitones = «0 }`, `"0" semitones`},
	{"bender out of reach", `semitones = 1 }`, `semitones = «12 }`, `"12" semitones`},
	{"bender without moves", `moves = [{ string = 2, semitones = 1 }]`, `moves = «[]`, `moves no string`},
	{"one string bent twice", `semitones = 1 }`, `semitones = 1 }, { string = «2, semitones = 2 }`, `twice`},
	{"long mark", `mark = "A"`, `mark = «"AB"`, `one capital letter`},
	{"unknown limb", `kind = "palm"`, `kind = «"tail"`, `unknown kind of bender "tail"`},
	{"load limit without a source", `frets = 24`, "frets = 24\nload_limit = «\"900 N\"", `no source`},
	{"source without a load limit", `frets = 24`, "frets = 24\nload_limit_source = «\"maker\"", `not given`},
	{"negative load limit", `frets = 24`, "frets = 24\nload_limit = «\"-900 N\"\nload_limit_source = \"maker\"", `"-900 N"`},
	{"mass per length of a ship's cable", `gauge = "0.016 in"`, "gauge = \"0.016 in\"\nmass_per_length = «\"3 kg/m\"", `"3 kg/m"`},
	{"open quote", `"lap steel"`, `"lap steel«`, `new lines`},
	{"no value", `frets = 24`, `frets = `, ``},
	{"no strings", goodRig[strings.Index(goodRig, "[[string]]"):], "", `no strings`},
}

// Every spoiled rig gives an error with the line and column of what is wrong.
func TestBadRigs(t *testing.T) {
	if _, err := Parse([]byte(goodRig), "good.toml"); err != nil {
		t.Fatalf("the unspoiled rig does not read: %v", err)
	}
	for _, c := range badRigs {
		if strings.Count(goodRig, c.old) == 0 {
			t.Errorf("%s: %q is not in the good rig", c.name, c.old)
			continue
		}
		marked := strings.Replace(goodRig, c.old, c.new, 1)
		src := strings.Replace(marked, "«", "", 1)
		r, err := Parse([]byte(src), "bad.toml")
		// A byte order mark before it moves nothing.
		if _, marked := Parse([]byte("\ufeff"+src), "bad.toml"); err != nil && (marked == nil || marked.Error() != err.Error()) {
			t.Errorf("%s: with a byte order mark %v, without %v", c.name, marked, err)
		}
		if err == nil || r != nil {
			t.Errorf("%s: it was read: %v", c.name, r)
			continue
		}
		var list fault.List
		if !errors.As(err, &list) || len(list) == 0 {
			t.Errorf("%s: the error is no list of faults: %v", c.name, err)
			continue
		}
		f := list[0]
		if f.Line < 1 || f.Col < 1 || f.File != "bad.toml" {
			t.Errorf("%s: no place in %q", c.name, f.Error())
		}
		if i := strings.Index(marked, "«"); i >= 0 {
			line := 1 + strings.Count(marked[:i], "\n")
			col := i - strings.LastIndexByte(marked[:i], '\n')
			if f.Line != line || f.Col != col {
				t.Errorf("%s: got %q, want it at %d:%d", c.name, f.Error(), line, col)
			}
		}
		if !strings.Contains(f.Msg, c.say) {
			t.Errorf("%s: got %q, want it to say %q", c.name, f.Msg, c.say)
		}
		if strings.Contains(f.Msg, "\n") || strings.HasSuffix(f.Msg, ".") {
			t.Errorf("%s: the message %q is not one line without a full stop", c.name, f.Msg)
		}
	}
}

// Files that are no rig at all: one clear error each, and quickly.
func TestNoRigs(t *testing.T) {
	many := strings.Replace(goodRig, "[[bender]]", strings.Repeat("[[string]]\npitch = \"D4\"\ngauge = \"0.016 in\"\nmaterial = \"music wire\"\n", 197)+"\n[[bender]]", 1)
	for name, c := range map[string]struct{ src, say string }{
		"empty":          {"", `no key "name"`},
		"white space":    {" \n\n\t\n", `no key "name"`},
		"binary":         {"\x00\x01\x02\xff\xfe", "not UTF-8"},
		"not UTF-8":      {"name = \"caf\xe9\"\n", `byte "\xe9" is not UTF-8`},
		"prose":          {"Dear maker, please find my rig below.", ""},
		"truncated":      {goodRig[:len(goodRig)/2-3], ""},
		"200 strings":    {many, `"200" strings, and 16 is the most`},
		"enormous":       {strings.Repeat("# and so on\n", 200_000), "at most"},
		"deep lists":     {"a = " + strings.Repeat("[", 60_000), ""},
		"closed lists":   {"a = " + strings.Repeat("[", 30_000) + strings.Repeat("]", 30_000), ""},
		"closed tables":  {"a = " + strings.Repeat("{a=", 15_000) + "1" + strings.Repeat("}", 15_000), ""},
		"deep tables":    {"a = " + strings.Repeat("{a=", 20_000), ""},
		"long dotted":    {strings.Repeat("a.", 30_000) + "a = 1", ""},
		"5000 tables":    {strings.Repeat("[[string]]\n", 5_000), ""},
		"control":        {"name = \"a\x01b\"", ""},
		"carriage":       {"name = 1\rtitle = 2", ""},
		"string as list": {"string = 3\n" + goodRig[:strings.Index(goodRig, "[[string]]")], "not a list"},
	} {
		r, err := Parse([]byte(c.src), "bad.toml")
		if err == nil || r != nil {
			t.Errorf("%s: it was read", name)
			continue
		}
		var list fault.List
		if !errors.As(err, &list) || len(list) == 0 || !strings.Contains(list[0].Msg, c.say) {
			t.Errorf("%s: got %v, want a list of faults that says %q", name, err, c.say)
		}
	}
}

// A letter saved in an old form of text is named by line and column, counted in bytes from 1.
func TestPlaceOfWhatIsNoText(t *testing.T) {
	for src, want := range map[string]string{
		"\xe9":                                  "1:1",
		"name = \"caf\xe9\"\n":                  "1:12",
		"name = \"a\"\n\n  tuning = \"\xe9\"\n": "3:13",
	} {
		_, err := Parse([]byte(src), "bad.toml")
		var list fault.List
		if !errors.As(err, &list) || len(list) != 1 || fmt.Sprintf("%d:%d", list[0].Line, list[0].Col) != want {
			t.Errorf("%q: %v, want it at %s", src, err, want)
		}
	}
}

// A byte order mark, as some editors put before a text, is passed over.
func TestByteOrderMark(t *testing.T) {
	want, err := Parse([]byte(goodRig), "a")
	if err != nil {
		t.Fatal(err)
	}
	got, err := Parse([]byte("\ufeff"+goodRig), "a")
	if err != nil || !cmp.Equal(got, want) {
		t.Errorf("with a byte order mark: %v\n%s", err, cmp.Diff(want, got))
	}
}

// The steel was once called [bar]. Such files are read for good, with a hint,
// and what is wrong in them is said where it stands.
func TestSteelCalledBar(t *testing.T) {
	want, warned, err := Read([]byte(goodRig), "new.toml")
	if err != nil || len(warned) > 0 {
		t.Fatalf("%v, %v", err, warned)
	}
	old := strings.Replace(goodRig, "[steel]", "[bar]", 1)
	got, warned, err := Read([]byte(old), "old.toml")
	if err != nil || !cmp.Equal(got, want) {
		t.Fatalf("%v\n%s", err, cmp.Diff(want, got))
	}
	// Line 11 is [bar]; its name begins in column 2.
	if len(warned) != 1 || warned[0].Error() != `old.toml:11:2: "bar" is read as the steel` || !strings.Contains(warned[0].Hint, "[steel]") {
		t.Errorf("warned %v, with the hint %q", warned, warned[0].Hint)
	}
	for name, c := range map[string]struct{ old, new, want string }{
		"out of range": {`"70 mm"`, `"7 mm"`, `old.toml:12:10: a steel length of "7 mm" is outside 20 mm to 200 mm`},
		"unknown key":  {`diameter = "20 mm"`, `width = "20 mm"`, `old.toml:13:1: unknown key "width"`},
		"both":         {"[capo]", "[steel]\nlength = \"70 mm\"\ndiameter = \"20 mm\"\n\n[capo]", `old.toml:11:2: the steel is given twice, as [steel] and as [bar]`},
	} {
		_, err := Parse([]byte(strings.Replace(old, c.old, c.new, 1)), "old.toml")
		var list fault.List
		if !errors.As(err, &list) || !slices.ContainsFunc(list, func(f *fault.Fault) bool { return f.Error() == c.want }) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}

// A tuning's name that the strings do not fit is a warning, at the name.
func TestTuningsName(t *testing.T) {
	// High open G is G B D (common practice, no source).
	const gBD = "D4 B3 G3"
	for _, c := range []struct{ tuning, pitches, say string }{
		{"open G", gBD, ""},
		{"high open G", gBD, ""},
		{"class tuning", gBD, ""}, // no chord is named
		{"", gBD, ""},
		{"G with a low B", gBD, ""},
		{"open G", "D4 C4 G3", `do not sound the chord of the tuning "open G"`},
		{"open G", "D4 B3 G3 F#3", `string 4, F#3, is no tone of the chord of the tuning "open G"`},
		{"open D", gBD, `do not sound the chord of the tuning "open D"`},
		{"open G7", "D4 B3 G3", `no string is tuned to F, a tone of the chord of the tuning "open G7"`},
		{"G6", "E4 D4 B3 G3", ""},
		{"G6", "E4 D4 B3 G3 F#3", ""}, // one more string than the chord has is usual
		{"C6", gBD, `do not sound the chord of the tuning "C6"`},
	} {
		var b strings.Builder
		head, _, _ := strings.Cut(goodRig, "[[string]]")
		fmt.Fprintf(&b, "tuning = %q\n%s", c.tuning, head)
		for _, p := range strings.Fields(c.pitches) {
			fmt.Fprintf(&b, "[[string]]\npitch = %q\ngauge = \"0.018 in\"\nmaterial = \"music wire\"\n", p)
		}
		_, warned, err := Read([]byte(b.String()), "named.toml")
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case c.say == "" && len(warned) > 0:
			t.Errorf("%q with %s: %v", c.tuning, c.pitches, warned)
		case c.say != "" && (len(warned) != 1 || warned[0].Line != 1 || warned[0].Col != 10 || !strings.Contains(warned[0].Msg, c.say)):
			t.Errorf("%q with %s: %v, want %s at 1:10", c.tuning, c.pitches, warned, c.say)
		}
	}
	for _, name := range builtinOrder {
		src, _ := BuiltinSource(name)
		if _, warned, err := Read(src, name); err != nil || len(warned) > 0 {
			t.Errorf("%s: %v %v", name, warned, err)
		}
	}
}

// Windows line ends read the same.
func TestLineEnds(t *testing.T) {
	a, err := Parse([]byte(goodRig), "a")
	if err != nil {
		t.Fatal(err)
	}
	b, err := Parse(bytes.ReplaceAll([]byte(goodRig), []byte("\n"), []byte("\r\n")), "a")
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(a) != fmt.Sprint(b) {
		t.Errorf("got %v, want %v", b, a)
	}
}

// Check returns the faults of a rig that was made in memory.
func TestCheckInMemory(t *testing.T) {
	r, _ := Builtin("reso-open-g")
	r.Strings[2].Wire.Diameter = -1
	l := r.Check()
	if len(l) != 1 || l[0].Str != 3 || !strings.Contains(l[0].Msg, `string 3: a gauge is above zero`) {
		t.Errorf("got %v, want one fault of string 3", l)
	}
	if (&Rig{}).Check() == nil {
		t.Errorf("an empty rig passes")
	}
}
