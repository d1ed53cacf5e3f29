package chart_test

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/chart"
	"lapwright/tune"
)

func read(t *testing.T, src string) *tune.Tune {
	t.Helper()
	got, err := chart.Read([]byte(src), "c.chart")
	if err != nil {
		t.Fatalf("%q: %v", src, err)
	}
	return got
}

// The bounds of what a field takes.
func TestFieldBounds(t *testing.T) {
	for field, ok := range map[string]bool{
		"meter: 1/4": true, "meter: 256/4": true, "meter: 4/1": true, "meter: 4/64": true, "meter: 12/8": true,
		"meter: 0/4": false, "meter: 257/4": false, "meter: 4/0": false, "meter: 4/128": false, "meter: 4/3": false, "meter: x/4": false, "meter: 4/x": false, "meter: 4": false,
		"tempo: 1": true, "tempo: 1000": true, "tempo: 0": false, "tempo: 1001": false, "tempo: x": false,
	} {
		if _, err := chart.Read([]byte(field+"\n| G |"), "c.chart"); (err == nil) != ok {
			t.Errorf("%q: %v", field, err)
		}
	}
	for ending, ok := range map[string]bool{"[1": true, "[99": true, "[0": false, "[100": false} {
		if _, err := chart.Read([]byte("|: G | "+ending+" C :|"), "c.chart"); (err == nil) != ok {
			t.Errorf("%q: %v", ending, err)
		}
	}
}

// How bars begin and end, and the places of chords in them.
func TestBarlines(t *testing.T) {
	style := map[tune.BarlineStyle]string{tune.SingleBarline: "|", tune.DoubleBarline: "||", tune.FinalBarline: "|]"}
	for src, want := range map[string]string{
		"| G || C |":            "G@0 || C@0 |]",
		"| G || C ||":           "G@0 || C@0 ||",
		"| G | C |]\n| D |":     "G@0 | C@0 |] D@0 |]",
		"| G |\n|| C |":         "G@0 | C@0 |]",
		"| G \n:| C |":          "G@0 :| C@0 |]",
		"| G :|: C :|":          "G@0 :| |: C@0 :|",
		"|: G :||: C :|":        "|: G@0 :| |: C@0 :|",
		"| G | / / C / |":       "G@0 | C@1/2 |]",
		"| G / / D |":           "G@0 D@3/4 |]",
		"| G C D |":             "G@0 C@1/2 D@3/4 |]",
		"meter: 5/4\n| G C D |": "G@0 C@3/4 D@1 |]",
		"meter: 1/4\n| G C |":   "G@0 C@1/8 |]",
	} {
		var out []string
		for _, b := range read(t, src).Bars {
			if b.Left.Repeat > 0 {
				out = append(out, "|:")
			}
			for _, c := range b.Chords {
				out = append(out, fmt.Sprintf("%s@%s", c.Text, c.At))
			}
			if b.Right.Repeat > 0 {
				out = append(out, ":|")
			} else {
				out = append(out, style[b.Right.Style])
			}
		}
		if got := strings.Join(out, " "); got != want {
			t.Errorf("%q is %s, want %s", src, got, want)
		}
	}
	tempos := 0
	for _, b := range read(t, "tempo: 90\n| G | C | D |").Bars {
		tempos += len(b.Tempos)
	}
	if none := read(t, "| G | C |").Bars[0].Tempos; tempos != 1 || len(none) != 0 {
		t.Errorf("a tempo stands %d times, and none asked for is %v", tempos, none)
	}
}

// A chart as a player would write it: four bars a line, as few words a bar as say it, a key or
// meter where it changes.
func TestWritten(t *testing.T) {
	for src, want := range map[string]string{
		"tempo: 96\n| G | C | D | G | Em |":                "key: C major\nmeter: 4/4\ntempo: 96\n\n| G | C | D | G |\n| Em |\n",
		"| G | C / / D | G / C / | / / D / | / | G C D |":  "key: C major\nmeter: 4/4\n\n| G | C / / D | G C | / / D / |\n| / | G / C D |\n",
		"| N.C. / G / | N.C. | C |":                        "key: C major\nmeter: 4/4\n\n| N.C. G | N.C. | C |\n",
		"meter: 3/4\n| G / D | G D A |":                    "key: C major\nmeter: 3/4\n\n| G / D | G D A |\n",
		"key: G\n| G | C |\nkey: D\n| D | A |":             "key: G major\nmeter: 4/4\n\n| G | C |\nkey: D major\nmeter: 4/4\n| D | A |\n",
		"key: G\n| G | C |\nmeter: 3/4\n| D | A | D | A |": "key: G major\nmeter: 4/4\n\n| G | C |\nkey: G major\nmeter: 3/4\n| D | A | D | A |\n",
		"|: G | [1 C :| [2 D |":                            "key: C major\nmeter: 4/4\n\n|: G | [1 C :| [2 D |\n",
	} {
		if got := string(chart.Write(read(t, src), false)); got != want {
			t.Errorf("%q is written\n%s\nwant\n%s", src, got, want)
		}
	}
	// A tempo of other beats is no number of these; nothing stands before the first chord.
	in := read(t, "tempo: 90\n| G / C / | D |")
	in.Bars[0].Tempos = []tune.Tempo{{Text: "gently"}, {Beat: tune.Whole / 2, PerMinute: 40_000}, {Beat: tune.Whole / 4, PerMinute: 80_400}, {Beat: tune.Whole / 4, PerMinute: 90_000}}
	in.Bars[0].Chords = in.Bars[0].Chords[1:]
	if got, want := string(chart.Write(in, false)), "key: C major\nmeter: 4/4\ntempo: 80\n\n| N.C. C | D |\n"; got != want {
		t.Errorf("written\n%s\nwant\n%s", got, want)
	}
	in.Bars[0].Chords, in.Bars[0].Tempos = nil, nil
	if got, want := string(chart.Write(in, false)), "key: C major\nmeter: 4/4\n\n| N.C. | D |\n"; got != want {
		t.Errorf("written\n%s\nwant\n%s", got, want)
	}
	// A pickup has no chord of its own.
	in = read(t, "| G | C | D |")
	in.Bars[0].Len = tune.Whole / 4
	if got, want := string(chart.Write(in, false)), "key: C major\nmeter: 4/4\n\n| C | D |\n"; got != want {
		t.Errorf("written\n%s\nwant\n%s", got, want)
	}
}
