package tune_test

import (
	"math"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// TestCheck spoils a sound tune in one way at a time.
func TestCheck(t *testing.T) {
	sound := func() *tune.Tune { return score("C4:4 D4:4 E4:2 | F4:2 G4:2 & r:1 | C3:1") }
	if faults := sound().Check(); len(faults) > 0 {
		t.Fatalf("the tune is not sound to begin with: %v", faults)
	}
	for _, c := range []struct {
		want  string
		spoil func(t *tune.Tune, b *tune.Bar, e *tune.Event)
	}{
		{"the tune has no voice", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			t.Voices = nil
			for i := range t.Bars {
				t.Bars[i].Lines = nil
			}
		}},
		{"the tune has no bar", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { t.Bars = nil }},
		{`bar 1, 0 into it: the bar's length "0" is out of bounds`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Len = 0 }},
		{"the bar has 1 lines for 2 voices", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Lines = b.Lines[:1] }},
		{"number -1 is negative", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Number = -1 }},
		{"the meter 4/0 is out of bounds", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Meter.Unit = 0 }},
		{"the meter 4/3 is out of bounds", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Meter.Unit = 3 }},
		{"do not add up to 4", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Meter.Groups = []int{2, 3} }},
		{"alters a note by 3", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Key.Signature[0] = 3 }},
		{"repeat counts 2 and 0", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Left.Repeat = 2 }},
		{"repeat counts 0 and 100", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Right.Repeat = 100 }},
		{"ending numbers [2 1] are out of order", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Endings = []int{2, 1} }},
		{"a sign of kind 0", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Signs = []tune.Sign{{}} }},
		{"a tempo is outside the bar", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			b.Tempos = []tune.Tempo{{At: b.Len, Beat: 1, PerMinute: 1}}
		}},
		{"the tempo of 1 thousandths", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Tempos = []tune.Tempo{{PerMinute: 1}} }},
		{`the chord symbol "G" is outside`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Chords = []tune.ChordAt{{At: b.Len, Text: "G"}} }},
		{`the text "x" is outside`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Texts = []tune.TextAt{{At: -1, Text: "x"}} }},
		{`voice 1 has an event here and not at "0"`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.At = 1 }},
		{"does not fit the bar", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Len = 0 }},
		{"does not fit the bar", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Len = 2 * b.Len }},
		{`voice 1 ends here and the bar at "1"`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { b.Lines[0] = b.Lines[0][:2] }},
		{`written as "1/2"`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Value.Log2 = 1 }},
		{"written value with logarithm 11", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Value.Log2 = 11 }},
		{"a bar rest is not a rest", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Value.BarRest = true }},
		{"leaves a tuplet open", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			b.Lines[0][2].Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Starts: true}}
		}},
		{"goes on here that did not begin", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			e.Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Ends: true}}
		}},
		{"a tuplet of 0 in the time of 2", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			e.Tuplets = []tune.Tuplet{{Normal: 2, Starts: true, Ends: true}}
		}},
		{"has not ended", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			e.Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Starts: true}}
		}},
		{"ends before the one inside it", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			e.Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Starts: true, Ends: true}, {Actual: 1, Normal: 1, Starts: true}}
		}},
		{"has 0 notes", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes = nil }},
		{"a rest has notes", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Kind = tune.Rest }},
		{"unknown kind 9", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Kind = 9 }},
		{"not from low to high", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes = notes("E4+C4") }},
		{"beyond all instruments", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes[0].Name.Octave = 11 }},
		{"altered by 3", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes[0].Name.Alter = 3 }},
		{"a scoop of 25", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes[0].Scoop = 25 }},
		{"tied and glides too", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes = notes("C4-/") }},
		{`"C4" is tied to nothing`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes[0].Tie = true }},
		{`"E4" is tied to nothing`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes = notes("C4+E4-") }},
		{`"C4" glides to nothing`, func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Notes = notes("C4/+E4") }},
		{"a grace has 0 notes", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Graces = []tune.Grace{{}} }},
		{"a grace \"D4\" is tied", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Graces = []tune.Grace{{Notes: notes("D4-")}} }},
		{"an event has 33 graces", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			e.Graces = make([]tune.Grace, 33)
		}},
		{"a mark is of the unknown kind 0", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Marks = []tune.Mark{0} }},
		{"ends a slur that does not begin", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.SlurEnds = 1 }},
		{"voice 1 leaves 1 slurs open", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Slurs = 1 }},
		{"of verse 0", func(t *tune.Tune, b *tune.Bar, e *tune.Event) { e.Lyrics = []tune.Lyric{{Text: "la"}} }},
		{"goes back to a segno that is not there", func(t *tune.Tune, b *tune.Bar, e *tune.Event) {
			b.Signs = []tune.Sign{{Kind: tune.DalSegno}}
		}},
	} {
		tn := sound()
		c.spoil(tn, &tn.Bars[0], &tn.Bars[0].Lines[0][0])
		faults := tn.Check()
		found := false
		for _, f := range faults {
			found = found || strings.Contains(f.Error(), c.want)
		}
		if !found {
			t.Errorf("got %v, want %q", faults, c.want)
		}
	}
}

// TestCheckIsCalm: no value of a field makes Check panic.
func TestCheckIsCalm(t *testing.T) {
	for _, spoil := range []func(*tune.Tune){
		func(t *tune.Tune) { t.Bars[0].Lines = nil },
		func(t *tune.Tune) { t.Bars[1].Lines[0] = nil },
		func(t *tune.Tune) { t.Bars[0].Lines[0][0].Notes[0].Name.Letter = 9 },
		func(t *tune.Tune) { t.Bars[0].Lines[0][0].Value = tune.Value{Log2: -100, Dots: 100} },
		func(t *tune.Tune) { t.Bars[0].Len = 1 << 62 },
		func(t *tune.Tune) { t.Bars[0].Meter = tune.Meter{Beats: math.MaxInt, Unit: -1} },
		func(t *tune.Tune) { t.Bars[0].Key = pitch.Key{Signature: [7]int8{100}} },
	} {
		tn := score("C4:2 E4-:2 | E4:1")
		spoil(tn)
		if len(tn.Check()) == 0 {
			t.Error("a spoiled tune has no fault")
		}
	}
}
