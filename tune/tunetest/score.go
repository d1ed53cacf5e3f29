package tunetest

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// Key reads a key by its name.
func Key(t testing.TB, name string) pitch.Key {
	t.Helper()
	k, err := pitch.ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// Score makes a tune in 4/4 from text, one line a voice. A word is a chord of
// note names joined by "+" (or "z" for a rest), ":" and its length in eighths (1
// when left out), then marks: "-" ties every note of it on, "/" glides its highest
// note into the next word, "(" and ")" begin and end a slur, "'" in front makes it a grace
// note of the next word. Bars are filled from left to right.
func Score(t testing.TB, key string, lines ...string) *tune.Tune {
	t.Helper()
	k := Key(t, key)
	const eighth = tune.Whole / 8
	out := &tune.Tune{Title: "score"}
	bars := 0
	var voices [][]tune.Event
	for v, line := range lines {
		out.Voices = append(out.Voices, tune.Voice{ID: fmt.Sprint(v + 1)})
		var events []tune.Event
		var graces []tune.Grace
		at := tune.Ticks(0)
		for _, word := range strings.Fields(line) {
			e := tune.Event{At: at, Len: eighth, Kind: tune.Sounding}
			grace := strings.HasPrefix(word, "'")
			body := strings.TrimLeft(word, "'(")
			if strings.Contains(word, "(") {
				e.Slurs = 1
			}
			tie, glide := false, false
			for strings.ContainsAny(body[len(body)-1:], "-/)") {
				switch body[len(body)-1] {
				case '-':
					tie = true
				case '/':
					glide = true
				case ')':
					e.SlurEnds = 1
				}
				body = body[:len(body)-1]
			}
			names, length, ok := strings.Cut(body, ":")
			if ok {
				n := 0
				if _, err := fmt.Sscan(length, &n); err != nil {
					t.Fatalf("%q: %v", word, err)
				}
				e.Len = tune.Ticks(n) * eighth
			}
			if names == "z" {
				e.Kind = tune.Rest
			} else {
				for _, name := range strings.Split(names, "+") {
					n, err := pitch.ParseName(name)
					if err != nil {
						t.Fatalf("%q: %v", word, err)
					}
					e.Notes = append(e.Notes, tune.Note{Name: n, Tie: tie})
				}
			}
			if glide {
				e.Notes[len(e.Notes)-1].Glide = true
			}
			if grace {
				graces = append(graces, tune.Grace{Notes: e.Notes, Value: tune.Value{Log2: 3}})
				continue
			}
			e.Graces, graces = graces, nil
			value, ok := valueOf(e.Len)
			if !ok {
				t.Fatalf("%q: no note value is %s long", word, e.Len)
			}
			e.Value = value
			events = append(events, e)
			at += e.Len
		}
		voices = append(voices, events)
		bars = max(bars, int((at+tune.Whole-1)/tune.Whole))
	}
	for b := range bars {
		bar := tune.Bar{Number: b + 1, Key: k, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole}
		for v := range voices {
			var line []tune.Event
			at := tune.Ticks(0)
			for len(voices[v]) > 0 && voices[v][0].At/tune.Whole == tune.Ticks(b) {
				e := voices[v][0]
				voices[v] = voices[v][1:]
				e.At -= tune.Ticks(b) * tune.Whole
				line = append(line, e)
				at = e.At + e.Len
			}
			for at < tune.Whole {
				line = append(line, tune.Event{At: at, Len: eighth, Kind: tune.Rest, Value: tune.Value{Log2: 3}})
				at += eighth
			}
			bar.Lines = append(bar.Lines, line)
		}
		out.Bars = append(out.Bars, bar)
	}
	if l := out.Check(); len(l) > 0 {
		t.Fatalf("the score is faulty: %v", l)
	}
	return out
}

func valueOf(l tune.Ticks) (tune.Value, bool) {
	for log := int8(-1); log < 7; log++ {
		for dots := int8(0); dots < 3; dots++ {
			if v := (tune.Value{Log2: log, Dots: dots}); v.Len() == l {
				return v, true
			}
		}
	}
	return tune.Value{}, false
}
