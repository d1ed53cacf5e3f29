package lesson_test

import (
	"testing"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tune"
)

// TestCountsAgree: the summary of a lesson, the report of an arrangement and the
// words that tell a tab count slants, frets and bars alike. The tune leans the bar
// again and again, holds a slant over several strokes, and begins with a pickup.
func TestCountsAgree(t *testing.T) {
	pieces, _, err := notation.Read([]byte("X:1\nT:Leading\nM:4/4\nL:1/4\nK:C\nG|[B,F][B,F][CE][B,F]|[B,F][EG][B,F]2|[DB][DB][CA][DB]|[CE]3|\n"), "tune.abc")
	if err != nil {
		t.Fatal(err)
	}
	in := pieces[0].Tune
	slants, ranges := 0, 0
	for _, r := range rig.Builtins() {
		for _, o := range []arrange.Options{{Closed: true}, {Closed: true, Level: grip.Seasoned}, {}} {
			res, err := arrange.Arrange(t.Context(), in, r, o)
			if err != nil {
				t.Fatal(err)
			}
			s, rep := report.Summarise(res), report.ArrangementOf(res)
			if s.Slants != rep.Slants {
				t.Errorf("%s: %d slants in the summary, %d in the report", r.Name, s.Slants, rep.Slants)
			}
			if s.LowFret != rep.Frets.Low || s.HighFret != rep.Frets.High {
				t.Errorf("%s: frets %g to %g in the summary, %g to %g in the report", r.Name, s.LowFret, s.HighFret, rep.Frets.Low, rep.Frets.High)
			}
			slants += rep.Slants
			if rep.Frets.High > rep.Frets.Low {
				ranges++
			}
		}
	}
	if slants < 10 || ranges < 5 {
		t.Errorf("%d slants and %d ranges of frets: too few to tell anything", slants, ranges)
	}
	if got := in.CountBars(); got != 4 {
		t.Errorf("%d bars after a pickup, want 4", got)
	}
	if got := say.NewTeller(in, nil).Head(); got[len(got)-1] != "In C major, 4 4 time, 4 bars." {
		t.Errorf("told: %q", got)
	}
	two := tune.Tune{Bars: []tune.Bar{{Number: 1}, {Number: 1}, {Number: 2}}}
	if got := two.CountBars(); got != 2 {
		t.Errorf("a bar in two halves and another are %d bars, want 2", got)
	}
}
