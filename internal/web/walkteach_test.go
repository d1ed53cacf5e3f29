package web

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
)

// typeInto writes into a field as a person does, key by key, and leaves it.
func (b *window) typeInto(css, text string) {
	b.t.Helper()
	b.clicks++
	value[string](b, fmt.Sprintf("(() => { const f = document.querySelector(%q); f.value = ''; f.focus(); return ''; })()", css))
	b.do(chromedp.KeyEvent(text))
	value[string](b, "document.activeElement.blur(), ''")
}

// TestNewInstrumentToATune makes a six-string instrument in a tuning that no list
// has, from nothing, and writes a tune on it. What is wrong is said at its field as
// one types, and the tension is shown before anything is kept.
func TestNewInstrumentToATune(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/")
		b.click("nav a[href='/rigs']")
		b.until("document.querySelector('.rig-list')")
		b.click("a[href='/rigs/new']")
		b.until("document.querySelector('#new-rig')")
		b.unscrolled("new instrument")
		b.accessible("new instrument")
		b.typeInto("#scale", "22 1/2")
		b.typeInto("#tuning", "D A D E A")
		b.until("document.querySelector('#tuning-said').textContent.includes('6 strings')")
		b.shot("wrong")
		b.typeInto("#tuning", "D A D E A D")
		b.until("document.querySelectorAll('#draft tbody tr').length === 6 && document.querySelector('#tuning-said').textContent === ''")
		b.typeInto("#gauges", ".014 .018 .026w .030w .036w .056w")
		b.until("document.querySelector('#draft tbody tr:last-child')?.textContent.includes('56w')")
		// D4 of .014 in on 571.5 mm pulls 4·μ·L²·f² (Mersenne): 7850·π/4·(0.3556 mm)² kg/m,
		// 293.66 Hz: 87.8 N.
		if got := b.text("#draft tbody tr:first-child"); !strings.Contains(got, "D4") || !strings.Contains(got, "88 N") {
			t.Errorf("the first string is told as %q", got)
		}
		b.shot("form")
		b.accessible("new instrument filled in")
		b.click("#new-rig button.main")
		b.until("document.querySelector('.rig-ways') && document.querySelector('.cm-content')")
		if got := b.text("h1"); got != "Lap steel in D2 A2 D3 E3 A3 D4" {
			t.Errorf("it is called %q", got)
		}
		b.unscrolled("the new instrument's page")
		b.accessible("the new instrument's page")
		b.shot("kept")
		b.click(".rig-ways a[href*='/tunes']")
		b.until("document.querySelector('#begin-rig')?.selectedOptions[0].textContent.startsWith('Lap steel in D2')")
		b.typeInto("#title", "Ferry Steps")
		b.click(".begin button")
		b.until("document.querySelector('.live-neck') && document.querySelector('.shown-tab .waiting')")
		// Strings 1 and 3 of D2 A2 D3 E3 A3 D4, counted from the highest: fret 5 of D4 is
		// G4, fret 3 of E3 is G3.
		for i, at := range [][2]int{{1, 5}, {3, 3}} {
			x, y := b.place(at[0], at[1])
			b.clicks++
			b.do(chromedp.MouseClickXY(x, y))
			b.until("document.querySelectorAll('.wide-sheet g.stroke').length === " + strconv.Itoa(i+1))
		}
		it := newest(b, st)
		if !strings.HasSuffix(it.Body, "\nG G,\n") {
			t.Errorf("the tune became\n%s", it.Body)
		}
		t.Logf("from nothing to a tune on a new instrument: %d clicks, fields counted", b.clicks)
		if b.clicks > 14 {
			t.Errorf("it took %d clicks", b.clicks)
		}
		own, err := st.List(b.ctx, studio.Rig)
		if err != nil || len(own) != 1 {
			t.Fatalf("%d instruments are kept, %v", len(own), err)
		}
		kept, err := st.Get(b.ctx, own[0].ID)
		if err != nil {
			t.Fatal(err)
		}
		g, err := rig.Parse([]byte(kept.Body), "kept")
		var x report.TuneSettings
		if err != nil || json.Unmarshal(it.Extra, &x) != nil || x.Rig != own[0].ID || g.Scale != 571.5 {
			t.Errorf("the tune is on %q; the instrument has a scale of %v, %v", x.Rig, g.Scale, err)
		}
	})
}

// TestLayoutsAreSeen looks at a tune's sheet in other layouts before it is printed,
// and chooses one for a lesson there: its plan, its sheets and its handout have it.
func TestLayoutsAreSeen(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		it := smallLesson(t, st)
		b := newWindow(t, server.URL, wide)
		b.open("/")
		b.click(".starters a")
		b.until("document.querySelector('.shown-tab svg g.stroke')")
		b.click("#see-sheet")
		b.until("document.querySelectorAll('.seen-pages svg').length > 0")
		heads := "document.querySelectorAll('.seen-pages use[href*=gClef]').length"
		if value[int](b, heads) == 0 {
			t.Error("staff over tab has no clef")
		}
		b.accessible("the sheet as it prints")
		b.shot("seen")
		b.click(".seen-layouts button:nth-child(3)") // tab only
		b.until("document.querySelectorAll('.seen-pages svg').length > 0 && " + heads + " === 0")
		b.click(".seen-sheet .head button")
		b.until("!document.querySelector('.seen-sheet') && document.querySelector('[data-file=\"sheet.pdf\"]').href.includes('layout=tab-only')")
		b.unscrolled("after the sheet was seen")
		b.open("/lessons/" + it.ID)
		b.click("#see-sheet")
		b.until("document.querySelectorAll('.seen-pages svg').length > 0")
		b.click(".seen-layouts button:nth-child(3)")
		b.until("document.querySelector('#save-state').textContent.startsWith('Kept')")
		b.until(heads + " === 0")
		b.shot("lesson-layout")
		b.click(".seen-sheet .head button")
		kept, err := st.Get(b.ctx, it.ID)
		if err != nil {
			t.Fatal(err)
		}
		var plan report.LessonPlan
		if err := json.Unmarshal([]byte(kept.Body), &plan); err != nil || plan.Layout != sheet.TabOnly {
			t.Errorf("the lesson's layout is %q, %v", plan.Layout, err)
		}
		b.do(chromedp.Navigate(value[string](b, "document.querySelector('#preview').href")))
		b.until("document.querySelector('.lesson .paper svg g.stroke')")
		if n := value[int](b, "document.querySelectorAll('.paper use[href*=gClef]').length"); n != 0 {
			t.Errorf("the students' sheet has %d clefs", n)
		}
	})
}

// TestABookOfTunesIsChosenFrom brings a book: the page says how many tunes came,
// those that are ticked are kept, the one without a title goes by its file's name.
// The list is then searched, and a tune is renamed in it and on its sheet.
func TestABookOfTunesIsChosenFrom(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		file := filepath.Join(t.TempDir(), "quay side.abc")
		text := "X:1\nM:4/4\nL:1/4\nK:G\nGABd|\n\nX:2\nT:Second Sail\nM:3/4\nL:1/4\nK:D\nDFA|\n\nX:3\nT:Third Tide\nM:4/4\nL:1/4\nK:C\nCEGc|\n"
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		before, err := st.List(b.ctx, studio.Tune)
		if err != nil {
			t.Fatal(err)
		}
		b.open("/tunes")
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}))
		b.until("document.querySelector('.ask-rig')?.open")
		if got := b.text("#came-head"); got != "3 tunes came from quay side.abc" {
			t.Errorf("it says %q", got)
		}
		if now, _ := st.List(b.ctx, studio.Tune); len(now) != len(before) {
			t.Errorf("%d tunes are kept before any is chosen", len(now)-len(before))
		}
		b.shot("came")
		b.unscrolled("a book came")
		b.accessible("a book came")
		b.click(".choose-tunes li:nth-child(2) input")
		b.until("document.querySelector('.ask-rig button.main').textContent === 'Keep 2 tunes'")
		b.click(".ask-rig button.main")
		b.until("document.querySelector('.told-so')?.textContent.startsWith('2 tunes came')")
		titles := "[...document.querySelectorAll('.rows li:not([hidden]) strong')].map(s => s.textContent)"
		if got := value[[]string](b, titles+".slice(0, 2)"); !slices.Equal(got, []string{"quay side 1", "Third Tide"}) {
			t.Errorf("kept are %q", got)
		}
		b.typeInto(".search", "QUAY g major")
		b.until(titles + ".join() === 'quay side 1'")
		b.until("document.querySelector('.search-row [role=status]').textContent.startsWith('1 of')")
		b.shot("searched")
		b.accessible("a searched list")
		b.click(".rows li:not([hidden]) .rename")
		b.do(chromedp.KeyEvent("Quay Side 100% Reel" + kb.Enter))
		b.until(titles + ".join() === 'Quay Side 100% Reel'")
		b.unscrolled("renamed")
		it := newest(b, st)
		if it.Title != "Quay Side 100% Reel" || !strings.Contains(it.Body, "\nT:Quay Side 100\\% Reel\n") {
			t.Errorf("renamed, %q has the text\n%s", it.Title, it.Body)
		}
	})
}
