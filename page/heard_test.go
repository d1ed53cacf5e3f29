package page

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/listen"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/tune/tunetest"
)

// TestTakeIsHeardAsTheReviewHasIt: what the page is told of a take is the review's own JSON byte
// for byte, with a line and a mark for every note of it.
func TestTakeIsHeardAsTheReviewHasIt(t *testing.T) {
	r, _ := rig.Builtin("lap6-c6")
	res, err := arrange.Arrange(context.Background(), tunetest.Score(t, "C", "G4:4 E4:4 C4:4 D4:4 E4:4 G4:4 A4:4 G4:4"), r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, err := sound.Render(res.Tab, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	samples := a.Channels[0]
	delay := 0.02
	along := &report.Along{Rounds: []report.AlongRound{{At: 0, From: 0, To: 60, Speed: 1}}, Delay: &delay}
	q, err := json.Marshal(report.Asked{What: "review", Rig: string(rig.Format(res.Tab.Rig)), Tab: string(tabtext.Format(res.Tab)), Tuned: "equal", Along: along})
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		report.HeardTake
		Review json.RawMessage `json:"review"`
	}
	if err := json.Unmarshal((&Lesson{}).Answer(q, Whole(samples, sound.Rate)), &got); err != nil {
		t.Fatal(err)
	}
	take, err := listen.NewTake(samples, sound.Rate)
	if err != nil {
		t.Fatal(err)
	}
	v, err := listen.Review(take, res.Tab, listen.Options{Click: &listen.Click{Rounds: []listen.Round{{To: 60, Speed: 1}}, Delay: delay}})
	if err != nil {
		t.Fatal(err)
	}
	want, err := json.Marshal(report.ReviewOf(v))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Review, want) {
		t.Errorf("the page is told\n%s\nand the review says\n%s", got.Review, want)
	}
	// Nothing stands later in this take than it was sounded: by the delay that is taken off it is early.
	if n := v.Notes[3]; v.Against != listen.AgainstClick || math.Abs(n.Late+delay) > 0.002 || got.Figures.Against != "click" {
		t.Errorf("late by %g against %s, figures against %q", n.Late, v.Against, got.Figures.Against)
	}
	if got.Sheet == nil || len(got.Told) != len(v.Notes) || len(v.Notes) != 8 {
		t.Fatalf("%d notes are told of %d, sheet %v", len(got.Told), len(v.Notes), got.Sheet != nil)
	}
	if n := strings.Count(got.Sheet.Narrow, `class="heard played"`) + strings.Count(got.Sheet.Narrow, `class="played`); n < 8 {
		t.Errorf("the sheet has %d marks, want 8", n)
	}
	if got.Figures.Wanted != 8 || got.Figures.Played != 8 || got.Figures.Cents == nil || *got.Figures.Cents > 5 {
		t.Errorf("the figures are %+v", got.Figures)
	}
}

// TestTakesSideBySide: figures come back in words, and two that could be judged are drawn.
func TestTakesSideBySide(t *testing.T) {
	off, late, tempo := 7.4, 31.6, 88.2
	one := report.TakeFigures{Label: "2026-11-30", Wanted: 8, Played: 7, Cents: &off, Late: &late, Tempo: &tempo, Strings: []*float64{&off, nil}, Regions: []*float64{nil, &off, nil}}
	got := Compare([]report.TakeFigures{one, {Label: "nothing heard"}})
	if want := (report.TakeLine{Judged: true, Notes: "7 of 8 notes", Off: "7 cents", Late: "32 ms", Tempo: "88"}); got.Takes[0] != want {
		t.Errorf("told as %+v, want %+v", got.Takes[0], want)
	}
	near := 0.8
	two := one
	two.Cents = &near
	if off := Compare([]report.TakeFigures{two}).Takes[0].Off; off != "1 cent" {
		t.Errorf("nearly a cent is told as %q", off)
	}
	if got.Takes[1].Judged || got.Picture != "" {
		t.Errorf("a take that could not be judged: %+v, picture %q", got.Takes[1], got.Picture)
	}
	if got = Compare([]report.TakeFigures{one, one}); !strings.Contains(got.Picture, "string 2") || !strings.Contains(got.Picture, "from fret 12 up") {
		t.Errorf("the picture is %.200q", got.Picture)
	}
}

// TestFiguresAreMedians: early counts as late does, what is not sure is left out, and a just chord counts where it is nearer.
func TestFiguresAreMedians(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	note := func(str int, fret, cents float64, just *float64, late float64, sure bool) report.ReviewNote {
		return report.ReviewNote{String: str, Fret: fret, Status: "played", Cents: v(cents), CentsJust: just, Late: v(late), Sure: sure}
	}
	got := FiguresOf(&report.Review{Strings: []report.ReviewString{{String: 1}, {String: 2}}, Notes: []report.ReviewNote{
		note(1, 3, -9, nil, -40, true), note(1, 7, 14, v(4), 20, true), note(2, 13, 6, nil, 30, true), note(2, 14, 99, nil, -50, false),
		{String: 2, Fret: 5, Status: "missed"},
	}})
	tell := func(x *float64) float64 {
		if x == nil {
			return -1
		}
		return *x
	}
	// Of 9, 4 and 6 cents the middle is 6; of 40, 20, 30 and 50 ms the upper middle one is 40.
	for what, c := range map[string][2]float64{
		"cents": {tell(got.Cents), 6}, "late": {tell(got.Late), 40}, "string 1": {tell(got.Strings[0]), 9}, "string 2": {tell(got.Strings[1]), 6},
		"below fret 5": {tell(got.Regions[0]), 9}, "frets 5 to 12": {tell(got.Regions[1]), 4}, "from 12 up": {tell(got.Regions[2]), 6},
		"played": {float64(got.Played), 4}, "wanted": {float64(got.Wanted), 5},
	} {
		if c[0] != c[1] {
			t.Errorf("%s: %g, want %g", what, c[0], c[1])
		}
	}
}
