package web

import (
	"encoding/json"
	"strings"
	"testing"

	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
)

// TestPinAsleepIsTold: a pin that needs a bender which the instrument has no more is
// told beside the sheet, which is shown without it.
func TestPinAsleepIsTold(t *testing.T) {
	st, server := serve(t)
	r, _ := rig.Builtin("bender-open-d")
	one := r.Clone()
	one.Name, one.Title, one.Benders = "one-bender", "One bender", r.Benders[:1]
	own, err := st.Add(t.Context(), studio.Rig, studio.Content{Title: one.Title, Body: string(rig.Format(one))}, false)
	if err != nil {
		t.Fatal(err)
	}
	gone := []string{r.Benders[1].Mark}
	as := 0
	extra, err := json.Marshal(report.TuneSettings{Rig: own.ID, Wishes: map[string]report.Wishes{one.Name: {Octave: &as, Key: "D", Pins: []report.Pin{
		{Bar: 1, At: "0", Grip: [][2]int{{2, 0}}, Benders: &gone, Words: "as typed"},
	}}}})
	if err != nil {
		t.Fatal(err)
	}
	tu, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Two Bars", Body: "X:1\nT:Two Bars\nM:4/4\nL:1/4\nK:D\nB,A,DE|\n", Extra: extra}, false)
	if err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.open("/tunes/" + tu.ID)
	b.until("document.querySelector('.shown-tab svg g.stroke')")
	b.until("[...document.querySelectorAll('h3')].some(h => h.textContent === '1 pin asleep')")
	if got := b.text("[aria-label='Pins that are asleep']"); !strings.Contains(got, "Bar 1: as typed needs bender "+gone[0]) {
		t.Errorf("the pin is told as %q", got)
	}
	b.unscrolled("asleep")
	b.accessible("asleep")
	b.shot("asleep")
}

// TestMissingInstrumentIsTold: an instrument that can't play the tune as asked is
// named with its reason on the students' page, and the others are there.
func TestMissingInstrumentIsTold(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		it := smallLesson(t, st)
		var plan report.LessonPlan
		if err := json.Unmarshal([]byte(it.Body), &plan); err != nil {
			t.Fatal(err)
		}
		tu, err := st.Get(t.Context(), plan.Tune)
		if err != nil {
			t.Fatal(err)
		}
		far := 9
		extra, err := json.Marshal(report.TuneSettings{Wishes: map[string]report.Wishes{"reso-open-g": {Octave: &far}}})
		if err != nil {
			t.Fatal(err)
		}
		content := tu.Content
		content.Extra = extra
		if _, err := st.Save(t.Context(), tu.ID, tu.Revision, content, "an octave that no string has"); err != nil {
			t.Fatal(err)
		}
		b := newWindow(t, server.URL, wide)
		b.open("/lessons/" + it.ID)
		b.open(value[string](b, "new URL(document.querySelector('#preview').href).pathname"))
		b.until("document.querySelector('.lesson .paper svg')")
		r, _ := rig.Builtin("reso-open-g")
		if got := b.text(".missing li"); !strings.HasPrefix(got, r.Title+" is missing: ") || len(got) < len(r.Title)+20 {
			t.Errorf("the page says %q", got)
		}
		if n := value[int](b, "document.querySelectorAll('section.rig').length"); n != 1 {
			t.Errorf("%d instruments are shown", n)
		}
		b.unscrolled("missing")
		b.accessible("missing")
		b.shot("missing")
	})
}
