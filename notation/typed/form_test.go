package typed

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// six writes the line of string 1 and five more strings under it that are silent.
func sixStrings(line string) string {
	silent := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r == 'x' || r == '.' || r == '/' || r == 'h' || r == 'b' || r == 'r' {
			return '-'
		}
		return r
	}, line)
	silent, _, _ = strings.Cut(silent, " ")
	return "D" + line + "\n" + "B" + silent + "\nG" + silent + "\nD" + silent + "\nB" + silent + "\nG" + silent + "\n"
}

// TestForm: repeats, endings and double barlines as people type them, and how the
// bars are numbered (common practice, no source).
func TestForm(t *testing.T) {
	const bar = "-0---2---5---7---"
	r := rigtest.Builtin(t, "reso-open-g")
	const head = "Time: 4/4\nKey: G\n\n"
	for name, c := range map[string]struct{ text, want string }{
		"plain":                 {head + sixStrings("|"+bar+"|"+bar+"|"), "1; 2"},
		"double":                {head + sixStrings("|"+bar+"||"+bar+"|"), "1 double; 2"},
		"repeat":                {head + sixStrings("|:"+bar+"|"+bar+":|"), "1 from; 2 back 1"},
		"played three times":    {head + sixStrings("|:"+bar+":| x3"), "1 from back 2"},
		"three times in words":  {head + sixStrings("|:"+bar+":| (3 times)"), "1 from back 2"},
		"times without a sign":  {head + sixStrings("|"+bar+"| x2"), "1 back 1"},
		"once is not again":     {head + sixStrings("|"+bar+"| x1"), "1"},
		"as often as there is":  {head + sixStrings("|:"+bar+":| x4"), "1 from back 3"},
		"endings":               {head + "                      1.                 2.\n" + sixStrings("|:"+bar+"|"+bar+":|"+bar+"|"), "1 from; 2 back 1 ending 1 ends; 3 ending 2 ends"},
		"last ending closed":    {head + "                      1.                 2.\n" + sixStrings("|:"+bar+"|"+bar+":|"+bar+":|"), "1 from; 2 back 1 ending 1 ends; 3 ending 2 ends"},
		"an ending of two bars": {head + "                      1.                                   2.\n" + sixStrings("|:"+bar+"|"+bar+"|"+bar+":|"+bar+"|"), "1 from; 2 ending 1; 3 back 1 ends; 4 ending 2 ends"},
		"pickup":                {"Time: 4/4\nKey: G\n\n    q    q   q   q   q\n" + sixStrings("|---0---|-0---2---5---7---|"), "0; 1"},
	} {
		got, guesses, err := Parse([]byte(c.text), "form.txt", r)
		if err != nil {
			t.Errorf("%s: %v\n%s", name, err, c.text)
			continue
		}
		var bars []string
		for i := range got.Tune.Bars {
			b := &got.Tune.Bars[i]
			w := fmt.Sprint(b.Number)
			if b.Left.Repeat > 0 {
				w += " from"
			}
			if b.Right.Style == tune.DoubleBarline {
				w += " double"
			}
			if b.Right.Repeat > 0 {
				w += fmt.Sprint(" back ", b.Right.Repeat)
			}
			if len(b.Endings) > 0 {
				w += fmt.Sprint(" ending ", b.Endings[0])
			}
			if b.EndingEnds {
				w += " ends"
			}
			bars = append(bars, w)
		}
		if w := strings.Join(bars, "; "); w != c.want {
			t.Errorf("%s: %s; want %s\n%s%v", name, w, c.want, c.text, guesses)
		}
	}
}

// TestNumbersAndMarks: numbers of one and two digits, between the frets, damped
// after, and what can't be played under a steel, which is passed over and told.
func TestNumbersAndMarks(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for name, c := range map[string]struct{ line, want, told string }{
		"two digits":         {"|-10--12--7---9---|", "10 12 7 9", ""},
		"between frets":      {"|-4.5-----7-------|", "4.5 7", ""},
		"a dot after it":     {"|-4.------7-------|", "4x 7", ""},
		"damped":             {"|-5---x---7-------|", "5x 7", "the x is taken to stop the 5 before it"},
		"damped twice":       {"|-5-x-x---7-------|", "5x 7", "a muted string has no pitch"},
		"muted from nothing": {"|-x-------7-------|", "7", "a muted string has no pitch"},
		"bent":               {"|-5b7-----7-------|", "5 7", "a string can't be bent under the bar"},
		"bent and released":  {"|-5b7r5---7-------|", "5 7", "a string can't be bent under the bar"},
		"bent by two digits": {"|-5b10----7-------|", "5 7", "a string can't be bent under the bar"},
	} {
		got, guesses, err := Parse([]byte("Time: 4/4\nKey: G\n\n"+sixStrings(c.line)), "marks.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var frets []string
		for _, s := range got.Strokes {
			for _, p := range s.Plucks {
				w := fmt.Sprintf("%g", p.Fret)
				if p.Damp {
					w += "x"
				}
				frets = append(frets, w)
			}
		}
		if w := strings.Join(frets, " "); w != c.want {
			t.Errorf("%s: frets %s; want %s", name, w, c.want)
		}
		said := guesses.Error()
		for _, f := range guesses {
			said += "\n" + f.Error()
		}
		if !strings.Contains(said, c.told) {
			t.Errorf("%s: told %s; want %q", name, said, c.told)
		}
	}
}
