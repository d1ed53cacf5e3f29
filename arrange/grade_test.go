package arrange

import (
	"slices"
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// lane is a quick tune of our own.
func lane(t testing.TB) *tune.Tune {
	return tunetest.Score(t, "G", "G4:1 A4:1 B4:1 C5:1 D5:1 B4:1 A4:1 G4:1 A4:1 B4:1 C5:1 A4:1 F#4:1 E4:1 D4:1 F#4:1 G4:8")
}

// What each grade asks for, and what can be set apart from it.
func TestGradesAskFor(t *testing.T) {
	for _, c := range []struct {
		o       Options
		touch   Touch
		harmony Harmony
		limits  grip.Level
		vibrato bool
	}{
		{Options{}, LightTouch, NoHarmony, grip.Steady, false},
		{Options{Grade: FirstGrade}, PlainTouch, NoHarmony, grip.FirstYear, false},
		{Options{Grade: ThirdGrade}, FullTouch, FullChords, grip.Seasoned, true},
		{Options{Grade: ThirdGrade, Touch: PlainTouch, Harmony: Thirds}, PlainTouch, Thirds, grip.Seasoned, false},
		{Options{Grade: FirstGrade, Touch: FullTouch, Harmony: FullChords}, FullTouch, FullChords, grip.FirstYear, true},
		{Options{Grade: FirstGrade, Level: grip.Seasoned}, PlainTouch, NoHarmony, grip.Seasoned, false},
	} {
		o := c.o.graded(lane(t))
		if o.Touch != c.touch || o.Harmony != c.harmony || o.limits() != grip.LimitsOf(c.limits) || o.Vibrato != c.vibrato {
			t.Errorf("%+v became %+v", c.o, o)
		}
	}
	two := tunetest.Score(t, "G", "G4:4 B4:4", "D4:8")
	if o := (Options{Grade: ThirdGrade}).graded(two); o.Harmony != NoHarmony {
		t.Errorf("two voices are given %v", o.Harmony)
	}
	for _, g := range Grades {
		if got, err := ParseGrade(g.String()); err != nil || got != g {
			t.Errorf("%v is read as %v, %v", g, got, err)
		}
	}
	if _, err := ParseGrade("fourth"); err == nil || !strings.Contains(err.Error(), "first, second or third") {
		t.Errorf("fourth: %v", err)
	}
}

// The first grade stays in one position, never leans, leaves out and lists; its whole tune
// leaves out nothing; the third adds to what the second plays, in its places.
func TestGradesOfOneTune(t *testing.T) {
	of := lane(t)
	first := must(t, of, "lap6-c6", Options{Grade: FirstGrade})
	low, high := first.Tab.Frets()
	if o := first.Outline; o == nil || o.High == 0 || o.High-o.Low > 6 || int(low) < o.Low && low > 0 || int(high) > o.High || len(first.Tab.LeftOut) != o.Notes-o.Kept || !o.Guessed {
		t.Errorf("frets %g to %g, %d left out, %+v", low, high, len(first.Tab.LeftOut), o)
	}
	if !strings.Contains(first.Outline.Words(), "guessed") || !strings.Contains(first.Outline.Words(), "an outline: ") {
		t.Error(first.Outline.Words())
	}
	whole := must(t, of, "lap6-c6", Options{Grade: FirstGrade, Whole: true})
	if whole.Outline != nil || len(whole.Tab.LeftOut) > 0 || len(whole.Tab.Strokes) != 17 {
		t.Errorf("the whole tune has %d strokes and leaves out %d", len(whole.Tab.Strokes), len(whole.Tab.LeftOut))
	}
	second, third := must(t, of, "lap6-c6", Options{}), must(t, of, "lap6-c6", Options{Grade: ThirdGrade})
	if second.Setting() != third.Setting() {
		t.Fatalf("second in %+v, third in %+v", second.Setting(), third.Setting())
	}
	plain := third.Tab.Plain()
	for i := range second.Tab.Strokes {
		a, b := second.Tab.Strokes[i].Plucks[0], plain.Strokes[i].Plucks
		if !slices.ContainsFunc(b, func(p tab.Pluck) bool { return p.String == a.String && p.Fret == a.Fret }) {
			t.Errorf("stroke %d: string %d fret %g in the second grade, %+v in the third", i, a.String, a.Fret, b)
		}
	}
	if !slices.ContainsFunc(third.Tab.Added, func(a tab.Added) bool { return a.Kind == tab.AddVibrato }) {
		t.Errorf("the third grade adds %v", third.Tab.Added)
	}
}

// A pin on a note that the outline leaves out sleeps and says so; one on a note that stays
// holds, though it lies outside the position.
func TestPinsOnAnOutline(t *testing.T) {
	first := must(t, lane(t), "lap6-c6", Options{Grade: FirstGrade})
	at, fret := first.Tab.LeftOut[0].At, 3
	o := Options{Grade: FirstGrade, Pins: []Pin{{FromBarNumber: 1, At: &at, Fret: &fret}}}
	res := must(t, lane(t), "lap6-c6", o)
	if a := res.Outline.Asleep; len(a) != 1 || !strings.Contains(a[0], "leaves that note out") {
		t.Errorf("asleep: %q", a)
	}
	zero := tune.Ticks(0)
	o.Pins = []Pin{{FromBarNumber: 1, At: &zero, String: 4}}
	res = must(t, lane(t), "lap6-c6", o)
	if p := res.Tab.Strokes[0].Plucks[0]; p.String != 4 || len(res.Outline.Asleep) > 0 {
		t.Errorf("pinned to string 4 it is played on string %d; asleep: %q", p.String, res.Outline.Asleep)
	}
	o.Pins = []Pin{{FromBarNumber: 9, String: 4}}
	if _, err := Arrange(t.Context(), lane(t), rigtest.Builtin(t, "lap6-c6"), o); err == nil || !strings.Contains(err.Error(), "bars run from") {
		t.Errorf("a pin on bar 9: %v", err)
	}
}
