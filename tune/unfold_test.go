package tune_test

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// bars makes a tune of one-note bars from a line of signs, one bar a word:
//
//	|: :| ::|   a repeat begins before, ends after the bar, is played once more
//	1- 1,3-     an ending begins
//	A=          a part begins
//	segno coda tocoda fine dc ds dcfine dsfine dccoda dscoda
//
// The bar's number is its place, from 1; "x" is a plain bar.
func bars(text string) *tune.Tune {
	kinds := map[string]tune.SignKind{
		"segno": tune.Segno, "coda": tune.Coda, "tocoda": tune.ToCoda, "fine": tune.Fine, "dc": tune.DaCapo, "ds": tune.DalSegno,
		"dcfine": tune.DaCapoAlFine, "dsfine": tune.DalSegnoAlFine, "dccoda": tune.DaCapoAlCoda, "dscoda": tune.DalSegnoAlCoda,
	}
	t := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
	for word := range strings.FieldsSeq(text) {
		b := tune.Bar{
			Number: len(t.Bars) + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole,
			Lines: [][]tune.Event{{{Len: tune.Whole, Notes: []tune.Note{{Name: pitch.Note(pitch.C, 0, 4)}}}}},
		}
		if rest, ok := strings.CutPrefix(word, "|:"); ok {
			b.Left.Repeat, word = 1, rest
		}
		if label, rest, ok := strings.Cut(word, "="); ok {
			b.Part, word = label, rest
		}
		if numbers, rest, ok := strings.Cut(word, "-"); ok {
			word = rest
			for n := range strings.SplitSeq(numbers, ",") {
				var number int
				fmt.Sscan(n, &number)
				b.Endings = append(b.Endings, number)
			}
		}
		if rest, ok := strings.CutSuffix(word, "|"); ok {
			word = strings.TrimRight(rest, ":")
			b.Right.Repeat = len(rest) - len(word)
		}
		for name := range strings.SplitSeq(word, "+") {
			if kind, ok := kinds[name]; ok {
				b.Signs = append(b.Signs, tune.Sign{Kind: kind})
			} else if name != "x" && name != "" {
				panic("unknown sign " + name)
			}
		}
		t.Bars = append(t.Bars, b)
	}
	tune.EndEndings(t.Bars)
	return t
}

func played(t *tune.Tune) (string, []string) {
	passes, faults := tune.Unfold(t)
	var out []string
	for _, p := range passes {
		out = append(out, fmt.Sprint(t.Bars[p.BarIndex].Number))
	}
	var messages []string
	for _, f := range faults {
		messages = append(messages, f.Error())
	}
	return strings.Join(out, " "), messages
}

// The orders are common practice, no source: repeats and endings as every
// player reads them, jumps without repeats and with the last ending.
func TestUnfold(t *testing.T) {
	for _, c := range []struct{ signs, order, want string }{
		{"x x x", "", "1 2 3"},
		{"|:x x:| x", "", "1 2 1 2 3"},
		{"x x:| x x:|", "", "1 2 1 2 3 4 3 4"},
		{"x |:x x:| x", "", "1 2 3 2 3 4"},
		{"|:x x::| x", "", "1 2 1 2 1 2 3"},
		{"|:x |:x:| x:|", "", "1 2 2 3 3"},
		{"|:x 1-x:| 2-x x", "", "1 2 1 3 4"},
		{"|:x 1,3-x:| 2,4-x:| x", "", "1 2 1 3 1 2 1 3 4"},
		{"|:x 1,2-x:| 3-x x", "", "1 2 1 2 1 3 4"},
		{"|:x 1-x:| 2-x:| x", "", "1 2 1 3 4"},
		{"|:x 1-x x:| 2-x x x", "", "1 2 3 1 4 5 6"},
		{"|:x 1-x:| x", "", "1 2 1 3"},
		{"x 1-x 2-x", "", "1 2 1 3"},
		{"|:x 1-x:| 2-x |:x 1-x:| 2-x", "", "1 2 1 3 4 5 4 6"},
		{"|:x x", "", "1 2"},
		{"x fine x dcfine", "", "1 2 3 4 1 2"},
		{"x segno x fine x dsfine x", "", "1 2 3 4 5 6 2 3 4"},
		{"x tocoda x dccoda coda x", "", "1 2 3 4 1 2 5 6"},
		{"x segno tocoda x dscoda coda", "", "1 2 3 4 5 2 3 6"},
		{"x x dc", "", "1 2 3 1 2 3"},
		{"x x segno+ds", "", "1 2 3 3"},
		{"|:x x:| dcfine+fine", "", "1 2 1 2 3 1 2 3"},
		{"|:x 1-x:| 2-fine dcfine", "", "1 2 1 3 4 1 3"},
		{"|:x dc:| x", "", "1 2 1 2 1 2 3"},
		{"x A=x x B=x", "AAB", "1 2 3 2 3 4"},
		{"A=x B=x", "A2(BA)2", "1 1 2 1 2 1"},
		{"A=|:x:| B=x", "", "1 1 2"},
		{"A=x:| B=x x:|", "AB", "1 1 2 3 2 3"},
		{"A=x |:x B=x:|", "AB", "1 2 3 3"},
	} {
		// A part label is written before the repeat sign in these words.
		signs := strings.ReplaceAll(c.signs, "A=|:x", "|:A=x")
		tn := bars(signs)
		tn.PartOrder = c.order
		got, faults := played(tn)
		if got != c.want || len(faults) > 0 {
			t.Errorf("%q order %q: got %s %v, want %s", c.signs, c.order, got, faults, c.want)
		}
	}
}

func TestUnfoldFaults(t *testing.T) {
	for _, c := range []struct{ signs, order, want, fault string }{
		{"x ds x", "", "1 2 3", "goes back to a segno that is not there"},
		{"x ds segno", "", "1 2 3", "goes back to a segno that comes later"},
		{"x tocoda dc", "", "1 2 3 1 2 3", "goes to a coda that is not there"},
		{"|:x 1-x:| 1-x", "", "1 2", "ending 1 comes twice"},
		{"A=x B=x", "AC", "1 2", `names part "C", which is not there`},
		{"A=x A=x", "A", "1", `part "A" begins a second time`},
		{"A=x", "A(", "1", "opens a bracket that it does not close"},
		{"A=x", "A)", "1", "closes a bracket that it did not open"},
		{"A=x", "3A", "1", `a count "3" with nothing to repeat`},
		{"A=x", "A!", "1", `has "!"`},
		{"A=x", "A0", "1", `a count "0"`},
		{"A=x", strings.Repeat("(", 99) + "A" + strings.Repeat(")", 99), "1", "brackets more than 16 deep"},
		{"A=x", "((((A999)999)999)999)", "1", "plays more than 100000 parts"},
		{"A=x A=x", "B", "1 2", "begins a second time"},
	} {
		tn := bars(c.signs)
		tn.PartOrder = c.order
		got, faults := played(tn)
		if len(got) > 40 {
			got = got[:40]
		}
		if c.want != got || !strings.Contains(strings.Join(faults, "\n"), c.fault) {
			t.Errorf("%q order %q: got %s %q, want %s and %q", c.signs, c.order, got, faults, c.want, c.fault)
		}
	}
}

// TestUnfoldIsBounded: a piece that would never end in practice is refused, and
// its written order is given.
func TestUnfoldIsBounded(t *testing.T) {
	var signs []string
	for range 2000 {
		signs = append(signs, "|:x"+strings.Repeat(":", 99)+"|")
	}
	tn := bars(strings.Join(signs, " "))
	passes, faults := tune.Unfold(tn)
	if len(passes) != 2000 || len(faults) != 1 || !strings.Contains(faults[0].Error(), "longer than 100000 bars") {
		t.Errorf("%d passes, %v", len(passes), faults)
	}
	long := bars("|:x::::::::| dc")
	long.Bars[0].Len = 300_000 * tune.Whole
	if passes, faults := tune.Unfold(long); len(passes) != 2 || len(faults) != 1 {
		t.Errorf("%d passes, %v", len(passes), faults)
	}
}

func TestPassesStart(t *testing.T) {
	tn := bars("|:x x:| x")
	tn.Bars[1].Len = tune.Whole / 2
	passes, _ := tune.Unfold(tn)
	want := []tune.Ticks{0, 2, 3, 5, 6}
	for i, p := range passes {
		if p.Start != want[i]*tune.Whole/2 {
			t.Errorf("pass %d starts at %s, want %d/2", i, p.Start, want[i])
		}
	}
}
