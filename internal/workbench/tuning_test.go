package workbench

import (
	"encoding/json"
	"math"
	"testing"

	"lapwright/page"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig/rigtest"
	"lapwright/sound"
)

// TestTheTunerHearsAString: a second of a string that is 20 cents flat is told so, against how it is meant to be tuned
// and with the capo off, when A4 is where the teacher has it.
func TestTheTunerHearsAString(t *testing.T) {
	g := rigtest.Builtin(t, "reso-open-g")
	third := pitch.Equal(float64(g.OpenKey(2, 0))-0.20, 415) // B3, the third of the chord
	chord, err := retune.OpenChordOf(g)
	if err != nil {
		t.Fatal(err)
	}
	heard := sound.Tones([]pitch.Hz{third}).Channels[0]
	g, err = g.WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	tuned, err := retune.NewTuned(g, chord, 415, 0.5, pitch.FiveLimit)
	if err != nil {
		t.Fatal(err)
	}
	told := TunerOf(tuned, g)
	for way, want := range map[string]float64{"equal": -20, "just": -20 + 13.7, "between": -20 + 13.7/2} { // 5/4 lies 13.7 cents under four semitones
		question, err := json.Marshal(report.Asked{What: "strings", Rig: told.Rig, Tuned: told.Ways[way]})
		if err != nil {
			t.Fatal(err)
		}
		var got report.Open
		if err := json.Unmarshal(new(page.Lesson).Answer(question, page.Whole(heard, sound.Rate)), &got); err != nil || len(got.Strings) != len(g.Strings) {
			t.Fatalf("%s: %d strings (%v)", way, len(got.Strings), err)
		}
		for _, s := range got.Strings {
			if heard := s.Cents != nil; heard != (s.String == 2) || heard && math.Abs(*s.Cents-want) > 1 {
				t.Errorf("%s: string %d is told %v cents off, want %g of string 2 alone", way, s.String, s.Cents, want)
			}
		}
	}
}
