package page

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapwright/arrange"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// TestTunesComeThrough: whatever tune a page carries, it is the same in the browser.
func TestTunesComeThrough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := tunetest.Tunes().Draw(t, "tune")
		b, err := Carry(want, arrange.Options{}, nil, asLength)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Open(b)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(stripped(got.Tune), stripped(want)) {
			t.Fatalf("%s\ncame back as\n%+v\nwant\n%+v", b, got.Tune, want)
		}
	})
}

// stripped makes no difference between none and an empty list.
func stripped(t *tune.Tune) string {
	b, err := json.Marshal(t)
	if err != nil {
		panic(err)
	}
	return strings.ReplaceAll(string(b), "null", "[]")
}

// TestWishesComeThrough: what a teacher wishes for any instrument holds in the page.
func TestWishesComeThrough(t *testing.T) {
	octave := -1
	o := arrange.Options{Octave: &octave, Closed: true, Square: true, Vibrato: true, Touch: arrange.PlainTouch, Harmony: arrange.Thirds}
	b, err := Carry(tunetest.Score(t, "G", "D4:4 B4:4"), o, nil, asLength)
	if err != nil {
		t.Fatal(err)
	}
	l, err := Open(b)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(l.wishes, o) {
		t.Errorf("wishes came back as %+v, want %+v", l.wishes, o)
	}
}

// TestOtherFormsAreRefused: what another release or a broken file carries is not
// taken for a lesson.
func TestOtherFormsAreRefused(t *testing.T) {
	b, err := Carry(tunetest.Score(t, "G", "D4:4 B4:4"), arrange.Options{}, nil, asLength)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2]string{
		{strings.Replace(string(b), `"version":1`, `"version":2`, 1), "form 2"},
		{`{"version":1}`, "no tune"},
		{string(b[:len(b)/2]), "can't be read"},
		{strings.Replace(string(b), `"version":1`, `"version":1,"more":1`, 1), "more"},
		{"", "can't be read"},
	} {
		if _, err := Open([]byte(c[0])); err == nil || !strings.Contains(err.Error(), c[1]) {
			t.Errorf("%.40q: error %v, want one that says %q", c[0], err, c[1])
		}
	}
}

// TestQuestionsAreAnswered: each kind of question has its form, and a bad one its
// faults.
func TestQuestionsAreAnswered(t *testing.T) {
	l := &Lesson{Tune: tunetest.Score(t, "G", "D4:4 B4:4")}
	ask := func(q report.Asked) map[string]json.RawMessage {
		t.Helper()
		b, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		var out map[string]json.RawMessage
		if err := json.Unmarshal(l.Answer(b, Whole(nil, 48000)), &out); err != nil {
			t.Fatal(err)
		}
		return out
	}
	r, _ := rig.Builtin("lap6-c6")
	file := string(rig.Format(r))
	for _, c := range []struct {
		q    report.Asked
		want string
	}{
		{report.Asked{What: "instruments"}, "instruments"},
		{report.Asked{What: "instrument", Rig: file}, "finding"},
		{report.Asked{What: "place", Rig: file}, "placed"},
		{report.Asked{What: "place", Rig: "name = "}, "faults"},
		{report.Asked{What: "sing", Rig: file}, "faults"},
		{report.Asked{What: "place", Rig: strings.Repeat(" ", MaxText+1)}, "faults"},
		{report.Asked{What: "review", Rig: file, Tab: "no tab"}, "faults"},
		{report.Asked{What: "strings", Rig: file}, "faults"}, // no samples
		{report.Asked{What: "delay"}, "refused"},             // no samples
	} {
		if got := ask(c.q); got[c.want] == nil {
			t.Errorf("%s: the answer lacks %q: %v", c.q.What, c.want, keys(got))
		}
	}
}

// TestSheetFirst: a sheet that comes before its answer is the one that the answer would have, and all else is the same.
// Other questions, and those that are refused, give none.
func TestSheetFirst(t *testing.T) {
	l := &Lesson{Tune: tunetest.Score(t, "G", "D4:4 B4:4 A4:4 G4:4")}
	file := string(rig.Format(rigtest.Builtin(t, "lap6-c6")))
	in := func(q report.Asked) (whole, rest report.OnInstrument, sheets []report.ScreenSheet) {
		t.Helper()
		question, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		answer := l.AnswerSheetFirst(question, Recording{}, func(b []byte) {
			var s report.ScreenSheet
			if err := json.Unmarshal(b, &s); err != nil {
				t.Fatal(err)
			}
			sheets = append(sheets, s)
		})
		if json.Unmarshal(answer, &rest) != nil || json.Unmarshal(l.Answer(question, Recording{}), &whole) != nil {
			t.Fatalf("%s is not answered", q.What)
		}
		return whole, rest, sheets
	}
	for _, window := range []string{"", "wide", "narrow"} {
		whole, rest, sheets := in(report.Asked{What: "place", Rig: file, Window: window})
		if len(sheets) != 1 || !reflect.DeepEqual(sheets[0], whole.Placed.ScreenSheet) || len(sheets[0].Pages)+len(sheets[0].Narrow) == 0 {
			t.Errorf("window %q: %d sheets come before the answer, want its own", window, len(sheets))
		}
		if len(rest.Placed.Pages)+len(rest.Placed.Narrow) > 0 {
			t.Errorf("window %q: the sheet comes again", window)
		}
		rest.Placed.ScreenSheet = whole.Placed.ScreenSheet
		if !reflect.DeepEqual(rest, whole) {
			t.Errorf("window %q: all but the sheet is another", window)
		}
	}
	for _, q := range []report.Asked{{What: "instrument", Rig: file}, {What: "place", Rig: "name = "}, {What: "place", Rig: file, Window: "round"}} {
		if _, _, sheets := in(q); len(sheets) > 0 {
			t.Errorf("%s: %d sheets come before the answer", q.What, len(sheets))
		}
	}
}

// TestOneWindowIsDrawnAlone: a sheet that is wanted for one kind of window is the same as where both are wanted, and the other
// is left out; placed or drawn again.
func TestOneWindowIsDrawnAlone(t *testing.T) {
	l := &Lesson{Tune: tunetest.Score(t, "G", "D4:4 B4:4 A4:4 G4:4")}
	r, _ := rig.Builtin("lap6-c6")
	file := string(rig.Format(r))
	placed := func(window string) report.OnInstrument {
		t.Helper()
		out := asked[report.OnInstrument](t, l, report.Asked{What: "place", Rig: file, Window: window}, Recording{})
		if len(out.Faults) > 0 {
			t.Fatalf("window %q: %s", window, said(out.Refused))
		}
		return out.Answer
	}
	both := placed("")
	if len(both.Placed.Pages) == 0 || both.Placed.Narrow == "" {
		t.Fatal("without a window one sheet is missing")
	}
	for window, want := range map[string]report.ScreenSheet{"wide": {Pages: both.Placed.Pages}, "narrow": {Pages: []string{}, Narrow: both.Placed.Narrow}} {
		got := placed(window)
		again := asked[report.ScreenSheet](t, l, report.Asked{What: "sheet", Rig: both.Rig, Tab: both.Tab, Window: window}, Recording{}).Answer
		for how, s := range map[string]report.ScreenSheet{"placed": got.Placed.ScreenSheet, "drawn again": again} {
			if !reflect.DeepEqual(s, want) {
				t.Errorf("for a %s window the sheet %s has %d pages and %d bytes in one piece, want %d and %d, the same", window, how, len(s.Pages), len(s.Narrow), len(want.Pages), len(want.Narrow))
			}
		}
		got.Placed.ScreenSheet = both.Placed.ScreenSheet
		if !reflect.DeepEqual(got, both) {
			t.Errorf("for a %s window all but the sheet is another", window)
		}
	}
	for _, what := range []string{"place", "sheet"} {
		if got := said(asked[any](t, l, report.Asked{What: what, Rig: both.Rig, Tab: both.Tab, Window: "round"}, Recording{}).Refused); !strings.Contains(got, "round") {
			t.Errorf("%s for a window that there is not: %q", what, got)
		}
	}
}

func keys(m map[string]json.RawMessage) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	return out
}

// The tune of a page is placed on an instrument that the page was not made for.
func ExampleLesson_Answer() {
	r, _ := rig.Builtin("lap6-c6")
	l := &Lesson{} // an instrument is looked at whatever the tune
	q, _ := json.Marshal(report.Asked{What: "instrument", Rig: string(rig.Format(r))})
	var about report.CheckedInstrument
	if err := json.Unmarshal(l.Answer(q, Recording{}), &about); err != nil {
		fmt.Println(err)
	}
	fmt.Println(about.Tuning, about.Finding)
	// Output: C3 E3 G3 A3 C4 E4 fine
}

// asLength stands for a digest.
func asLength(b []byte) string { return fmt.Sprint(len(b)) }
