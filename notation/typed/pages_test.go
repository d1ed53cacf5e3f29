package typed

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/notation/columns"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

func told(list fault.List) string {
	var lines []string
	for _, f := range list {
		lines = append(lines, f.Msg)
	}
	return strings.Join(lines, "\n")
}

// TestMetersThatAreNotNamed: the meter is what most bars' letters make, the larger of two
// as common, or what is counted to; else common time.
func TestMetersThatAreNotNamed(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for above, c := range map[string]struct{ line, want, told string }{
		"    q   q   q":                    {"|-0---2---5---|", "3/4", "the letters make 3/4"},
		"    e e e e e":                    {"|-0-2-5-7-0-|", "5/8", "the letters make 5/8"},
		"    e e e e e e":                  {"|-0-2-5-7-0-5-|", "3/4", "the letters make 3/4"},
		"    s s s":                        {"|-0-2-5-|", "3/16", "the letters make 3/16"},
		"    e3 e3 e3 q":                   {"|-0--2--5--7---|", "2/4", "the letters make 2/4"},
		"    q   q   q      q   q   q   q": {"|-0---2---5----|-0---2---5---7---|", "4/4", "the letters make 4/4"},
		"    q   q   q      q   q   q      q   q   q   q": {"|-0---2---5----|-0---2---5----|-0---2---5---7---|", "3/4", "the letters make 3/4"},
		"    h.   h.   h":       {"|-0--|-2--|-5--|", "3/4", "the letters make 3/4"},
		"    1   2   3":         {"|-0---2---5---|", "3/4", "counted to 3, taken as 3/4"},
		"    1   2   3   4   5": {"|-0---2---5---7---5---|", "5/4", "counted to 5, taken as 5/4"},
		"    1":                 {"|-0---2---5---|", "4/4", "no meter is named: taken as 4/4"},
		"    1   1   1":         {"|-0---2---5---|", "4/4", "no meter is named: taken as 4/4"},
		"    G":                 {"|-0---2---5---|", "4/4", "no meter is named: taken as 4/4"},
	} {
		for range 8 { // bars are counted in no order
			got, guesses, err := Parse([]byte("Quay\nKey: G\n\n"+above+"\n"+sixMarked(c.line)), "meter.txt", r)
			if err != nil {
				t.Fatalf("%q: %v", above, err)
			}
			if m := got.Tune.Bars[0].Meter; fmt.Sprintf("%d/%d", m.Beats, m.Unit) != c.want || !strings.Contains(told(guesses), c.told) {
				t.Fatalf("%q: in %d/%d, told\n%s\nwant %s", above, m.Beats, m.Unit, told(guesses), c.want)
			}
		}
	}
}

// TestPickups: a first bar may be shorter than the meter, by its letters or by its width;
// a later one that is shorter, and any that is longer, is told.
func TestPickups(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	const bar = "-0---2---5---7---" // 17 columns
	for name, c := range map[string]struct{ text, want, told string }{
		"a short first bar":  {"   q     q   q   q   q\n" + sixMarked("|-0---|"+bar+"|"), "0:1/4 1:1", ""},
		"a short last bar":   {"   q   q   q   q     q\n" + sixMarked("|"+bar+"|-0---|"), "1:1 2:1/4", "the letters of this bar make 1/4 of a whole note, and the meter 1"},
		"a long first bar":   {"   h.    h.\n" + sixMarked("|-0-----2-----|"), "1:3/2", "the letters of this bar make 3/2"},
		"only one bar":       {"   q\n" + sixMarked("|-0---|"), "1:1/4", ""},
		"narrow":             {sixMarked("|-0---|" + bar + "|" + bar + "|"), "0:1/4 1:1 2:1", "taken as a pickup of 1/4"},
		"three fifths":       {sixMarked("|-0---2------|" + bar + "---|" + bar + "---|"), "0:5/8 1:1 2:1", "taken as a pickup of 5/8"},
		"over three fifths":  {sixMarked("|-0---2-------|" + bar + "---|" + bar + "---|"), "1:1 2:1 3:1", ""},
		"narrow, of two":     {sixMarked("|-0---|" + bar + "|"), "1:1 2:1", ""},
		"narrow in the rear": {sixMarked("|" + bar + "|" + bar + "|-0---|"), "1:1 2:1 3:1", ""},
		"a second system":    {"   q   q   q   q\n" + sixMarked("|"+bar+"|") + "\n   q\n" + sixMarked("|-0---|"), "1:1 2:1/4", "the letters of this bar make 1/4"},
	} {
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+c.text), "pickup.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var bars []string
		for i := range got.Tune.Bars {
			b := &got.Tune.Bars[i]
			bars = append(bars, fmt.Sprintf("%d:%v", b.Number, b.Len))
		}
		said := told(guesses)
		if w := strings.Join(bars, " "); w != c.want || !strings.Contains(said, c.told) || c.told == "" && (strings.Contains(said, "pickup") || strings.Contains(said, "letters of this bar")) {
			t.Errorf("%s: %s, told\n%s\nwant %s", name, w, said, c.want)
		}
	}
}

// TestLinesAboutSystems: what stands over and under the strings, with blank lines or
// without; a rule across the page is nothing.
func TestLinesAboutSystems(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	bar := sixMarked("|-0---2---5---7---|")
	two := sixMarked("|-0---2---5---7---|-0---2---5---7---|")
	for name, c := range map[string]struct{ text, want string }{
		"chords right above":      {"Quay\n\n   G       C\n" + bar, "Quay: 1 G C"},
		"chords, then a blank":    {"Quay\n\n   G       C\n\n" + bar, "Quay: 1 G C"},
		"chords, then two blanks": {"Quay\nslowly\n\n   G       C\n\n\n" + bar, "Quay: 1 G C"},
		"chords and numbers":      {"Quay\n\n   7\n   G       C\n\n" + bar, "Quay: 7 G C"},
		"a rule":                  {"Quay\n----------\n\n" + bar, "Quay: 1"},
		"a rule of two lines":     {"Quay\n----------\n----------\n\n" + bar, "Quay: 1"},
		"a rule between":          {"Quay\n\n" + bar + "\n==========\n\n" + bar, "Quay: 1 /; 2"},
		"words beneath":           {"Quay\n\n" + bar + "end of it\n", "Quay: 1 below \"end of it\""},
		"words beneath, and more": {"Quay\n\n" + bar + "first\n\nsecond\n" + bar, "Quay: 1 below \"first\" /; 2 above \"second\""},
		"chords beneath":          {"Quay\n\n" + bar + "\n   G       C\n" + bar, "Quay: 1 /; 2 G C"},
		"bar numbers":             {"Quay\n\n   5                 6\n" + two, "Quay: 5; 6"},
		"an early number":         {"Quay\n\n 5                 8\n" + two, "Quay: 5; 8"},
		"a part":                  {"Quay\n\n[Verse 2]\n" + bar, "Quay: 1 part Verse 2"},
		"dashes above":            {"Quay\n\n-=_*-\n" + bar, "Quay: 1"},
		"fast":                    {"Quay\n120 bpm\n\n" + two, "Quay: 1 at 120; 2"},
		"at a word":               {"Quay\nTempo: q = 120\n\n" + two, "Quay: 1 at 120; 2"},
	} {
		got, guesses, err := Parse([]byte(c.text), "about.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var bars []string
		for i := range got.Tune.Bars {
			b := &got.Tune.Bars[i]
			w := fmt.Sprint(b.Number)
			for _, x := range b.Tempos {
				w += fmt.Sprint(" at ", x.PerMinute/1000)
				if x.Beat != tune.Whole/4 {
					w += " of " + x.Beat.String()
				}
			}
			for _, x := range b.Chords {
				w += " " + x.Text
			}
			for _, x := range b.Texts {
				w += fmt.Sprintf(" %s %q", map[bool]string{true: "below", false: "above"}[x.Below], x.Text)
			}
			if b.Part != "" {
				w += " part " + b.Part
			}
			if b.LineBreak {
				w += " /"
			}
			bars = append(bars, w)
		}
		if w := got.Tune.Title + ": " + strings.Join(bars, "; "); w != c.want {
			t.Errorf("%s: %s; want %s; told\n%s", name, w, c.want, told(guesses))
		}
	}
}

// TestDashesBeforeTheLine: a dash or two between a string's name and its first barline are
// no bar; three are one.
func TestDashesBeforeTheLine(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for dashes, want := range map[string]int{"": 1, "-": 1, "--": 1, "---": 2} {
		src := strings.ReplaceAll(sixMarked("§|-0---2---5---7---|"), "§", "-")
		src = strings.NewReplacer("D-|", "D"+dashes+"|", "B-|", "B"+dashes+"|", "G-|", "G"+dashes+"|").Replace(src)
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+src), "dashes.txt", r)
		if err != nil || len(got.Tune.Bars) != want {
			t.Errorf("%q before the barline: %v, want %d bars; %v", dashes, err, want, guesses)
		}
	}
}

// TestLinesThatDisagree: barlines that some lines lack are where the others have them, and
// numbers of lines of uneven length sound together by their share of the bar.
func TestLinesThatDisagree(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for name, c := range map[string]struct{ text, want, told string }{
		"a barline missing on half": {"D|-0---|-2---|\nB|-0---|-2---|\nG|-0---|-2---|\nD|-----------|\nB|-----------|\nG|-----------|\n", "0 0 0 0 1; 0 2 2 2 1", "1 bar on this line and 2 bars on the line of string 1: cut like that one"},
		"a number in its way":       {"D|-0---|-2---|\nB|-0---|-2---|\nG|-0---|-2---|\nD|-----------|\nB|-----------|\nG|-----5-----|\n\n" + sixMarked("|-0---|"), "0 0 1", "the system is passed over"},
		"by their share":            {"D|-0---2---5---7---|\nB|-0---2---5---7---|\nG|-0--2---5--7--|\nD|-----------------|\nB|-----------------|\nG|-----------------|\n", "0 0 0 0 1/4, 1/4 2 2 2 1/4, 1/2 5 5 5 1/4, 3/4 7 7 7 1/4", "the lines of this bar are of uneven length"},
		"dots on two lines":         {"D|:-0---2---5---7---:|\nB|:-----------------:|\nG|-------------------|\nD|-------------------|\nB|--0----------------|\nG|-------------------|\n", "0 0 0 1/4, 1/4 2 1/4, 1/2 5 1/4, 3/4 7 1/4", ""},
	} {
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+c.text), "disagree.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if w := heard(got); w != c.want || !strings.Contains(told(guesses), c.told) {
			t.Errorf("%s: %q, told\n%s\nwant %q", name, w, told(guesses), c.want)
		}
	}
}

// TestBenders: what a bender moves has its number twice, with a mark of a bend or of a
// slide between; another number is a bend that no steel makes.
func TestBenders(t *testing.T) {
	r := rigtest.Builtin(t, "bender-open-d")
	for line, c := range map[string]struct{ want, told string }{
		"|-5-b5A---7-------|": {"0 5 1/4, 1/4 5 1/4, 1/2 7 1/2", ""},
		"|-12b12A--7-------|": {"0 12 1/4, 1/4 12 1/4, 1/2 7 1/2", ""},
		"|-5A-r5---7-------|": {"0 5 1/4, 1/4 5 1/4, 1/2 7 1/2", ""},
		"|-5-b7----7-------|": {"0 5 1/2, 1/2 7 1/2", "a string can't be bent under the bar"},
		"|-b5------7-------|": {"0 rest 1/2, 1/2 7 1/2", "a string can't be bent under the bar"},
		"|-5-b-----7-------|": {"0 5 1/2, 1/2 7 1/2", "a string can't be bent under the bar"},
		"|-5-(5A)--7-------|": {"0 5 1/8, 1/8 5 3/8, 1/2 7 1/2", "the 5 in brackets is taken as played"},
		"|-5A-(5A)-7-------|": {"0 5 1/4, 1/4 _5 1/4, 1/2 7 1/2", "the 5 in brackets is taken as held on"},
		"|-5a------7-------|": {"0 5 1/2, 1/2 7 1/2", `'a' is taken as the bender A`},
		"|-5b------7-------|": {"0 5 1/2, 1/2 7 1/2", "a string can't be bent under the bar"},
	} {
		lines := ""
		for i, n := range []string{"D", "A", "F#", "D", "A", "D"} {
			l := "|" + strings.Repeat("-", len(line)-2) + "|"
			if i == 2 {
				l = line
			}
			lines += fmt.Sprintf("%-2s%s\n", n, l)
		}
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: D\n\n"+lines), "benders.txt", r)
		if err != nil {
			t.Errorf("%s: %v", line, err)
			continue
		}
		if w := heard(got); w != c.want || !strings.Contains(told(guesses), c.told) || c.told == "" && strings.Contains(told(guesses), "bent") {
			t.Errorf("%s: %q, told\n%s\nwant %q", line, w, told(guesses), c.want)
		}
	}
}

// TestGuessesAreBounded: no more than a thousand are listed, and that there are more is
// told once.
func TestGuessesAreBounded(t *testing.T) {
	g := &guesses{}
	for range maxSaid + 50 {
		g.guess(columns.NewTextLine(1, "x"), 0, "x")
	}
	if n := len(g.found); n != maxSaid+1 || g.found[maxSaid].Msg != "more was guessed or passed over than is listed" || g.found[maxSaid-1].Msg != "x" {
		t.Errorf("%d are listed, the last %q", n, g.found[n-1].Msg)
	}
}

// TestTimesOfARepeat: how often a repeat is played is told after its last barline, from
// twice up to as often as a tune may have it.
func TestTimesOfARepeat(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for after, want := range map[string]int{"": 0, "x2": 1, "x 3": 2, "3x": 2, "play 4 times": 3, "(x2)": 1, "x1": 0, "x0": 0, fmt.Sprint("x", tune.MaxRepeats): tune.MaxRepeats - 1, fmt.Sprint("x", tune.MaxRepeats+1): 0} {
		line, silent, _ := strings.Cut(sixMarked("|-0---2---5---7---|-0---2---5---7---|"), "\n")
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+line+" "+after+"\n"+silent), "times.txt", r)
		if err != nil {
			t.Errorf("%q: %v", after, err)
			continue
		}
		if b := got.Tune.Bars[1]; b.Right.Repeat != want || want > 0 && len(b.Texts) > 0 {
			t.Errorf("%q: a repeat of %d and %v; want %d; told %s", after, b.Right.Repeat, b.Texts, want, told(guesses))
		}
	}
	line, silent, _ := strings.Cut(sixMarked("|-0---2---5---7---|"), "\n")
	got, _, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+line+" and so on\n"+silent), "times.txt", r)
	if err != nil || len(got.Tune.Bars[0].Texts) != 1 || got.Tune.Bars[0].Texts[0].Text != "and so on" {
		t.Errorf("words after the line: %v", err)
	}
}

// TestFingersBeneath: the fingers of the picking hand stand under the numbers, one for
// each that sounds together; what doesn't fit is passed over.
func TestFingersBeneath(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for hands, c := range map[string]struct{ line, want, told string }{
		"   T   I   M   T":   {"|-0---2---5---7---|", "T I M T", ""},
		"   T   I   M":       {"|-0---2---5---7---|", "- - - -", "3 fingers under 4 numbers in this bar: passed over"},
		"   T   TI  M   T":   {"|-0---2---5---7---|", "T - M T", "2 fingers under 1 numbers: passed over"},
		"   T         I   M": {"|-0---------2---5-|", "T - I M", ""}, // the first is held over a tie
	} {
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+sixMarked(c.line)+hands+"\n"), "hands.txt", r)
		if err != nil {
			t.Errorf("%q: %v", hands, err)
			continue
		}
		var fingers []string
		for _, s := range got.Strokes {
			f := s.Plucks[0].Finger.String()
			if f == "" {
				f = "-"
			}
			fingers = append(fingers, f)
		}
		if w := strings.Join(fingers, " "); w != c.want || strings.Count(told(guesses), "passed over") != strings.Count(c.told, "passed over") || !strings.Contains(told(guesses), c.told) {
			t.Errorf("%q: %s, told\n%s\nwant %s", hands, w, told(guesses), c.want)
		}
	}
}

// TestChordsSlide: of two chords each note slides to the one that lies as many from the
// top; a note that has no fellow there begins anew.
func TestChordsSlide(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	const none = "|-----------------|\n"
	for name, c := range map[string]struct{ d, b, g, want string }{
		"both":       {"|-5-/-7-----------|", "|-5-/-7-----------|", "|-----------------|", "0 5 5 1/4, 1/4 /7 /7 3/4"},
		"the upper":  {"|-5-/-7-----------|", "|-5---------------|", "|-----------------|", "0 5 5 1/4, 1/4 /7 3/4"},
		"the lower":  {"|-5---------------|", "|-5-/-7-----------|", "|-----------------|", "0 5 5 1/4, 1/4 7<-1 3/4"},
		"the lowest": {"|-5---5-----------|", "|-5---5-----------|", "|-5-/-7-----------|", "0 5 5 5 1/4, 1/4 5 5 /7 3/4"},
	} {
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\nD"+c.d+"\nB"+c.b+"\nG"+c.g+"\nD"+none+"B"+none+"G"+none), "slides.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if w := heard(got); w != c.want {
			t.Errorf("%s: %q; want %q; told %s", name, w, c.want, told(guesses))
		}
	}
}

// TestStringsByName: how a name agrees with the strings of an instrument, and which is the
// next that it can mean.
func TestStringsByName(t *testing.T) {
	o := stringOrder{guesses: &guesses{}, rig: rigtest.Builtin(t, "tricone-open-d")} // D A F# D A D
	for _, c := range []struct {
		label string
		s     int
		want  agreement
	}{
		{"D", 1, agrees}, {"D4", 1, agrees}, {"D3", 1, disagrees}, {"D3", 4, agrees}, {"A", 1, disagrees}, {"F", 3, byLetter}, {"F#", 3, agrees}, {"Gb", 3, agrees},
		{"Fb", 3, disagrees}, {"G", 3, disagrees}, {"3", 3, agrees}, {"3", 4, disagrees}, {"3 F#", 3, agrees}, {"3 F#", 4, disagrees}, {"", 1, disagrees}, {"x", 1, disagrees},
	} {
		if got := o.labelFits(c.label, c.s); got != c.want {
			t.Errorf("%q for string %d: %d; want %d", c.label, c.s, got, c.want)
		}
	}
	for _, c := range []struct {
		label     string
		past, str int
		fit       agreement
	}{
		{"D", 0, 1, agrees}, {"D", 1, 4, agrees}, {"D", 4, 6, agrees}, {"D", 6, 6, disagrees}, {"A", 2, 5, agrees}, {"F", 0, 3, byLetter}, {"F", 3, 3, disagrees}, {"6", 0, 6, agrees},
	} {
		if str, fit := o.nextFit(c.label, c.past); str != c.str || fit != c.fit {
			t.Errorf("%q past string %d: string %d, %d; want %d, %d", c.label, c.past, str, fit, c.str, c.fit)
		}
	}
}

// TestBarsAreBounded: a bar holds 256 numbers one after the other, and no more.
func TestBarsAreBounded(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for n, good := range map[int]bool{256: true, 257: false} {
		_, _, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+sixMarked("|"+strings.Repeat("5-", n)+"|")), "long.txt", r)
		if refused := err != nil && strings.Contains(err.Error(), "256 is the most"); refused == good {
			t.Errorf("%d numbers: %v", n, err)
		}
	}
}
