package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange/accompany"
	"lapwright/arrange/frame"
	"lapwright/feel"
	"lapwright/grip"
	"lapwright/listen"
	"lapwright/listen/line"
	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound/loudness"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/wire"
)

// TestPhraseLines: a phrase in a line, with what it is made for and what it asks only
// where that is known; and where it stands, as one bar or several.
func TestPhraseLines(t *testing.T) {
	p := Phrase{Kind: "intro", Name: "walk", Words: "up to the tonic", Modes: []string{"major", "minor"}, Meter: "4/4"}
	const plain = "intro       walk                up to the tonic; major and minor, 4/4"
	if got := p.Line(); got != plain {
		t.Errorf("%q, want %q", got, plain)
	}
	p.Made = []string{"waltz", "march"}
	p.Costs(1.256)
	if got, want := p.Line(), plain+"; made for waltz, march; 1.26 points a note"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	for part, want := range map[FramePart]string{
		{"intro", "walk", 1, 4}:       "intro: walk, bars 1–4",
		{"ending", "tag", 17, 17}:     "ending: tag, bar 17",
		{"turnaround", "turn", 8, 9}:  "turnaround: turn, bars 8–9",
		{"turnaround", "hurry", 8, 8}: "turnaround: hurry, bar 8",
	} {
		if got := part.Line(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestFrameForm: bars are told as they are printed, the last included; a phrase that a
// rig can't play has no price.
func TestFrameForm(t *testing.T) {
	intro := frame.All(frame.Intro)[0]
	piece := &tune.Tune{Bars: []tune.Bar{{Number: 0}, {Number: 1}, {Number: 2}, {Number: 3}}}
	got := FrameOf(&frame.Framed{Tune: piece, Parts: []frame.Placed{{Phrase: intro, From: 1, To: 3}}})
	if len(got) != 1 || got[0] != (FramePart{"intro", intro.Name, 1, 2}) {
		t.Errorf("an intro over the first two full bars: %+v", got)
	}
	judged := PhrasesOf([]frame.Judged{{Phrase: intro, Plays: true, Cost: 2.5}, {Phrase: intro, Cost: 7}})
	if c := judged[0].Cost; c == nil || *c != 2.5 || judged[1].Cost != nil {
		t.Errorf("prices: %v, %v", judged[0].Cost, judged[1].Cost)
	}
}

// TestSpelledAsWritten: a note is named as the tune has it where it sounds, E flat in G
// major though the key would have D sharp there; where something else sounds, by the key.
func TestSpelledAsWritten(t *testing.T) {
	res := placed(t, "X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=80\nK:G\n_E4|]\n")
	sounds := func() string { return ArrangementOf(res).Events[0].Plucks[0].Sounds }
	if got := sounds(); got != "Eb4" {
		t.Errorf("E flat is told as %s", got)
	}
	p := &res.Tab.Strokes[0].Plucks[0]
	p.Fret++
	res.Tab.Strokes[0].Placement.FirstFret++
	res.Tab.Strokes[0].Placement.LastFret++
	if got := sounds(); got != "E4" {
		t.Errorf("a fret above E flat is told as %s", got)
	}
	// A string struck for the harmony answers to no note of the tune.
	p.Ref = tune.Ref{Bar: -1}
	if got := sounds(); got != "E4" {
		t.Errorf("without a note of the tune: %s", got)
	}
}

// TestBackupForm: the bass of a chord is told where the rig has one; D7 in G is the 5 with a
// seventh, "57" in numbers.
func TestBackupForm(t *testing.T) {
	res := placed(t, "X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=80\nK:G\nG4|]\n")
	chord, err := pitch.ParseChord("D7")
	if err != nil {
		t.Fatal(err)
	}
	low := grip.Sounded{String: 6, Fret: 7, Name: pitch.Note(pitch.D, 0, 3)}
	out := BackupOf(&accompany.Result{Result: res, Feel: feel.All()[0], Chords: []accompany.Chord{
		{BarNumber: 1, Written: chord, Played: chord, Bass: &low},
		{BarNumber: 2, Written: chord, Played: chord, Grip: []grip.Sounded{low}},
	}})
	if b := out.Chords[0].Bass; b == nil || *b != (BackupNote{6, 7, "D3"}) || len(out.Chords[0].Grip) != 0 {
		t.Errorf("with a bass: %+v", out.Chords[0])
	}
	if c := out.Chords[1]; c.Bass != nil || len(c.Grip) != 1 || c.Number != "57" {
		t.Errorf("without one: %+v", c)
	}
}

// TestHeardForm: a recording is told in seconds (docs/formats/json.md), of 48000 samples each, and
// silence has no level.
func TestHeardForm(t *testing.T) {
	got := NewHeard("x.wav", &tab.Tab{Rig: rigtest.OpenD(), Compromises: make([]tab.Compromise, 2)}, 72000, &loudness.Meter{}, 1.23456)
	if got.Seconds != 1.5 || got.CountIn != 1.235 || got.Compromises != 2 || got.Loudness != nil || got.TruePeak != nil {
		t.Errorf("a second and a half of silence: %+v", got)
	}
	if db := level(-14.006); db == nil || *db != -14.01 {
		t.Errorf("-14.006 dB is told as %v", db)
	}
}

// TestReviewFigures: lateness and delays are told in milliseconds, what can't be judged
// has one piece of advice and nothing else, what sounds now is told only when it is
// clear.
func TestReviewFigures(t *testing.T) {
	got := ReviewOf(&listen.Reviewed{Delay: 0.1234, TakenOff: -0.0206, Against: "differences", Tempo: math.NaN()})
	if *got.Delay != 123 || *got.TakenOff != -21 || got.Against != "differences" || got.Tempo != nil {
		t.Errorf("delays of 123.4 and -20.6 ms: %g, %g", *got.Delay, *got.TakenOff)
	}
	refused := ReviewOf(&listen.Reviewed{Refused: "too quiet", Tempo: 90, Notes: make([]listen.Note, 1)})
	if len(refused.Advice) != 1 || refused.Advice[0].Text != "too quiet" || refused.Tempo != nil || len(refused.Notes) != 0 {
		t.Errorf("a take that can't be judged: %+v", refused)
	}
	if now := NowOf(listen.Heard{String: 2, Fret: 7, Cents: -3.04, MM: math.NaN(), At: 6.97214, Behind: 0.0316}, true); now.String != 2 || *now.Cents != -3 || now.MM != nil || now.At != 6.972 || now.Behind != 31.6 {
		t.Errorf("what sounds now: %+v", now)
	}
	written := WrittenOf(&line.Written{Tempo: 88.04, Notes: make([]line.WrittenNote, 2)})
	if len(written.Notes) != 2 || written.Tempo == nil || *written.Tempo != 88 {
		t.Errorf("a line written down: %+v", written)
	}
	if none := WrittenOf(&line.Written{Refused: "two voices", Tempo: 88, Notes: make([]line.WrittenNote, 2)}); len(none.Notes) != 0 || none.Tempo != nil || none.Refused == "" {
		t.Errorf("one that can't be: %+v", none)
	}
	if now := NowOf(listen.Heard{String: 2, Fret: 7}, false); now != (Now{}) {
		t.Errorf("nothing clear: %+v", now)
	}
}

// TestRigTable: strings counted from 1, the gauge in inches as it is sold and in
// millimetres (an inch is 25.4 mm), the pull in newtons and pounds (4.4482 N).
func TestRigTable(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	table, load := RigTableOf(r), r.Load()
	if want := fmt.Sprintf("%.0f N (%.0f lb) of", float64(load.Total), float64(load.Total)/4.4482); !strings.HasPrefix(table.Load, want) {
		t.Errorf("the load is %q, want %q…", table.Load, want)
	}
	for i, row := range table.Strings {
		l := load.Strings[i]
		if row.Number != i+1 || row.Finding != string(l.Finding) {
			t.Errorf("row %d is of string %d, %s", i, row.Number, row.Finding)
		}
		if want := fmt.Sprintf("%.0f N (%.0f lb)", float64(l.Pull), float64(l.Pull)/4.4482); row.Tension != want {
			t.Errorf("string %d pulls %q, want %q", i+1, row.Tension, want)
		}
		if want := fmt.Sprintf("%.0f %%", l.BentShare*100); row.Share != want {
			t.Errorf("string %d is at %q, want %q", i+1, row.Share, want)
		}
	}
	if first := table.Strings[0]; first.Gauge != ".014 in (0.36 mm)" || first.Short != "14" || first.Wire != "plain, music wire" || first.Open != "E4" {
		t.Errorf("string 1 of the C6 lap steel: %+v", first)
	}
	if w := wireText(wire.String{Wound: true, Material: "nickel"}); w != "wound, nickel" {
		t.Errorf("a wound string: %q", w)
	}
}

// TestStringMass: steel of 7850 kg/m³, 0.016 in thick, weighs π/4·(0.4064 mm)²·7850 =
// 1.018 g a metre.
func TestStringMass(t *testing.T) {
	if got := specOf(wire.String{Diameter: 0.4064, Material: wire.MusicWire}).GramsPerM; got != 1.02 {
		t.Errorf("%g g/m, want 1.02", got)
	}
}

// TestDesignForm: strings counted from 1, gauges from the lowest on; without a kind of
// body nothing is judged and no reason is given.
func TestDesignForm(t *testing.T) {
	d := &retune.Design{Wanted: []wire.Newtons{100, 120}, Best: retune.Set{
		Strings: []wire.String{{Diameter: 0.4064, Material: wire.MusicWire}, {Diameter: 1.0668, Wound: true, Material: wire.MusicWire}},
		Pulls:   [][]wire.Newtons{{101.4, 118.6}}, Totals: []wire.Newtons{220}, Loads: []wire.Newtons{220}, Shares: []float64{0.4, 0.55},
	}}
	w := retune.Requirements{Scale: 572, Reference: 440, Limit: 100}
	out := DesignOf(d, w)
	if out.Best.Gauges != "42w 16" || len(out.Reasons) != 0 || out.Finding != "" || out.RunnerUp != nil {
		t.Errorf("a design: %+v", out)
	}
	for i, s := range out.Best.Strings {
		if s.String != i+1 || s.WantedN != []float64{100, 120}[i] || !slices.Equal(s.PullsN, []float64{[]float64{101, 119}[i]}) || s.BreakPercent != []float64{40, 55}[i] {
			t.Errorf("string %d: %+v", i+1, s)
		}
	}
	w.Body = rig.Builtins()[0].Body
	if out := DesignOf(d, w); len(out.Reasons) != 1 || out.Finding == "" {
		t.Errorf("over the limit for its body: %+v", out)
	}
}

// TestSetupForm: a bender's row has a figure under each string that it moves.
func TestSetupForm(t *testing.T) {
	got := SetupOf(rigtest.OpenD()).Benders
	for i, want := range [][]int{{0, 0, 1, 0, 0, 0}, {0, 2, 0, 0, 0, 0}, {0, 0, 0, 1, 0, 0}} {
		if !slices.Equal(got[i].Moves, want) {
			t.Errorf("%s moves %v, want %v", got[i].Name, got[i].Moves, want)
		}
	}
}

// TestBeatsForm: beats are those of a string and the next one.
func TestBeatsForm(t *testing.T) {
	got := TargetsOf(&retune.Tuned{Beats: []retune.Beat{{String: 2, Upper: 4, Lower: 5, Equal: 1.26}}}, rigtest.OpenD()).Beats
	if len(got) != 1 || got[0].Strings != [2]int{2, 3} || got[0].Partials != [2]int{4, 5} || got[0].Equal != 1.3 {
		t.Errorf("beats of strings 2 and 3: %+v", got)
	}
}
