package chart_test

import (
	"strings"
	"testing"

	"lapwright/notation/chart"
	"lapwright/tune"
)

const harbour = `# for Tuesday
title: Harbour Street
kind: song
key: G
meter: 4/4
tempo: 96

|: G | C / / D7 | % | Em Am7 :|
|| 1 | 4/6 5 | [1 57 N.C. :| [2 1 |
`

func TestRead(t *testing.T) {
	got, err := chart.Read([]byte(harbour), "h.chart")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for i := range got.Bars {
		for _, c := range got.Bars[i].Chords {
			b.WriteString(c.Text + "@" + c.At.String() + " ")
		}
		b.WriteString("| ")
	}
	if want := "G@0 | C@0 D7@3/4 | C@0 D7@3/4 | Em@0 Am7@1/2 | G@0 | C/E@0 D@1/2 | D7@0 N.C.@1/2 | G@0 | "; b.String() != want {
		t.Errorf("%s\nwant %s", b.String(), want)
	}
	if got.Title != "Harbour Street" || got.Rhythm != "song" || got.Bars[0].Key.String() != "G major" || got.Bars[0].Tempos[0].PerMinute != 96_000 {
		t.Errorf("%q %q %s %v", got.Title, got.Rhythm, got.Bars[0].Key, got.Bars[0].Tempos)
	}
	if passes, faults := tune.Unfold(got); len(passes) != 14 || len(faults) > 0 {
		t.Errorf("%d bars sound, %v", len(passes), faults)
	}
}

// What is written is read back, by name and by number.
func TestWrite(t *testing.T) {
	in, err := chart.Read([]byte(harbour), "h.chart")
	if err != nil {
		t.Fatal(err)
	}
	for _, numbers := range []bool{false, true} {
		text := chart.Write(in, numbers)
		back, err := chart.Read(text, "back.chart")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if string(chart.Write(back, false)) != string(chart.Write(in, false)) {
			t.Errorf("it comes back as\n%s\nof\n%s", chart.Write(back, false), text)
		}
		if has := strings.Contains(string(text), "[1 57 N.C. :|"); has != numbers {
			t.Errorf("numbers %v:\n%s", numbers, text)
		}
	}
}

// Three chords in a bar of four beats: the first has two.
func TestShares(t *testing.T) {
	got, err := chart.Read([]byte("meter: 3/4\n| G | G D7 | G C D |\nmeter: 6/8\n| G C |"), "s.chart")
	if err != nil {
		t.Fatal(err)
	}
	if at := got.Bars[1].Chords[1].At; at != tune.Whole/2 {
		t.Errorf("the second of two in three-four comes at %s", at)
	}
	if at := got.Bars[3].Chords[1].At; at != 3*tune.Whole/8 {
		t.Errorf("the second of two in six-eight comes at %s", at)
	}
}

func TestFaults(t *testing.T) {
	for src, want := range map[string]string{
		"| G | H7 |":             `c.chart:1:7: "H7" is no chord that is known`,
		"| G | 8 |":              `c.chart:1:7: "8" is no chord that is known`,
		"key: H\n| G |":          `c.chart:1:6: `,
		"meter: 4/5\n| G |":      `c.chart:1:8: the meter "4/5" is none`,
		"tempo: fast\n| G |":     `c.chart:1:8: the tempo "fast" is no number`,
		"tune: x\n| G |":         `c.chart:1:1: unknown field "tune"`,
		"| % |":                  `c.chart:1:3: "%" repeats the bar before`,
		"| / |":                  `c.chart:1:3: "/" lets the chord before go on`,
		"| G C D E F |":          `c.chart:1:3: 5 chords do not fit`,
		"":                       `c.chart:1: there are no bars in the chart`,
		"| G [x |":               `c.chart:1:5: "[x" is no chord`,
		"| G |\ntitle: late":     `c.chart:2:1: the field "title" stands before the first bar`,
		"| G |\n| [0 C |":        `c.chart:2:3: the ending "[0" has no number`,
		":| G |":                 `c.chart:1:1: a repeat ends here before any bar`,
		"| G |\nX9 | C\nkind: z": `c.chart:2:1: "X9" is no chord`,
	} {
		_, err := chart.Read([]byte(src), "c.chart")
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", src, err, want)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{harbour, "| G |", "meter: 6/8\n|: 1 57 :| [2 4 |", "key: A minor\n|1m|b6|", "| N.C. | / / G / |"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, err := chart.Read([]byte(s), "f.chart")
		if (err == nil) != (got != nil) {
			t.Fatal("an error and a tune, or neither")
		}
		if err != nil {
			return
		}
		text := chart.Write(got, true)
		back, err := chart.Read(text, "b.chart")
		if err != nil {
			t.Fatalf("%v of\n%s", err, text)
		}
		if again := chart.Write(back, true); string(again) != string(text) {
			t.Fatalf("%s\nthen\n%s", text, again)
		}
	})
}
