package web

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/internal/further"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// capoNamed holds when the neck's picture names a capo at its nut, and draws it wider
// than a nut alone.
const capoNamed = `(() => { const says = document.querySelector('.live-neck .capo'), nut = document.querySelector('.live-neck .nut');
	if (!says) return '';
	const a = says.getBoundingClientRect(), b = nut.getBoundingClientRect();
	if (Math.abs((a.left + a.right) / 2 - (b.left + b.right) / 2) > 2 || a.top < b.bottom - 12 || a.bottom > document.querySelector('.live-neck').getBoundingClientRect().bottom + 1) return 'elsewhere';
	return parseFloat(getComputedStyle(nut).strokeWidth) > 8 ? says.textContent : 'thin'; })()`

// TestCapoOnTheNeck: where a tune is played with the sliding capo, the neck of the
// students' page and of the tune's page has it at its nut, from which frets count,
// with its own fret; without it there is none.
func TestCapoOnTheNeck(t *testing.T) {
	further.Only(t)
	t.Parallel()
	noBrowserInShort(t)
	demos, err := lesson.Demos()
	if err != nil {
		t.Fatal(err)
	}
	capoed, err := rigtest.Builtin(t, "bender-open-d").WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	var short *tune.Tune
	for _, d := range demos {
		if short == nil || len(d.Tune.Bars) < len(short.Bars) {
			short = d.Tune
		}
	}
	for _, c := range []struct {
		rig  int
		want string
	}{{0, "capo 2"}, {1, ""}} {
		for _, width := range []int64{deskWidth, phoneWidth} {
			r := capoed
			if c.rig == 1 {
				r = rigtest.Builtin(t, "reso-open-g")
			}
			folder := filepath.Join(t.TempDir(), "lesson")
			made, err := lesson.Make(t.Context(), lesson.Plan{Tune: short, Rigs: []*rig.Rig{r}, Recordings: lesson.NoRecordings}, nil)
			if err == nil {
				err = made.WriteFolder(folder)
			}
			if err != nil {
				t.Fatal(err)
			}
			b := newWindow(t, "file://"+folder, width == deskWidth)
			b.size(width, deskHeight)
			b.inject(withoutProgram)
			b.open("/index.html")
			b.until("document.querySelector('.live-neck .nut')")
			if got := value[string](b, capoNamed); got != c.want {
				t.Errorf("%d wide, the neck of %s says %q of a capo, want %q", width, r.Name, got, c.want)
			}
			b.shot("capo " + r.Name)
			b.unscrolled("capo")
		}
	}
	st, server := serve(t)
	it, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Steps", Body: "X:1\nT:Steps\nM:4/4\nL:1/4\nK:D\nDFAd|D4|]\n", Extra: []byte(`{"rig":"bender-open-d","wishes":{"bender-open-d":{"capo":2}}}`)}, false)
	if err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.open("/tunes/" + it.ID)
	b.until(capoNamed + " === 'capo 2'")
	b.shot("capo tune")
	b.set("#capo", "0")
	b.until("document.querySelector('.live-neck .nut') && !document.querySelector('.live-neck .capo')")
}

// TestBenchOfThisPlayer: left-handed and string 1 at the bottom turn the neck and the
// sheets of a tune's page, on both instruments, and are kept on the device. What is
// taken along stays as convention has it until it is ticked there, for a tune and for
// a lesson.
func TestBenchOfThisPlayer(t *testing.T) {
	st, server := serve(t)
	it, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Steps", Body: "X:1\nT:Steps\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\nGABd|d2B2|GBdg|G4|]\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.open("/tunes/" + it.ID)
	b.until("document.querySelector('.shown-tab svg g.stroke') && !document.querySelector('.play').disabled")
	b.set("#beside", "lap6-c6")
	b.until("document.querySelectorAll('.shown-tab:not([hidden]) .narrow-sheet svg').length === 2")
	nut := "document.querySelector('.live-neck .nut').x1.baseVal.value > 500"
	low := "(() => { const y = [...document.querySelectorAll('.live-neck .string')].map(l => l.y1.baseVal.value); return y[0] > y.at(-1); })()"
	// The sheets say in their legend which way up they are.
	turned := "[...document.querySelectorAll('.shown-tab:not([hidden]) .narrow-sheet')].filter(s => /string 1 is the lowest line/.test(s.textContent)).length"
	if value[bool](b, nut) || value[bool](b, low) || value[int](b, turned) != 0 {
		t.Fatal("neck or sheets are turned before anybody asked")
	}
	b.click(".transport .more")
	b.ticks("Left-handed neck")
	b.until(nut)
	b.ticks("String 1 at the bottom")
	b.until(low + " && " + turned + " === 2")
	if ready := value[bool](b, "!document.querySelector('.play').disabled"); !ready {
		t.Error("turning the sheet takes the sound away")
	}
	b.open("/tunes/" + it.ID + "?again")
	b.until("document.querySelector('.live-neck') && " + nut + " && " + low + " && " + turned + " === 2")
	b.until("!document.querySelector('.play').disabled")
	b.accessible("turned")
	b.unscrolled("turned")
	b.shot("turned")

	// Files are as ever.
	link := "document.querySelector('[data-file=\"sheet.pdf\"]').href"
	says := func(address string) bool {
		return strings.Contains(strings.Join(strings.Fields(pdfText(t, server, address)), " "), "string 1 is the lowest line")
	}
	if says(value[string](b, link)) {
		t.Error("the file is turned since the device's sheet is")
	}
	b.click("#low")
	b.click("#left")
	b.until(link + ".includes('low=1') && " + link + ".includes('left=1')")
	if !says(value[string](b, link)) {
		t.Error("the file is not turned though that was ticked")
	}
	b.set("#layout", "grips")
	b.click("#see-sheet")
	b.until("document.querySelectorAll('.seen-pages svg').length > 0")
	// Names of strings beside the pictures of necks: on the right of a left-handed one.
	right := "(() => { const neck = document.querySelector('.seen-pages g.neck'), names = [...neck.querySelectorAll('text')].filter(t => /^[A-G][♯♭]?\\d$/.test(t.textContent)).map(t => t.getBoundingClientRect().left), box = neck.getBoundingClientRect(); return names.length === 6 && names.every(x => x > (box.left + box.right) / 2); })()"
	b.until(right)
	b.shot("seen")
	b.click(".seen-sheet .head button")

	// A lesson.
	b.click("form[action='/lessons'] button")
	b.until("document.querySelector('#lesson-form')")
	plan := func() report.LessonPlan {
		var p report.LessonPlan
		kept, err := st.Get(b.ctx, newestOf(t, st, studio.Lesson))
		if err == nil {
			err = json.Unmarshal([]byte(kept.Body), &p)
		}
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	if p := plan(); p.StringOneLow || p.LeftHanded {
		t.Errorf("a lesson begins turned: %+v", p)
	}
	for i, tick := range []string{"#low", "#left"} {
		b.click(tick)
		b.until(fmt.Sprintf("document.querySelector('#save-state').textContent === 'Kept as revision %d.'", i+2))
	}
	if p := plan(); !p.StringOneLow || !p.LeftHanded {
		t.Errorf("ticked, the lesson is %+v", p)
	}
	b.unscrolled("a lesson with turned sheets")
	b.accessible("a lesson with turned sheets")
	b.shot("lesson")
	b.open("/lessons/" + newestOf(t, st, studio.Lesson))
	b.until("document.querySelector('#low').checked && document.querySelector('#left').checked")
}
