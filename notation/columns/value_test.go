package columns

import (
	"strings"
	"testing"

	"lapwright/tune"
)

// The letters of docs/formats/tab-text.md; a note value's length is a whole note
// halved as often as its name says, and each dot adds half of what stands before
// it (common practice, no source).
var values = []struct {
	text  string
	value tune.Value
	len   tune.Ticks
}{
	{"WWW", tune.Value{Log2: -3}, 8 * tune.Whole}, {"WW", tune.Value{Log2: -2}, 4 * tune.Whole}, {"W", tune.Value{Log2: -1}, 2 * tune.Whole},
	{"w", tune.Value{}, tune.Whole}, {"h", tune.Value{Log2: 1}, tune.Whole / 2}, {"q", tune.Value{Log2: 2}, tune.Whole / 4},
	{"e", tune.Value{Log2: 3}, tune.Whole / 8}, {"s", tune.Value{Log2: 4}, tune.Whole / 16}, {"t", tune.Value{Log2: 5}, tune.Whole / 32},
	{"x", tune.Value{Log2: 6}, tune.Whole / 64}, {"n128", tune.Value{Log2: 7}, tune.Whole / 128}, {"n256", tune.Value{Log2: 8}, tune.Whole / 256},
	{"n1024", tune.Value{Log2: 10}, tune.Whole / 1024},
	{"q.", tune.Value{Log2: 2, Dots: 1}, 3 * tune.Whole / 8}, {"h..", tune.Value{Log2: 1, Dots: 2}, 7 * tune.Whole / 8},
	{"w...", tune.Value{Dots: 3}, 15 * tune.Whole / 8}, {"WW.", tune.Value{Log2: -2, Dots: 1}, 6 * tune.Whole},
}

func TestValues(t *testing.T) {
	for _, c := range values {
		if got := FormatValue(c.value); got != c.text {
			t.Errorf("%+v: %q, want %q", c.value, got, c.text)
		}
		for _, rest := range []string{"", " q", ":1,2", "]"} {
			if got, n := ScanValue(c.text + rest); got != c.value || n != len(c.text) {
				t.Errorf("%q: %+v, %d bytes; want %+v, %d", c.text+rest, got, n, c.value, len(c.text))
			}
		}
		if got, ok := parseTicks(c.text); !ok || got != c.len {
			t.Errorf("%q: %v %v, want %v", c.text, got, ok, c.len)
		}
		if got := formatTicks(c.len); got != c.text {
			t.Errorf("%v: %q, want %q", c.len, got, c.text)
		}
	}
	for text, want := range map[string]struct {
		v tune.Value
		n int
	}{
		"": {}, "k": {}, ".": {}, "1": {}, "n": {}, "n64": {}, "n128x": {tune.Value{Log2: 7}, 4}, "n2048": {}, "n100": {}, "n:128": {}, "n/128": {},
		"WWWW": {tune.Value{Log2: -3}, 3}, "q....": {tune.Value{Log2: 2, Dots: 3}, 4}, "n12": {},
	} {
		if v, n := ScanValue(text); v != want.v || n != want.n {
			t.Errorf("%q: %+v %d, want %+v %d", text, v, n, want.v, want.n)
		}
	}
}

func TestFractions(t *testing.T) {
	for text, want := range map[string]tune.Ticks{"0": 0, "1": tune.Whole, "3/8": 3 * tune.Whole / 8, "5/16": 5 * tune.Whole / 16, "0/4": 0, "12/1": 12 * tune.Whole} {
		if got, ok := ParseFraction(text); !ok || got != want {
			t.Errorf("%q: %v %v, want %v", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "/", "1/", "/4", "-1/4", "1/0", "1/-4", "a", "1/b", "1/4/2", "1.5", "1/1000003"} {
		if got, ok := ParseFraction(text); ok {
			t.Errorf("%q: %v, want none", text, got)
		}
		if got, ok := parseTicks(text); ok {
			t.Errorf("%q: %v, want none", text, got)
		}
	}
	if got := formatTicks(5 * tune.Whole / 16); got != "5/16" {
		t.Errorf("five sixteenths, which no single value has: %q", got)
	}
	if _, ok := parseTicks("qq"); ok {
		t.Error(`"qq" is read as one value`)
	}
}

func TestMeters(t *testing.T) {
	for text, want := range map[string]tune.Meter{
		"3/4": {Beats: 3, Unit: 4}, "1/1": {Beats: 1, Unit: 1}, "free": {}, "2+2+3/8": {Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}, "4/4 C": {Beats: 4, Unit: 4, Symbol: "C"},
		"2/2 C|": {Beats: 2, Unit: 2, Symbol: "C|"}, "12/16": {Beats: 12, Unit: 16},
	} {
		got, err := ParseMeter(text)
		if err != nil || !got.Equal(want) {
			t.Errorf("%q: %+v %v, want %+v", text, got, err, want)
		}
		if back := FormatMeter(want); back != text {
			t.Errorf("%+v: %q, want %q", want, back, text)
		}
	}
	most, err := ParseMeter(FormatMeter(tune.Meter{Beats: tune.MaxBeats, Unit: tune.MaxUnit}))
	if err != nil || most.Beats != tune.MaxBeats || most.Unit != tune.MaxUnit {
		t.Errorf("the longest meter: %+v %v", most, err)
	}
	// The signs for common time and for cut time, alone.
	for text, want := range map[string]tune.Meter{"C": {Beats: 4, Unit: 4, Symbol: "C"}, "C|": {Beats: 2, Unit: 2, Symbol: "C|"}} {
		if got, err := ParseMeter(text); err != nil || !got.Equal(want) {
			t.Errorf("%q: %+v %v, want %+v", text, got, err, want)
		}
	}
	for _, text := range []string{
		"", "3", "/", "3/", "/4", "0/4", "-3/4", "3/0", "3/3", "3/6", "3/-4", "3/x", "x/4", "2++3/8", "2+0/8", "3/4 D", "3/4 C C", "free 4", "free free",
		FormatMeter(tune.Meter{Beats: tune.MaxBeats + 1, Unit: 4}), FormatMeter(tune.Meter{Beats: 4, Unit: 2 * tune.MaxUnit}),
		FormatMeter(tune.Meter{Unit: 4, Beats: 1, Groups: []int{tune.MaxBeats, 1}}),
	} {
		if got, err := ParseMeter(text); err == nil || !strings.Contains(err.Error(), "is not a meter") {
			t.Errorf("%q: %+v %v, want none", text, got, err)
		}
	}
}

func TestTempos(t *testing.T) {
	for text, want := range map[string]tune.Tempo{
		`q=120`: {Beat: tune.Whole / 4, PerMinute: 120_000}, `q.=62.5 "Slowly"`: {Beat: 3 * tune.Whole / 8, PerMinute: 62_500, Text: "Slowly"},
		`"Slowly"`: {Text: "Slowly"}, `5/16=80.125`: {Beat: 5 * tune.Whole / 16, PerMinute: 80_125}, `h=0`: {Beat: tune.Whole / 2}, `0=60`: {PerMinute: 60_000},
		`""`: {}, `q=60 "= \"so\""`: {Beat: tune.Whole / 4, PerMinute: 60_000, Text: `= "so"`}, `q=60.05`: {Beat: tune.Whole / 4, PerMinute: 60_050},
	} {
		if got, err := ParseTempo(text); err != nil || got != want {
			t.Errorf("%s: %+v %v, want %+v", text, got, err, want)
		}
		if got := FormatTempo(want); got != text {
			t.Errorf("%+v: %s, want %s", want, got, text)
		}
	}
	most := tune.Tempo{Beat: tune.Whole / 4, PerMinute: tune.MaxPerMinute}
	if got, err := ParseTempo(FormatTempo(most)); err != nil || got != most {
		t.Errorf("the fastest: %+v %v", got, err)
	}
	for _, text := range []string{
		``, `q`, `q=`, `=120`, `k=120`, `q=x`, `q=-1`, `q=1.`, `q=1.2345`, `q=1.x`, `q=1.-2`, `q=120 "a" b`, `q=120 "a`, `"a"b`,
		FormatTempo(tune.Tempo{Beat: tune.Whole / 4, PerMinute: tune.MaxPerMinute + 1000}),
	} {
		if got, err := ParseTempo(text); err == nil || !strings.Contains(err.Error(), "is not a tempo") {
			t.Errorf("%s: %+v %v, want none", text, got, err)
		}
	}
}

func TestQuotedTexts(t *testing.T) {
	for _, s := range []string{"", "Low Tide", `a "quoted" one`, "two\nlines", "naïve – Føroyar", `back\slash`} {
		q := Quote(s)
		if got, n, ok := ScanQuoted(q + ` "next"`); !ok || got != s || n != len(q) {
			t.Errorf("%s: %q %d %v, want %q %d", q, got, n, ok, s, len(q))
		}
	}
	for _, s := range []string{"", "x", `"open`, "'a'", "`raw`", ` "late"`} {
		if got, _, ok := ScanQuoted(s); ok {
			t.Errorf("%s: %q, want none", s, got)
		}
	}
}

// Where beams end, by the rules of docs/formats/tab-text.md. In 6/8 a felt beat
// is a dotted quarter (common practice, no source).
func TestBeamed(t *testing.T) {
	line := func(text string) (out []tune.Event, at tune.Ticks) {
		for _, w := range strings.Fields(text) {
			v, _ := ScanValue(w)
			out = append(out, tune.Event{At: at, Len: v.Len(), Value: v})
			at += v.Len()
		}
		return out, at
	}
	four, six := tune.Meter{Beats: 4, Unit: 4}, tune.Meter{Beats: 6, Unit: 8}
	for _, c := range []struct {
		meter      tune.Meter
		rule, text string
		want       string // x where a beam ends
	}{
		{four, BeamBeats, "e e s s e q e e", ".x..xx.x"},
		{four, BeamBeats, "e q e q q", ".xxxx"}, // a quarter has no beam, though no beat ends with it
		{four, beamPlain, "e q e q q", "..xxx"},
		{four, beamHalves, "e e e e e e e e", "...x...x"},
		{four, beamBars, "e e e e e e e e", ".......x"},
		{six, BeamBeats, "e e e e e e", "..x..x"},
		{six, beamHalves, "e e e e e e", "..x..x"},
		{six, beamPlain, "s s e e e s s e", "...x...x"},
	} {
		events, length := line(c.text)
		got := ""
		for _, end := range Beamed(&tune.Bar{Meter: c.meter, Len: length, Lines: [][]tune.Event{nil, events}}, 1, c.rule) {
			got += map[bool]string{false: ".", true: "x"}[end]
		}
		if got != c.want {
			t.Errorf("%s in %s by %q: %s, want %s", c.text, FormatMeter(c.meter), c.rule, got, c.want)
		}
	}
}
