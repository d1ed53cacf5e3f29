package workbench

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

const chorded = "X:1\nT:Four Chords\nR:waltz\nM:3/4\nL:1/4\nQ:1/4=180\nK:G\n\"G\"GBd|\"C\"e2c|\"D7\"dcA|\"G\"G3|]\n"

// An instrument may play what accompanies the tune instead, in a feel and a key, beside
// others that play the tune; an ending is played by all.
func TestBackupOnAPage(t *testing.T) {
	g, _ := rig.Builtin("lap6-c6")
	it := &studio.Item{Content: studio.Content{Body: chorded, Extra: []byte(`{"ending":"any","wishes":{"lap6-c6":{"part":"backup","feel":"pad","key":"A"}}}`)}}
	got, err := Place(t.Context(), it, g)
	if err != nil {
		t.Fatal(err)
	}
	if a := got.Placed.About; a.Part != "backup" || a.Feel != "pad" || a.Key != "A major" {
		t.Errorf("it is %s in %s, %s", a.Part, a.Feel, a.Key)
	}
	if bars := got.Result.Tab.Tune.CountBars(); bars != 7 {
		t.Errorf("%d bars with an ending of three", bars)
	}
	here, err := got.Choices(t.Context(), 0)
	if err != nil || len(here.Choices) > 0 {
		t.Errorf("what else could be played: %v, %v", here, err)
	}
	made, err := got.Files(t.Context(), sheet.Options{Paper: draw.A4}, false)
	if err != nil {
		t.Fatal(err)
	}
	text, err := made.File(got.Folder() + "tab.txt")
	if err != nil || !strings.Contains(string(text), "subtitle: backup: pad") {
		t.Errorf("its file: %v\n%s", err, text)
	}
	// The other instrument plays the tune, with the same ending.
	other, _ := rig.Builtin("reso-open-g")
	tune, err := Place(t.Context(), it, other)
	if err != nil {
		t.Fatal(err)
	}
	if a := tune.Placed.About; a.Part != "tune" || tune.Result.Tab.Tune.CountBars() != 7 || tune.Folder() != "reso-open-g/" {
		t.Errorf("beside it: %s, %d bars", a.Part, tune.Result.Tab.Tune.CountBars())
	}
	for extra, want := range map[string]string{
		`{"wishes":{"lap6-c6":{"part":"band"}}}`:                 `"band" is neither the tune nor its backup`,
		`{"wishes":{"lap6-c6":{"part":"backup","feel":"funk"}}}`: `unknown feel "funk"`,
		`{"ending":"walk-down"}`:                                 `the ending "walk-down" does not fit`,
	} {
		_, err := Place(t.Context(), &studio.Item{Content: studio.Content{Body: chorded, Extra: []byte(extra)}}, g)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", extra, err, want)
		}
	}
}

// A lesson carries what each instrument plays on the tune's page, and backup beside the
// tune where that is ticked.
func TestBackupInALesson(t *testing.T) {
	st, err := studio.Open(t.Context(), t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	it, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Four Chords", Body: chorded, Extra: []byte(`{"wishes":{"lap6-c6":{"part":"backup","feel":"pad"}}}`)}, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, beside := range []bool{false, true} {
		body, err := json.Marshal(report.LessonPlan{Tune: it.ID, Rigs: []string{"lap6-c6", "reso-open-g"}, Backup: beside})
		if err != nil {
			t.Fatal(err)
		}
		plan, _, err := PlanLesson(t.Context(), st, &studio.Item{Content: studio.Content{Title: "Lesson", Body: string(body)}})
		if err != nil {
			t.Fatal(err)
		}
		want := lesson.TunePart
		if beside {
			want = lesson.BothParts
		}
		if plan.Parts["lap6-c6"] != lesson.BackupPart || plan.Feels["lap6-c6"].Name != "pad" || plan.Parts["reso-open-g"] != want {
			t.Errorf("ticked %v: %v", beside, plan.Parts)
		}
	}
}

func TestPhrasesThatFit(t *testing.T) {
	fit := Phrases(chorded)
	if len(fit[0]) != 2 || len(fit[1]) != 2 || len(fit[2]) != 3 || fit[0][0] != "waltz-line" || fit[1][0] != "waltz-round" {
		t.Errorf("for a waltz: %v", fit)
	}
	if fit = Phrases("no tune"); len(fit[0])+len(fit[1])+len(fit[2]) > 0 {
		t.Errorf("for no tune: %v", fit)
	}
}

// A pin goes by the tune's own bars: behind an intro it holds the same note as without,
// what is offered there is kept under the same number, and the intro itself can't be
// pinned.
func TestPinBehindAnIntro(t *testing.T) {
	g, _ := rig.Builtin("lap6-c6")
	at := func(extra string) *Tab {
		t.Helper()
		placed, err := Place(t.Context(), &studio.Item{Content: studio.Content{Body: chorded, Extra: []byte(extra)}}, g)
		if err != nil {
			t.Fatal(err)
		}
		return placed
	}
	plain := at(`{}`)
	list, err := plain.Choices(t.Context(), len(plain.Result.Tab.Strokes)-1)
	if err != nil || len(list.Choices) < 2 || list.Before != 0 {
		t.Fatalf("%+v, %v", list, err)
	}
	pin := list.Choices[1].Pin
	kept, err := json.Marshal(pin)
	if err != nil {
		t.Fatal(err)
	}
	framed := at(`{"intro":"waltz-in","wishes":{"lap6-c6":{"pins":[` + string(kept) + `]}}}`)
	strokes := framed.Result.Tab.Strokes
	last := strokes[len(strokes)-1].Plucks[0]
	if last.String != pin.Grip[0][0] || int(last.Fret) != pin.Grip[0][1] {
		t.Errorf("the last note is on string %d at fret %g, pinned was %v", last.String, last.Fret, pin.Grip)
	}
	again, err := framed.Choices(t.Context(), len(strokes)-1)
	if err != nil || again.Before != 2 || again.Bar != list.Bar+2 {
		t.Fatalf("behind an intro of two bars: %+v, %v", again, err)
	}
	for _, c := range again.Choices {
		if c.Pin.Bar != pin.Bar {
			t.Errorf("%s would be kept for bar %d, and is bar %d of the tune", c.Words, c.Pin.Bar, pin.Bar)
		}
	}
	if !slices.ContainsFunc(again.Choices, func(c report.Choice) bool { return c.Pinned }) {
		t.Error("what is pinned is not told")
	}
	if in, err := framed.Choices(t.Context(), 0); err != nil || len(in.Choices) > 0 {
		t.Errorf("in the intro: %+v, %v", in, err)
	}
}
