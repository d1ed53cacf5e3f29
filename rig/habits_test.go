package rig

import (
	"errors"
	"strings"
	"testing"

	"lapwright/fault"
)

// TestHabits: what a rig says of its habits goes before what is usual for its body;
// what is usual is common practice, no source.
func TestHabits(t *testing.T) {
	for _, c := range []struct {
		body  Body
		open  OpenHabit
		edge  EdgeHabit
		rolls RollHabit
	}{
		{PedalSteel, OpenAvoided, RoundEdge, RollsAvoided}, {LapSteel, OpenSparing, RoundEdge, RollsAvoided}, {SquareNeckResonator, OpenWelcome, SharpEdge, RollsWelcome},
	} {
		var usual Habits
		if usual.OpenOn(c.body) != c.open || usual.EdgeOn(c.body) != c.edge || usual.RollsOn(c.body) != c.rolls {
			t.Errorf("%s: open strings %s, edge %s, rolls %s; want %s, %s, %s", c.body, usual.OpenOn(c.body), usual.EdgeOn(c.body), usual.RollsOn(c.body), c.open, c.edge, c.rolls)
		}
		for _, open := range []OpenHabit{OpenWelcome, OpenSparing, OpenAvoided} {
			if got := (Habits{Open: open}).OpenOn(c.body); got != open {
				t.Errorf("%s with open strings %s: %s", c.body, open, got)
			}
		}
		for _, edge := range []EdgeHabit{SharpEdge, RoundEdge} {
			if got := (Habits{Edge: edge}).EdgeOn(c.body); got != edge {
				t.Errorf("%s with the edge %s: %s", c.body, edge, got)
			}
		}
		for _, rolls := range []RollHabit{RollsWelcome, RollsAvoided} {
			if got := (Habits{Rolls: rolls}).RollsOn(c.body); got != rolls {
				t.Errorf("%s with rolls %s: %s", c.body, rolls, got)
			}
		}
	}
}

// TestBendersChangeTheirStrings: the strings that a pedal pulls, and no others.
func TestBendersChangeTheirStrings(t *testing.T) {
	b := Bender{Moves: []Move{{String: 5, Semitones: 2}, {String: 8, Semitones: -1}, {String: 3}}}
	for str := 1; str <= 10; str++ {
		if got, want := b.Changes(str), str == 5 || str == 8; got != want {
			t.Errorf("string %d is changed: %v", str, got)
		}
	}
}

// TestHintsNameWhatIsKnown: who writes a key or a material that is not known is told
// those that are.
func TestHintsNameWhatIsKnown(t *testing.T) {
	for _, c := range []struct{ from, to, hint string }{
		{"frets = 24", "frests = 24", "known here: "},
		{"frets = 24", "frests = 24", "nut_spread"},
		{`gauge = "0.016 in"`, `guage = "0.016 in"`, "gauge"},
		{`material = "music wire"`, `material = "piano wire"`, "known: "},
		{`material = "music wire"`, `material = "piano wire"`, "music wire"},
	} {
		_, err := Parse([]byte(strings.Replace(goodRig, c.from, c.to, 1)), "x.toml")
		var list fault.List
		if !errors.As(err, &list) {
			t.Fatalf("%s: %v", c.to, err)
		}
		found := false
		for _, f := range list {
			found = found || strings.Contains(f.Hint, c.hint)
		}
		if !found {
			t.Errorf("%s: %v names no %q in a hint", c.to, list, c.hint)
		}
	}
}
