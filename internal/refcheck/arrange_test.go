package refcheck

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/arrange/transfer"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/rig/rigtest"
)

// play arranges a bar of ABC in its written key and octave and gives the
// strokes as "string:fret" lists.
func play(t *testing.T, rigName, music string, o arrange.Options) []string {
	t.Helper()
	tunes, _, err := abc.Read([]byte("X:1\nT:fact\nM:4/4\nL:1/4\nK:C\n"+music+"|]\n"), "fact.abc")
	if err != nil {
		t.Fatal(err)
	}
	r := rigtest.Builtin(t, rigName)
	zero := 0
	o.Octave, o.Key = &zero, &tunes[0].Bars[0].Key.Tonic
	if r.Capo.Highest > 0 && o.Capo == nil {
		o.Capo = &zero
	}
	res, err := arrange.Arrange(t.Context(), tunes[0], r, o)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for i := range res.Tab.Strokes {
		s := &res.Tab.Strokes[i]
		var notes []string
		for _, p := range s.Plucks {
			notes = append(notes, fmt.Sprintf("%d:%g", p.String, p.Fret))
		}
		word := strings.Join(notes, " ")
		for b := range res.Tab.Rig.Benders {
			if s.Benders.Has(b) {
				word += " " + res.Tab.Rig.Benders[b].Mark
			}
		}
		out = append(out, word)
	}
	return out
}

// TestTradeFacts: what every player of these tunings knows (common practice, no
// source) comes out of the arranger.
func TestTradeFacts(t *testing.T) {
	at := func(fret int) arrange.Options { return arrange.Options{Closed: true, Low: fret, High: fret} }
	for _, c := range []struct {
		fact, rig, music string
		o                arrange.Options
		want             []string
	}{
		{"high open G: the triad of strings 6 5 4 comes again on 3 2 1", "reso-open-g", "[G,,B,,D,]2[G,B,D]2", arrange.Options{High: 1}, []string{"4:0 5:0 6:0", "1:0 2:0 3:0"}},
		{"and so does any shape", "reso-open-g", "[C,E,G,]2[CEG]2", at(5), []string{"4:5 5:5 6:5", "1:5 2:5 3:5"}},
		{"open D: strings 6 5 4 are root, fifth, root", "tricone-open-d", "[D,,A,,D,]4", arrange.Options{High: 1}, []string{"4:0 5:0 6:0"}},
		{"open D: strings 4 2 1 are root, fifth, root", "tricone-open-d", "[D,A,D]4", arrange.Options{High: 1}, []string{"1:0 2:0 4:0"}},
		{"open D: the same at the 5th fret is G", "tricone-open-d", "[G,,D,G,]2[G,DG]2", at(5), []string{"4:5 5:5 6:5", "1:5 2:5 4:5"}},
		{"open D: string 3 carries the major third", "tricone-open-d", "[D,^F,A,]4", arrange.Options{High: 1}, []string{"2:0 3:0 4:0"}},
		{"open D: strings 3 and 1 are a minor sixth apart", "tricone-open-d", "[B,G]4", at(5), []string{"1:5 3:5"}},
		{"benders 3 up one and 2 up two make G of open D on strings 4 3 2", "bender-open-d", "[D,G,B,]1", arrange.Options{High: 1}, []string{"2:0 3:0 4:0 A B"}},
		{"the string 2 bender alone makes G minor at the 8th fret on strings 4 3 2", "bender-open-d", "[_B,DG]1", at(8), []string{"2:8 3:8 4:8 B"}},
		{"C6 holds C major", "lap6-c6", "[E,G,C]1", arrange.Options{High: 1}, []string{"2:0 4:0 5:0"}},
		{"and A minor", "lap6-c6", "[A,CE]1", arrange.Options{High: 1}, []string{"1:0 2:0 3:0"}},
		{"the low B flat under C6 makes the thirteenth chord's seventh", "lap8-c13", "[_B,,E,A,]1", arrange.Options{High: 1}, []string{"3:0 5:0 7:0"}},
	} {
		t.Run(c.fact, func(t *testing.T) {
			got := play(t, c.rig, c.music, c.o)
			for i, want := range c.want {
				if i >= len(got) || got[i] != want {
					t.Errorf("got %q, want %q", got, c.want)
				}
			}
		})
	}
	// Pedals A and B on the ninth tuning: strings 8 6 5 are E G# B, and with both
	// pedals E A C#, the bar unmoved.
	got := play(t, "pedal10-e9", "[E,^G,B,]1[E,A,^C]1", arrange.Options{Low: 12, High: 12})
	if !slices.Equal(got, []string{"5:0 6:0 8:0", "5:0 6:0 8:0 A B"}) {
		t.Errorf("pedals A and B: %q", got)
	}
}

// TestSharedPatterns: strings 1–4 of open G have the intervals of strings 2–5 of
// open D, and high open G repeats itself three strings lower (common practice,
// no source).
func TestSharedPatterns(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	d, _ := rig.Builtin("tricone-open-d")
	if runs := transfer.SharedRuns(g, d); len(runs) == 0 || runs[0].Words() != "strings 1–4 here are strings 2–5 there, same frets, sounding 5 semitones lower" {
		t.Errorf("open G and open D: %+v", runs)
	}
	if !slices.Contains(transfer.SharedRuns(g, g), transfer.SharedRun{From: 1, To: 4, Strings: 3, Semitones: -12}) {
		t.Errorf("open G and itself: %+v", transfer.SharedRuns(g, g))
	}
	e, err := d.WithCapo(2)
	if err == nil {
		t.Errorf("a tricone has a capo: %v", e.TuningText())
	}
	// Open E is open D with a sliding capo at fret 2.
	b, _ := rig.Builtin("bender-open-d")
	e, err = b.WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	var open []string
	for _, s := range slices.Backward(e.Strings) {
		open = append(open, s.Open.String())
	}
	if strings.Join(open, " ") != "E2 B2 E3 G#3 B3 E4" {
		t.Errorf("open D with the capo at fret 2 sounds %v", open)
	}
}
