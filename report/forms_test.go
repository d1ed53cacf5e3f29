package report

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/listen"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/wire"
)

func placed(t *testing.T, text string) *arrange.Result {
	t.Helper()
	tunes, _, err := abc.Read([]byte(text), "t.abc")
	if err != nil {
		t.Fatal(err)
	}
	r := rigtest.Builtin(t, "reso-open-g")
	res, err := arrange.Arrange(t.Context(), tunes[0], r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// TestArrangementForm: the events of a form tell the tune as it is heard, repeats
// played out, each with its string, its fret and what that sounds.
func TestArrangementForm(t *testing.T) {
	res := placed(t, "X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=80\nK:G\n|:G2 B2|[GBd]4-|[GBd]4:|\n")
	form := ArrangementOf(res)
	var got []string
	for _, e := range form.Events {
		names := []string{}
		for _, p := range e.Plucks {
			names = append(names, p.Sounds)
			if math.Abs(p.CentsOff) > tab.CentsAllowed {
				t.Errorf("%s at %s is %g cents off", p.Sounds, e.At, p.CentsOff)
			}
		}
		w := fmt.Sprintf("%d:%s:%s %s", e.Bar, e.At, e.Length, strings.Join(names, "+"))
		if e.Tied {
			w += " tied"
		}
		got = append(got, w)
		if n := len(e.Plucks); n > 0 && (e.Placement.HighestFret != e.Plucks[0].Fret || e.Placement.LowestFret != e.Plucks[n-1].Fret) {
			t.Errorf("bar %d: frets %g and %g, of %+v", e.Bar, e.Placement.HighestFret, e.Placement.LowestFret, e.Plucks)
		}
	}
	const want = "1:0:1/2 G4; 1:1/2:1/2 B4; 2:1:1 D5+B4+G4; 3:2:1 D5+B4+G4 tied; 1:3:1/2 G4; 1:7/2:1/2 B4; 2:4:1 D5+B4+G4; 3:5:1 D5+B4+G4 tied"
	if g := strings.Join(got, "; "); g != want {
		t.Errorf("events\n%s\nwant\n%s", g, want)
	}
	// A compromise in a bar that comes twice is told both times, in the time of each.
	res.Tab.Compromises = []tab.Compromise{tab.NewCompromise(res.Tab.Tune, res.Tab.Strokes[1].Plucks[0].Ref, res.Tab.Strokes[1].At, tab.NotPlayed, 0, "because")}
	var at []string
	for _, c := range ArrangementOf(res).Compromises {
		at = append(at, c.At)
	}
	if g := strings.Join(at, " "); g != "1/2 7/2" {
		t.Errorf("the compromise is told at %s, want 1/2 and 7/2", g)
	}
	// An event without a pluck is no tie.
	res.Tab.Strokes[1].Plucks = nil
	if e := ArrangementOf(res).Events[1]; e.Tied || e.Placement.HighestFret != 0 {
		t.Errorf("an event of nothing: %+v", e)
	}
}

// TestTabForm: the open strings of the built-in rig in hertz (equal temperament at
// A4 = 440 Hz: D4 293.66, B3 246.94, G3 196.00, D3 146.83, B2 123.47, G2 98.00) and
// the names of what lies between two keys.
func TestTabForm(t *testing.T) {
	res := placed(t, "X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=80\nK:G\nG4|]\n")
	form := TabOf(res.Tab, &sound.Timing{})
	if got := fmt.Sprint(form.Neck.Hz); got != "[293.66 246.94 196 146.83 123.47 98]" {
		t.Errorf("the open strings sound %s", got)
	}
	if got := form.Strokes[0].Plucks[0]; got.Sounds != "G4" {
		t.Errorf("the note sounds %+v", got)
	}
	for key, want := range map[float64]string{67: "G4", 67.12: "G4 +12", 66.9: "G4 -10", 67.004: "G4", 66: "F#4"} {
		if got := soundsAs(key, 1); got != want {
			t.Errorf("key %g is %q, want %q", key, got, want)
		}
	}
}

// TestRigForms: strings are numbered from 1; a pound of force is 4.4482 N (ISO
// 80000-4), an inch 25.4 mm; shares are told in percent.
func TestRigForms(t *testing.T) {
	for _, r := range rig.Builtins() {
		form, load := RigOf(r), TensionOf(r, 3)
		if len(form.StringList) != len(r.Strings) || len(load.Strings) != len(r.Strings) {
			t.Fatalf("%s: %d and %d strings of %d", r.Name, len(form.StringList), len(load.Strings), len(r.Strings))
		}
		judged := r.WithoutCapo().Load()
		for i, s := range form.StringList {
			u, l := load.Strings[i], judged.Strings[i]
			if s.String != i+1 || u.String != i+1 || s.Pitch != r.Strings[i].Open.String() {
				t.Errorf("%s: string %d is told as %d and %d, %s", r.Name, i+1, s.String, u.String, s.Pitch)
			}
			if math.Abs(u.PullLb-float64(l.Pull)/4.4482) > 0.051 || math.Abs(u.PullN-float64(l.Pull)) > 0.501 {
				t.Errorf("%s: string %d pulls %.2f N: told %g N, %g lb", r.Name, i+1, float64(l.Pull), u.PullN, u.PullLb)
			}
			if math.Abs(u.BreakPercent-100*l.Share) > 0.501 || math.Abs(u.PullPercent-100*l.Spread) > 0.0501 || math.Abs(u.BreakSpread-100*l.Share*l.ShareSpread) > 0.0501 {
				t.Errorf("%s: string %d: %g ± %g of breaking, pull ± %g; of %+v", r.Name, i+1, u.BreakPercent, u.BreakSpread, u.PullPercent, l)
			}
			if bent := l.BentKey != r.WithoutCapo().OpenKey(i+1, 0); (u.Bent != nil) != bent {
				t.Errorf("%s: string %d is bent %v: %+v", r.Name, i+1, bent, u.Bent)
			}
			if u.Spec.MassSource != "model" {
				t.Errorf("%s: string %d is weighed: %s", r.Name, i+1, u.Spec.MassSource)
			}
		}
		if want := float64(judged.Total) * judged.Spread; math.Abs(load.UncertaintyN-want) > 0.501 {
			t.Errorf("%s: %g N ± %g, want ± %.2f", r.Name, load.TotalN, load.UncertaintyN, want)
		}
		for _, b := range load.Bends {
			if b.From != r.WithoutCapo().Strings[b.String-1].Open.String() {
				t.Errorf("%s: %s bends string %d from %s", r.Name, b.Bender, b.String, b.From)
			}
		}
	}
	if got := specOf(wire.String{Diameter: 0.4064, Measured: 0.001}); got.MassSource != "measured" {
		t.Errorf("a weighed string: %+v", got)
	}
	for got, want := range map[float64]float64{inches(0.4064): 0.016, inches(25.4): 1, percentTenths(0.1234): 12.3, percent(0.1234): 12, pounds(444.82): 100} {
		if got != want {
			t.Errorf("told %g, want %g", got, want)
		}
	}
}

// TestReviewForm: what was missed has no pitch, and what can't be known is left out
// rather than told as zero.
func TestReviewForm(t *testing.T) {
	for v, want := range map[float64]string{0.1234: "0.12", -0.004: "0", 1.005: "1", 2: "2"} {
		got := known(v, 2)
		if got == nil || fmt.Sprint(*got) != want {
			t.Errorf("%g is told as %v, want %s", v, got, want)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := known(v, 2); got != nil {
			t.Errorf("%g is told as %g", v, *got)
		}
	}
	heard := listen.Reviewed{
		Notes: []listen.Note{
			{BarNumber: 1, String: 1, Status: listen.Missed, Onset: 1, Late: math.NaN()},
			{BarNumber: 2, String: 1, Onset: 1.23456, Late: 0.0426, Cents: -7.004},
		},
		Advice: []listen.Advice{{Text: "slower"}},
	}
	got := ReviewOf(&heard)
	if n := got.Notes[0]; n.Onset != nil || n.Late != nil {
		t.Errorf("a missed note is heard: %+v", n)
	}
	if n := got.Notes[1]; n.Onset == nil || *n.Onset != 1.2346 || *n.Late != 43 || *n.Cents != -7 {
		t.Errorf("a note is told as %+v", n)
	}
	if got.Tempo != nil {
		t.Errorf("a tempo that nobody kept is told as %g", *got.Tempo)
	}
	if got.Advice[0].Bars == nil {
		t.Error("advice for no bar is null")
	}
	heard.Tempo = 92.04
	if got := ReviewOf(&heard).Tempo; got == nil || *got != 92 {
		t.Errorf("a tempo of 92.04 is told as %v", got)
	}
}
