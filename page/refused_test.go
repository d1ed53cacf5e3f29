package page

import (
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/listen"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound"
)

// TestWishesThatAreNone: a wish that the arranger does not know is refused, each by its own name.
func TestWishesThatAreNone(t *testing.T) {
	good := WishesOf(arrange.Options{Touch: arrange.PlainTouch, Harmony: arrange.Thirds})
	good.Key = "G"
	if o, err := Options(good); err != nil || o.Key == nil || o.Touch != arrange.PlainTouch || o.Harmony != arrange.Thirds {
		t.Errorf("%+v is taken as %+v: %v", good, o, err)
	}
	for what, change := range map[string]func(w *report.Wishes){
		"grade": func(w *report.Wishes) { w.Grade = "ninth" }, "touch": func(w *report.Wishes) { w.Touch = "feathery" }, "harmony": func(w *report.Wishes) { w.Harmony = "elevenths" }, "key": func(w *report.Wishes) { w.Key = "H" },
	} {
		w := good
		change(&w)
		if _, err := Options(w); err == nil {
			t.Errorf("an unknown %s is taken: %+v", what, w)
		}
	}
}

// TestStringsTunedInNoWay: strings are held against a way to tune that there is, and the answer is refused where there is none.
func TestStringsTunedInNoWay(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	file := string(rig.Format(r))
	samples := pluck(130.81, 1) // C3, the lowest string, at A4 = 440 Hz
	got := asked[report.Open](t, &Lesson{}, report.Asked{What: "strings", Rig: file, Tuned: "equal"}, Whole(samples, sound.Rate))
	if len(got.Faults) > 0 {
		t.Errorf("a string that sounds is refused: %s", said(got.Refused))
	}
	for _, what := range []string{"strings", "review", "now"} {
		_, text, _ := sounded(t)
		got := said(asked[any](t, &Lesson{}, report.Asked{What: what, Rig: file, Tab: text, Tuned: "sideways"}, Whole(samples, sound.Rate)).Refused)
		if got == "" {
			t.Errorf("%s of strings tuned sideways are answered", what)
		}
	}
}

// TestFiguresOfOddNotes: a note of a string that the review does not list counts for the whole and for no string.
func TestFiguresOfOddNotes(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	var notes []report.ReviewNote
	for _, str := range []int{0, 1, 2, 3, 9} {
		notes = append(notes, report.ReviewNote{String: str, Fret: 3, Status: "played", Cents: v(float64(10 * str)), Sure: true})
	}
	got := FiguresOf(&report.Review{Strings: []report.ReviewString{{String: 1}, {String: 2}}, Notes: notes})
	if got.Played != 5 || got.Cents == nil || *got.Cents != 20 || len(got.Strings) != 2 || *got.Strings[0] != 10 || *got.Strings[1] != 20 {
		t.Errorf("the figures are %+v", got)
	}
}

// TestLateAgainstWhat: a time is told as one from the click where there was a click or another's beat to go by, else as one alone; fifty of a hundred notes is no mistake
// of counting.
func TestLateAgainstWhat(t *testing.T) {
	late := 20.0
	for against, want := range map[string]bool{string(listen.AgainstClick): true, string(listen.AgainstDifferences): true, "steady": false, "": false} {
		line := Compare([]report.TakeFigures{{Wanted: 100, Played: 50, Late: &late, Against: against}}).Takes[0]
		if strings.Contains(line.Late, "from the click") != want || !strings.HasPrefix(line.Late, "20 ms") || line.Notes != "50 of 100 notes" || line.Off != "" {
			t.Errorf("against %q: %+v", against, line)
		}
	}
}
