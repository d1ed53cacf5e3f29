package typed

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// heard tells a tab in a line a bar: when each note or rest begins, frets by string, how a
// note begins, and how long it is written.
func heard(tb *tab.Tab) string {
	byBar := strokesByBar(tb)
	var bars []string
	for i := range tb.Tune.Bars {
		b := &tb.Tune.Bars[i]
		var words []string
		for _, e := range b.Lines[0] {
			w := e.At.String()
			if e.Kind == tune.Rest {
				w += " rest"
			}
			for _, s := range byBar[i] {
				if s.At != e.At {
					continue
				}
				for _, p := range s.Plucks {
					w += " " + map[tab.Attack]string{tab.Tied: "_", tab.Glided: "/", tab.Hammered: "h", tab.PulledOff: "p", tab.Harmonic: "*"}[p.Attack] + fmt.Sprintf("%g", p.Fret)
					if p.Scoop != 0 {
						w += fmt.Sprintf("<%g", p.Scoop)
					}
					if p.Damp {
						w += "x"
					}
					if p.Vibrato {
						w += "~"
					}
				}
			}
			w += " " + e.Len.String()
			for _, x := range e.Tuplets {
				w += map[bool]string{true: " ["}[x.Starts] + map[bool]string{true: " ]"}[x.Ends]
			}
			words = append(words, w)
		}
		for _, c := range b.Chords {
			words = append(words, c.Text+"@"+c.At.String())
		}
		bars = append(bars, strings.Join(words, ", "))
	}
	return strings.Join(bars, "; ")
}

// TestRhythm: lengths by letters over the numbers, by counted beats, or by the spacing;
// letters over nothing are rests, and a number without a letter or a count has the bar
// read by its spacing (common practice, no source).
func TestRhythm(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for name, c := range map[string]struct{ above, line, want, told string }{
		"letters":                {"   q   e e h", "|-0---2-5-7-------|", "0 0 1/4, 1/4 2 1/8, 3/8 5 1/8, 1/2 7 1/2", ""},
		"a rest by its sign":     {"   q   rq  h", "|-0-------7-------|", "0 0 1/4, 1/4 rest 1/4, 1/2 7 1/2", ""},
		"a rest by no number":    {"   q   q   h", "|-0-------7-------|", "0 0 1/4, 1/4 rest 1/4, 1/2 7 1/2", `the letter "q" stands over no number: taken as a rest`},
		"a rest at the end":      {"   q   q   h", "|-0---2-----------|", "0 0 1/4, 1/4 2 1/4, 1/2 rest 1/2", `the letter "h" stands over no number`},
		"a rest at the start":    {"   q   q   h", "|-----2---7-------|", "0 rest 1/4, 1/4 2 1/4, 1/2 7 1/2", `the letter "q" stands over no number`},
		"triplets":               {"   e3 e3 e3 q h", "|-0--2--5--7-0----|", "0 0 1/12 [, 1/12 2 1/12, 1/6 5 1/12 ], 1/4 7 1/4, 1/2 0 1/2", ""},
		"two triplets":           {"   e3 e3 e3 e3 e3 e3 h", "|-0--2--5--7--9--5--0---|", "0 0 1/12 [, 1/12 2 1/12, 1/6 5 1/12 ], 1/4 7 1/12 [, 1/3 9 1/12, 5/12 5 1/12 ], 1/2 0 1/2", ""},
		"a triplet of two":       {"   q3  e3  q   h", "|-0---2---5---7---|", "0 0 1/6 [, 1/6 2 1/12 ], 1/4 5 1/4, 1/2 7 1/2", ""},
		"a triplet at the end":   {"   h.      e3 e3 e3", "|-0-------2--5--7--|", "0 0 3/4, 3/4 2 1/12 [, 5/6 5 1/12, 11/12 7 1/12 ]", ""},
		"rests before and after": {"   q   q   q   q", "|-----2-----------|", "0 rest 1/4, 1/4 2 1/4, 1/2 rest 1/4, 3/4 rest 1/4", `the letter "q" stands over no number`},
		"a rest told apart":      {"   q   rq  q   q", "|-0-------7-------|", "0 0 1/4, 1/4 rest 1/4, 1/2 7 1/4, 3/4 rest 1/4", `the letter "q" stands over no number`},
		"too few letters":        {"   q   q", "|-0---2---5---7---|", "0 0 1/4, 1/4 2 1/4, 1/2 5 1/4, 3/4 7 1/4", "2 letters for 4 numbers in this bar: its rhythm is taken from the spacing"},
		"too long":               {"   h   h   h", "|-0---2---5-------|", "0 0 1/2, 1/2 2 1/2, 1 5 1/2", "the letters of this bar make 3/2 of a whole note, and the meter 1"},
		"counted":                {"   1   2 & 3", "|-0---2-5-7-------|", "0 0 1/4, 1/4 2 1/8, 3/8 5 1/8, 1/2 7 1/2", ""},
		"counted in fours":       {"   1 e & a 2", "|-0-2-5-7-9-------|", "0 0 1/16, 1/16 2 1/16, 1/8 5 1/16, 3/16 7 1/16, 1/4 9 3/4", ""},
		"counted over rests":     {"   1   2   3   4", "|-----2-------7---|", "0 rest 1/4, 1/4 2 1/2, 3/4 7 1/4", ""},
		"counted beside it":      {" 1   2   3   4", "|-0---2---5---7---|", "0 0 1/4, 1/4 2 1/4, 1/2 5 1/4, 3/4 7 1/4", ""},
		"counted too far":        {"   1 2         4", "|-0-----2-----7---|", "0 0 3/8, 3/8 2 3/8, 3/4 7 1/4", "no count stands over a number of this bar: its rhythm is taken from the spacing"},
		"counted backwards":      {"   1 & 3   2", "|-0-2-5---7-------|", "0 0 1/8, 1/8 2 1/8, 1/4 5 1/4, 1/2 7 1/2", `the count "2" is out of order`},
		"counted twice":          {"   1   & 3", "|-0-2---5---------|", "0 0 1/8, 1/8 2 1/4, 3/8 5 1/2, 7/8 _5 1/8", `the count "1" is out of order`},
		"counted past":           {"   1   2   3   5", "|-0---2---5---7---|", "0 0 1/4, 1/4 2 1/4, 1/2 5 1/4, 3/4 7 1/4", `the count "5" is out of order`},
		"spaced":                 {"", "|-0---2---5-7-----|", "0 0 1/4, 1/4 2 1/4, 1/2 5 1/8, 5/8 7 3/8", "no rhythm is given here"},
		"spaced after a rest":    {"", "|-----2---5-------|", "0 rest 1/4, 1/4 2 1/4, 1/2 5 1/2", ""},
		"nothing":                {"", "|-0---------------|-----------------|", "0 0 1; 0 rest 1", ""},
		"tied over":              {"   q   h.   ", "|-0---2-----------|", "0 0 1/4, 1/4 2 3/4", ""},
		"chords over numbers":    {"   G   C   D7  G", "|-0---5---7---0---|", "0 0 1/4, 1/4 5 1/4, 1/2 7 1/4, 3/4 0 1/4, G@0, C@1/4, D7@1/2, G@3/4", ""},
		"chords beside them":     {"     G     C", "|-0---5---7---0---|", "0 0 1/4, 1/4 5 1/4, 1/2 7 1/4, 3/4 0 1/4, G@0, C@1/2", ""},
		"chords over nothing":    {"   G       C", "|-0---------------|", "0 0 1, G@0, C@1/2", ""},
		"chords of two bars":     {"   G                 C       D", "|-0---------------|-0---------------|", "0 0 1, G@0; 0 0 1, C@0, D@1/2", ""},
		"a chord at the end":     {"   G              C", "|-0---------------|", "0 0 1, G@0, C@3/4", ""},
		"no chord":               {"   G   NC  /   %", "|-0---5---7---0---|", "0 0 1/4, 1/4 5 1/4, 1/2 7 1/4, 3/4 0 1/4, G@0, N.C.@1/4", ""},
		"chords together":        {"      G C", "|-----5-----------|", "0 rest 1/4, 1/4 5 3/4, G@1/4", `the chord "C" falls together with the one before: passed over`},
	} {
		src := "Time: 4/4\nKey: G\n\n" + c.above + "\n" + sixStrings(c.line)
		got, guesses, err := Parse([]byte(src), "rhythm.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if w := heard(got); w != c.want {
			t.Errorf("%s: %q; want %q", name, w, c.want)
		}
		all := ""
		for _, f := range guesses {
			all += f.Error() + "\n"
		}
		if !strings.Contains(all, c.told) || c.told == "" && strings.Contains(all, "letter") || name == "a rest told apart" && strings.Count(all, "stands over no number") != 1 {
			t.Errorf("%s: told\n%s; want %q", name, all, c.told)
		}
	}
}

// TestMarksBetweenNumbers: slides, hammers, pull-offs, notes held on, harmonics, vibrato
// and stops, and what has no sense where it stands (common practice, no source).
func TestMarksBetweenNumbers(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for name, c := range map[string]struct{ line, want, told string }{
		"slide up":            {"|-5---/7---5------|", "0 5 1/4, 1/4 /7 1/4, 1/2 5 1/2", ""},
		"slide down":          {"|-7-\\-5---5-------|", "0 7 1/4, 1/4 /5 1/4, 1/2 5 1/2", ""},
		"slide by s":          {"|-5-s-7---5-------|", "0 5 1/4, 1/4 /7 1/4, 1/2 5 1/2", ""},
		"the other way":       {"|-7-/-5---5-------|", "0 7 1/4, 1/4 /5 1/4, 1/2 5 1/2", `the slide from 7 to 5 goes the other way than '/'`},
		"the other way down":  {"|-5-\\-7---5-------|", "0 5 1/4, 1/4 /7 1/4, 1/2 5 1/2", `the slide from 5 to 7 goes the other way than '\\'`},
		"level":               {"|-5-/-5---5-------|", "0 5 1/4, 1/4 /5 1/4, 1/2 5 1/2", ""},
		"hammered":            {"|-5-h-7---5-------|", "0 5 1/4, 1/4 h7 1/4, 1/2 5 1/2", ""},
		"pulled off":          {"|-7-p-5---5-------|", "0 7 1/4, 1/4 p5 1/4, 1/2 5 1/2", ""},
		"hammer from nothing": {"|-h7------5-------|", "0 7 1/2, 1/2 5 1/2", "with no number before it: read as plucked"},
		"scoop from below":    {"|-/7------5-------|", "0 7<-1 1/2, 1/2 5 1/2", "the slide into 7 is taken to begin one fret away"},
		"scoop from above":    {"|-\\7------5-------|", "0 7<1 1/2, 1/2 5 1/2", "the slide into 7 is taken to begin one fret away"},
		"scoop into the nut":  {"|-/0------5-------|", "0 0 1/2, 1/2 5 1/2", "has nowhere to begin: read as plucked"},
		"into the first":      {"|-/1------5-------|", "0 1<-1 1/2, 1/2 5 1/2", ""},
		"above the last":      {"|-\\24-----5-------|", "0 24 1/2, 1/2 5 1/2", "has nowhere to begin"},
		"held on":             {"|-5---(5)---7-----|", "0 5 1/4, 1/4 _5 3/8, 5/8 7 3/8", "the 5 in brackets is taken as held on"},
		"square brackets":     {"|-5---[5]---7-----|", "0 5 1/4, 1/4 _5 3/8, 5/8 7 3/8", "the 5 in brackets is taken as held on"},
		"curly brackets":      {"|-5---{5}---7-----|", "0 5 1/4, 1/4 _5 3/8, 5/8 7 3/8", "the 5 in brackets is taken as held on"},
		"one of two":          {"|-(5)---5---7-----|", "0 5 3/8, 3/8 5 1/4, 5/8 7 3/8", "the 5 in brackets is taken as played"},
		"in angles, then not": {"|-<12>--12--------|", "0 *12 3/8, 3/8 12 1/2, 7/8 _12 1/8", ""},
		"nine tenths":         {"|-4.9-----7-------|", "0 4.9 1/2, 1/2 7 1/2", ""},
		"a round number":      {"|-4.0-----7-------|", "0 4 1/2, 1/2 7 1/2", ""},
		"quarters of a fret":  {"|-4.25----7-------|", "0 4.25 1/2, 1/2 7 1/2", ""},
		"a small letter":      {"|-5a------7-------|", "0 5 1/2, 1/2 7 1/2", `the rig has no bender "A": passed over`},
		"the last letter":     {"|-5z------7-------|", "0 5 1/2, 1/2 7 1/2", `the rig has no bender "Z": passed over`},
		"down from below":     {"|-\\1------5-------|", "0 1<1 1/2, 1/2 5 1/2", "the slide into 1 is taken to begin one fret away"},
		"played again":        {"|-5---(7)---5-----|", "0 5 1/4, 1/4 7 3/8, 5/8 5 3/8", "the 7 in brackets is taken as played"},
		"bracket first":       {"|-(5)---7---------|", "0 5 3/8, 3/8 7 1/2, 7/8 _7 1/8", "the 5 in brackets is taken as played"},
		"harmonic":            {"|-12*-----5-------|", "0 *12 1/2, 1/2 5 1/2", ""},
		"harmonic in angles":  {"|-<12>----5-------|", "0 *12 1/2, 1/2 5 1/2", ""},
		"no harmonic there":   {"|-11*-----5-------|", "0 11 1/2, 1/2 5 1/2", "no harmonic lies at fret 11: read as a plain note"},
		"after a harmonic":    {"|-12*-/-5---------|", "0 *12 3/8, 3/8 5<-1 1/2, 7/8 _5 1/8", ""},
		"vibrato":             {"|-5~------7-------|", "0 5~ 1/2, 1/2 7 1/2", ""},
		"vibrato further on":  {"|-5-v-----7-------|", "0 5~ 1/2, 1/2 7 1/2", ""},
		"vibrato of nothing":  {"|~5-------7-------|", "0 5 1/2, 1/2 7 1/2", "no number before it"},
		"stopped":             {"|-5'------7-------|", "0 5x 1/2, 1/2 7 1/2", ""},
		"two digits":          {"|-10------12------|", "0 10 1/2, 1/2 12 1/2", ""},
		"three digits":        {"|-100-----5-------|", "0 rest 1/2, 1/2 5 1/2", `"100" is no bar position from 0 to`},
		"above the neck":      {"|-25------5-------|", "0 rest 1/2, 1/2 5 1/2", `"25" is no bar position from 0 to`},
		"on the last fret":    {"|-24------5-------|", "0 24 1/2, 1/2 5 1/2", ""},
		"no such bender":      {"|-5A------7-------|", "0 5 1/2, 1/2 7 1/2", `the rig has no bender "A": passed over`},
		"slide to nowhere":    {"|-5---/-----------|", "0 5 1", "leads to no number: passed over"},
		"strange":             {"|-5---§---7-------|", "0 5 1/2, 1/2 7 1/2", "can't be read here: passed over"},
	} {
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+sixMarked(c.line)), "marks.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if w := heard(got); w != c.want {
			t.Errorf("%s: %q; want %q", name, w, c.want)
		}
		all := ""
		for _, f := range guesses {
			all += f.Error() + "\n"
		}
		if !strings.Contains(all, c.told) {
			t.Errorf("%s: told\n%s; want %q", name, all, c.told)
		}
		if !strings.Contains(c.told, "can't be") && c.told != "no number before it" && strings.Contains(all, "can't be read") {
			t.Errorf("%s: told\n%s", name, all)
		}
	}
}

// sixMarked writes the line of string 1 and five silent ones.
func sixMarked(line string) string {
	silent := []rune(line)
	for i, r := range silent {
		if r != '|' {
			silent[i] = '-'
		}
	}
	out := ""
	for i, n := range []string{"D", "B", "G", "D", "B", "G"} {
		if i > 0 {
			line = string(silent)
		}
		out += n + line + "\n"
	}
	return out
}
