package tabtext

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// twoBars is a text of two bars of quarters on string 1, with what stands below its strings.
func twoBars(rows, fine string) string {
	text := "tab text 1\nrig: reso-open-g\ntuning: G2 B2 D3 G3 B3 D4\nkey: G major\nmeter: 2/4\n\n" + rows + "rhythm   q   q     q   q\n"
	text += "1 D4   |-0---2---|-4---5---|\n"
	for i, s := range []string{"B3", "G3", "D3", "B2", "G2"} {
		text += fmt.Sprintf("%d %s   |---------|---------|\n", i+2, s)
	}
	if fine != "" {
		text += "\nfine print:\n" + fine + "\n"
	}
	return text
}

// TestFinePrintLines: each line of the fine print at the bounds of what it may name: bars, voices,
// events, graces, notes and strings are counted from 1 up to as many as there are.
func TestFinePrintLines(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	const pluck = "stroke 1 0: len 1/4 - | "
	for line, want := range map[string]string{
		"breaks: 1": "", "breaks: 2": "", "breaks: 3": "a written bar from 1 to 2", "breaks: 0": "a written bar from 1 to 2", "left 1: double": "", "right 2: final 1": "", "right 3: final": "a written bar", "right 1: thick": "a barline such as",
		"beams: beats": "", "beams: never": "one of ", "beams 1.1: 1 2": "", "beams 1.1: none": "", "beams 1.1: 3": "an event from 1 to 2", "beams 1.1: 0": "an event from 1 to 2", "beams 1.2: 1": "there is nothing at", "beams 2.1: 1; 1.1: 2": "", "beams 3.1: 1": "there is nothing at",
		"marks 1.1.1: fermata accent": "", "marks 1.1.2: staccato": "", "marks 1.1.3: fermata": "there is nothing at", "marks 1.1.1: shout": "unknown mark", "marks 1.1.1n1: fermata": "a place such as", "marks 1.1: fermata": "a place such as", "marks 0.1.1: fermata": "a place such as", "marks 1.0.1: fermata": "a place such as", "marks 1.1.1g1: fermata": "there is nothing at", "marks 1.1.1g0: fermata": "a grace counted from 1",
		"notes 1.1.1: D4!": "", "notes 1.1.1: H4": "a note such as", "lyrics 1.1.1: 1\"la\"-": "", "lyrics 1.1.1: la": "a syllable such as", "lyrics 1.1.1: \"la\"": "a syllable such as", "lyrics 1.1.1: 0\"la\"": "a syllable such as", "lyrics 1.1.1: x\"la\"": "a syllable such as", "lyrics 1.1.1: 1\"la\"x": "a syllable such as",
		"added: slide-in 1.1.1n1 bar 1 at 0 string 6 D4": "", "added: slide-in 1.1.1n1 bar 1 at 0 string 7 D4": "an addition such as", "added: slide-in 1.1.1n2 bar 1 at 0 string 1 D4": "an addition such as", "added: x": "an addition such as",
		"left-out: 1.1 at 0 len 1/2 B3": "", "left-out: 2.1 at 1/4 len 1/4 B3": "", "left-out: 1.1 at 1/4 len 1/2 B3": "a note of the tune such as", "left-out: 3.1 at 0 len 1/4 B3": "a note of the tune such as", "left-out: 1.2 at 0 len 1/4 B3": "a note of the tune such as",
		"compromise 1.1.1n1: bar 1 at 0 wanted \"D4\" got \"nothing\" why \"x\"": "", "compromise 1.1.1: bar 1 at 0 wanted \"D4\" got \"nothing\" why \"x\"": "a place such as", "compromise 1.1.1n1: bar 1": "a form such as", "compromise 1.1.1n1: bar x at 0 wanted \"D4\" got \"nothing\" why \"x\"": `"bar" and its value`, "compromise 1.1.1n1: bar 1 on 0 wanted \"D4\" got \"nothing\" why \"x\"": `"at" and its value`, "compromise 1.1.1n1: bar 1 at 0 wanted D4 got \"nothing\" why \"x\"": `"wanted" and its value`,
		pluck + "1 0 1.1.1n1 picked len 1/4": "", pluck + "6 0 1.1.1n1 picked len 1/4": "", pluck + "7 0 1.1.1n1 picked len 1/4": "a note such as", pluck + "0 0 1.1.1n1 picked len 1/4": "a note such as", pluck + "1 99 1.1.1n1 picked len 1/4": "", pluck + "1 99.5 1.1.1n1 picked len 1/4": "a note such as", pluck + "1 -1 1.1.1n1 picked len 1/4": "a note such as", pluck + "1 0": "a note such as", pluck + "1 0 1.1.1n1": "", pluck + "1 0 1.1.1n2": "there is no note at", pluck + "1 0 1.1.1": "a place such as",
		pluck + "1 0 1.1.1n1 picked len x": "a note such as", pluck + "1 0 1.1.1n1 picked scoop -99 len 1/4": "", pluck + "1 0 1.1.1n1 picked scoop 99 len 1/4": "", pluck + "1 0 1.1.1n1 picked scoop 99.5": "a note such as", pluck + "1 0 1.1.1n1 picked scoop -99.5": "a note such as", pluck + "1 0 1.1.1n1 picked node 127 len 1/4": "", pluck + "1 0 1.1.1n1 picked node 128": "a note such as", pluck + "1 0 1.1.1n1 plucked": "a note such as", pluck + "1 0 1.1.1n1 picked len 1/4 T glide damp vibrato": "",
		"stroke 1 0: none": "", "stroke 1 x: none": "a time such as", "stroke 3 0: none": "a written bar", "stroke 1 0: len x - | 1 0 1.1.1n1": "a length such as", "stroke 1 0: len 1/4 ? | 1 0 1.1.1n1": "one of - = F R S N", "stroke 1 0: len 1/4 -+Z | 1 0 1.1.1n1": "the rig has no bender",
		"what: x": "unknown fine print", "fermata": "a line of the fine print",
	} {
		_, _, err := Parse([]byte(twoBars("", line)), "x.txt", r)
		got := ""
		if err != nil {
			got = err.Error()
		}
		if want == "" && strings.Contains(got, "expected") || !strings.Contains(got, want) {
			t.Errorf("%s: %q, want %q", line, got, want)
		}
	}
}

// TestNumbersOfBars: a bar that has no number is one more than the one before.
func TestNumbersOfBars(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for rows, want := range map[string]string{"": "1 2", "bar      5\n": "5 6", "bar      0\n": "0 1", "bar      5         9\n": "5 9", "bar                9\n": "1 9", "bar      -1\n": "one bar number expected", "bar      1 2\n": "one bar number expected", "bar      x\n": "one bar number expected"} {
		tb, _, err := Parse([]byte(twoBars(rows, "")), "x.txt", r)
		got := ""
		if err != nil {
			got = err.Error()
		} else {
			got = fmt.Sprint(tb.Tune.Bars[0].Number, tb.Tune.Bars[1].Number)
		}
		if !strings.Contains(got, want) {
			t.Errorf("%q: bars %s, want %s", rows, got, want)
		}
	}
	for hand, want := range map[string]string{"T": "", "I": "", "M": "", "-": "", "X": "x.txt:14:10: T, I, M or - expected, not 'X'", "A": "T, I, M or - expected, not 'A'"} {
		_, _, err := Parse([]byte(strings.Replace(twoBars("", ""), "6 G2   |---------|---------|\n", "6 G2   |---------|---------|\nhand     "+hand+"\n", 1)), "x.txt", r)
		if got := fmt.Sprint(err); (want == "") != (err == nil) || !strings.Contains(got, want) {
			t.Errorf("a hand of %s: %v, want %q", hand, err, want)
		}
	}
}

// TestSameFrame: two tunes have one frame when their events begin and end together and have as many graces.
func TestSameFrame(t *testing.T) {
	frame := func(change func(*tune.Event)) *tune.Tune {
		e := tune.Event{At: 1, Len: 2, Graces: make([]tune.Grace, 1)}
		change(&e)
		return &tune.Tune{Bars: []tune.Bar{{Lines: [][]tune.Event{{e}}}}}
	}
	same := frame(func(*tune.Event) {})
	for name, change := range map[string]func(*tune.Event){"": func(e *tune.Event) { e.Slurs = 1 }, "place": func(e *tune.Event) { e.At = 0 }, "length": func(e *tune.Event) { e.Len = 1 }, "graces": func(e *tune.Event) { e.Graces = nil }} {
		if got := sameFrame(same, frame(change)); got != (name == "") {
			t.Errorf("with another %q: the same frame %v", name, got)
		}
	}
	for want, ref := range map[string]tune.Ref{"1.1.1n1": {Grace: -1}, "3.2.4n2": {Bar: 2, Voice: 1, Event: 3, Grace: -1, Note: 1}, "1.1.1g1n1": {}, "1.1.2g3n1": {Event: 1, Grace: 2}} {
		if got := formatRef(ref); got != want || eventRef(ref) != want[:strings.IndexByte(want, 'n')] {
			t.Errorf("%+v is written %s, %s; want %s", ref, got, eventRef(ref), want)
		}
	}
}

// TestWhereAPluckStands: a pluck stands at its event, after the event's graces unless it is held on, or
// at its grace; what points elsewhere stands nowhere.
func TestWhereAPluckStands(t *testing.T) {
	e := tune.Event{At: tune.Whole / 4, Len: tune.Whole / 4, Value: tune.Value{Log2: 2}, Graces: make([]tune.Grace, 2)}
	each := tune.GraceTime(&e)
	rest := tune.Event{At: tune.Whole / 2, Len: tune.Whole / 4, Kind: tune.Rest}
	l := &layer{i: 1, bar: &tune.Bar{Lines: [][]tune.Event{{e, rest}}}}
	for name, c := range map[string]struct {
		ref    tune.Ref
		attack tab.Attack
		want   tune.Ticks
	}{
		"its event":       {tune.Ref{Bar: 1, Grace: -1}, tab.Picked, e.At + 2*each},
		"held on":         {tune.Ref{Bar: 1, Grace: -1}, tab.Tied, e.At},
		"the first grace": {tune.Ref{Bar: 1, Grace: 0}, tab.Picked, e.At},
		"the second":      {tune.Ref{Bar: 1, Grace: 1}, tab.Picked, e.At + each},
		"a third":         {tune.Ref{Bar: 1, Grace: 2}, tab.Picked, -1},
		"another bar":     {tune.Ref{Bar: 0, Grace: -1}, tab.Picked, -1},
		"another voice":   {tune.Ref{Bar: 1, Voice: 1, Grace: -1}, tab.Picked, -1},
		"voice -1":        {tune.Ref{Bar: 1, Voice: -1, Grace: -1}, tab.Picked, -1},
		"a rest":          {tune.Ref{Bar: 1, Event: 1, Grace: -1}, tab.Picked, -1},
		"a later event":   {tune.Ref{Bar: 1, Event: 2, Grace: -1}, tab.Picked, -1},
		"event -1":        {tune.Ref{Bar: 1, Event: -1, Grace: -1}, tab.Picked, -1},
	} {
		if got := l.slotTime(&tab.Pluck{Ref: c.ref, Attack: c.attack}); got != c.want {
			t.Errorf("%s: at %d, want %d", name, got, c.want)
		}
	}
	// What a string played before is looked for in the bar and the one before, in its own voice.
	at := func(bar, voice, str int, fret float64) tab.Stroke {
		return tab.Stroke{BarIndex: bar, Benders: 1, Plucks: []tab.Pluck{{Ref: tune.Ref{Bar: bar, Voice: voice, Grace: -1}, String: str, Fret: fret}}}
	}
	for name, c := range map[string]struct {
		before []tab.Stroke
		want   float64
	}{
		"nothing":        {nil, -1},
		"in the bar":     {[]tab.Stroke{at(3, 0, 2, 5)}, 5},
		"the bar before": {[]tab.Stroke{at(2, 0, 2, 5)}, 5},
		"two before":     {[]tab.Stroke{at(1, 0, 2, 5)}, -1},
		"the last":       {[]tab.Stroke{at(2, 0, 2, 5), at(3, 0, 2, 7)}, 7},
		"another string": {[]tab.Stroke{at(3, 0, 1, 5)}, -1},
		"another voice":  {[]tab.Stroke{at(3, 1, 2, 5)}, -1},
	} {
		strokes := append(c.before, at(3, 0, 2, 9), at(3, 0, 2, 11))
		strokes[len(c.before)].Plucks[0].Ref.Event, strokes[len(c.before)+1].Plucks[0].Ref.Event = 7, 8
		l := &layer{i: 3, t: &tab.Tab{Strokes: strokes}}
		got, ok := l.fretBefore(&strokes[len(c.before)].Plucks[0])
		if !ok {
			got = -1
		}
		if set, bent := l.bendersBefore(&strokes[len(c.before)].Plucks[0]); got != c.want || bent != ok || ok && set != 1 {
			t.Errorf("%s: fret %g, want %g", name, got, c.want)
		}
	}
}
