package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapwright/arrange"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
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
		// A sheet that is long in coming: it is shown that it is drawn, until it is there.
		value[string](b, `(() => { const ask = window.fetch, held = new Promise(go => window.release = go); window.fetch = async (...a) => { await held; window.fetch = ask; return ask(...a); }; return ''; })()`)
		b.click(".seen-layouts button:nth-child(3)") // tab only
		b.until("document.querySelector('.seen-sheet progress') && document.querySelector('.seen-sheet [role=status]').textContent.startsWith('Drawing it for')")
		b.accessible("a sheet is drawn")
		value[string](b, "window.release(), ''")
		b.until("document.querySelectorAll('.seen-pages svg').length > 0 && " + heads + " === 0")
		if value[bool](b, "document.querySelector('.seen-sheet progress') !== null") {
			t.Error("the sheet is there, and its drawing is still shown to go on")
		}
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
		b.until("document.querySelector('.search')")
		b.typeInto(".search", "QUAY side")
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

// TestSheetComesFirst: on the tune's page one row of controls stands over the sheet,
// the wishes in one panel beside it, the neck as wide as the sheet; the touch can be
// chosen, and the tab follows.
func TestSheetComesFirst(t *testing.T) {
	st, server := serve(t)
	it, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Steps", Body: "X:1\nT:Steps\nM:4/4\nL:1/8\nQ:1/4=120\nK:G\nGABc d2B2|dcBA G4|]\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, rig := range []string{"reso-open-g", "pedal10-e9"} {
		b := newWindow(t, server.URL, true)
		b.open("/tunes/" + it.ID)
		b.until("document.querySelector('.shown-tab svg g.stroke')")
		b.set("#rig", rig)
		b.until("document.querySelector('.facts') && document.querySelector('[data-file]').href.includes('rig=" + rig + "') && !document.querySelector('.play').disabled")
		rows := value[[]float64](b, `(() => { const top = document.querySelector('.wide-sheet .paper').getBoundingClientRect().top;
			const all = [...document.querySelectorAll('main button, main select, main input, main a')].map(e => e.getBoundingClientRect()).filter(r => r.width > 2 && r.bottom <= top && r.left < document.querySelector('.wide-sheet').getBoundingClientRect().right - 5);
			return [...new Set(all.map(r => Math.round((r.top + r.bottom) / 2 / 8)))]; })()`)
		if len(rows) != 1 {
			t.Errorf("%s: %d rows of controls stand over the sheet", rig, len(rows))
		}
		at := value[[]float64](b, `(() => { const box = s => document.querySelector(s).getBoundingClientRect(), sheet = box('.wide-sheet .paper'), neck = box('.live-neck'), wishes = box('#setting');
			const k = Math.min(neck.width / document.querySelector('.live-neck').viewBox.baseVal.width, neck.height / document.querySelector('.live-neck').viewBox.baseVal.height);
			return [sheet.top, sheet.width, k * document.querySelector('.live-neck').viewBox.baseVal.width, wishes.left - sheet.right, wishes.top]; })()`)
		if at[0] > deskHeight/2 || math.Abs(at[1]-at[2]) > 4 || at[3] < 0 || at[4] > at[0] {
			t.Errorf("%s: the sheet begins at %.0f, is %.0f wide, its neck %.0f; the wishes stand %.0f beside it, at %.0f", rig, at[0], at[1], at[2], at[3], at[4])
		}
		b.shot("first-" + rig)
		b.accessible("the tune's page on " + rig)
		b.unscrolled("the tune's page on " + rig)
		if rig != "reso-open-g" {
			continue
		}
		joined := "[...document.querySelectorAll('.wide-sheet text')].filter(t => /^[hp]$/.test(t.textContent)).length"
		b.until(joined + " > 0")
		b.set("#touch", "plain")
		b.until(joined + " === 0")
		b.until("document.querySelector('#touch').value === 'plain'")
		b.click("#undo")
		b.until(joined + " > 0 && document.querySelector('#touch').value === ''")
		b.set("#rig", "lap6-c6") // and back, so that the other window begins as this one
	}
}

// TestTextStaysBesideTheSheet: the text's panel stays in the window while the sheet
// scrolls, its line numbers stand at their lines, and what is wrong is said in words
// under it with the number of the line, which leads there.
func TestTextStaysBesideTheSheet(t *testing.T) {
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/")
	b.click(".starters a")
	b.until("document.querySelector('.shown-tab svg g.stroke')")
	b.click("#text-panel summary")
	b.until("document.querySelectorAll('.cm-line').length > 5")
	steps := value[[]float64](b, `(() => { const lines = [...document.querySelectorAll('.cm-line')], numbers = [...document.querySelectorAll('.cm-lineNumbers .cm-gutterElement')].filter(e => e.getBoundingClientRect().height > 0);
		return lines.map((l, i) => Math.abs(l.getBoundingClientRect().top - numbers[i].getBoundingClientRect().top)); })()`)
	if slices.Max(steps) > 1.5 {
		t.Errorf("line numbers stand up to %.1f px off their lines", slices.Max(steps))
	}
	value[string](b, "window.scrollTo(0, document.documentElement.scrollHeight), ''")
	b.until("window.scrollY > 100")
	if at := value[[]float64](b, "(() => { const t = document.querySelector('#text-panel').getBoundingClientRect(), s = document.querySelector('.bench-sheets').getBoundingClientRect(); return [t.top, t.left - s.right, t.bottom - innerHeight]; })()"); at[0] < -1 || at[1] < 0 || at[2] > 1 {
		t.Errorf("scrolled down, the text stands at %.0f, %.0f beside the sheet, %.0f below the window", at[0], at[1], at[2])
	}
	value[string](b, "window.scrollTo(0, 0), ''")
	if at := value[[]float64](b, "(() => { const t = document.querySelector('#text-panel').getBoundingClientRect(); return [t.top, t.bottom - innerHeight]; })()"); at[0] > deskHeight/4 {
		t.Errorf("the text stands at %.0f", at[0])
	}
	// A key that is none, typed into the line of the key.
	line := value[int](b, `(() => { const lines = [...document.querySelectorAll('.cm-line')], at = lines.findIndex(l => l.textContent.startsWith('K:'));
		const text = document.createTreeWalker(lines[at], NodeFilter.SHOW_TEXT).nextNode(); document.querySelector('.cm-content').focus(); getSelection().setBaseAndExtent(text, 2, text, text.length); return at + 1; })()`)
	b.do(chromedp.KeyEvent("H"))
	b.until(fmt.Sprintf("document.querySelector('#editor-problems button')?.textContent.startsWith('Line %d: ')", line))
	b.shot("problem")
	b.accessible("a text with a problem")
	b.unscrolled("a text with a problem")
	b.click("#editor-problems button")
	b.until("document.querySelector('.cm-activeLine')?.textContent.startsWith('K:')")
}

// TestBesideIsReadable: with another instrument beside it, the fret numbers of both
// sheets are at least 14 px high on a desk's screen.
func TestBesideIsReadable(t *testing.T) {
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/")
	b.click(".starters a")
	b.until("document.querySelector('.shown-tab svg g.stroke')")
	b.set("#beside", "lap6-c6")
	b.until("document.querySelectorAll('.shown-tab:not([hidden]) .narrow-sheet svg').length === 2")
	sizes := value[[]float64](b, `[...document.querySelectorAll('.shown-tab')].map(s => Math.min(...[...s.querySelectorAll('g.fret text')].filter(t => t.getClientRects().length).map(t => {
		const svg = t.ownerSVGElement; return Number(t.getAttribute('font-size')) * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width; })))`)
	for i, px := range sizes {
		if !(px >= 14 && px < 40) {
			t.Errorf("sheet %d: fret numbers of %.1f px", i, px)
		}
	}
	tops := value[[]float64](b, "[...document.querySelectorAll('.shown-tab')].map(s => s.getBoundingClientRect().left)")
	if len(tops) != 2 || tops[1]-tops[0] < 200 {
		t.Errorf("the sheets stand at %v", tops)
	}
	b.shot("beside")
	b.unscrolled("beside")
}

// TestTensionIsSeen: on a phone the tension of every string is in the window without
// scrolling, and printed it is on the paper while editors and buttons are not.
func TestTensionIsSeen(t *testing.T) {
	_, server := serve(t)
	b := newWindow(t, server.URL, false)
	b.open("/rigs/pedal10-e9")
	b.until("document.querySelectorAll('#string-rows tr').length === 10")
	seen := "[...document.querySelectorAll('#string-rows tr')].every(tr => [4, 5].every(i => { const r = tr.querySelectorAll('td')[i - 1 + 0]?.getBoundingClientRect(); return r && r.width > 20 && r.right <= innerWidth; }))"
	if !value[bool](b, seen) {
		t.Error("the tension is not in a phone's window")
	}
	b.shot("phone")
	b.click(".head-actions button")
	b.until("document.querySelector('input.cell')")
	if !value[bool](b, seen) {
		t.Error("the tension of one's own instrument is not in a phone's window")
	}
	b.shot("own")
	b.unscrolled("own instrument")
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return err
	}))
	b.until("getComputedStyle(document.querySelector('.as-text')).display === 'none'")
	if !value[bool](b, "document.querySelector('#string-rows td:nth-child(5)').getClientRects().length === 1 && getComputedStyle(document.querySelector('.scroll')).overflowX === 'visible' && !document.querySelector('.head-actions').getClientRects().length") {
		t.Error("printed, the tension is cut or the buttons are there")
	}
	b.shot("print")
}

// TestEmptyPagesSayWhatToDo: each page of a studio with nothing in it names a way on.
func TestEmptyPagesSayWhatToDo(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st := newStudio(t)
		site, err := New(t.Context(), st, Options{})
		if err != nil {
			t.Fatal(err)
		}
		server := httptest.NewServer(site.Handler())
		t.Cleanup(server.Close)
		b := newWindow(t, server.URL, wide)
		for path, want := range map[string]string{
			"/": "Bring a tune", "/tunes": "No tunes yet. Drop a file anywhere on this page, or write one below",
			"/lessons": "bring one", "/grips": "Ask for a chord above", "/trash": "What you put in the trash",
		} {
			b.open(path)
			if got := b.text("main"); !strings.Contains(got, want) {
				t.Errorf("%s says %q, nothing of %q", path, got, want)
			}
			if value[int](b, "document.querySelectorAll('main a[href], main button, main input').length") == 0 {
				t.Errorf("%s leads nowhere", path)
			}
			b.unscrolled("empty " + path)
			b.accessible("empty " + path)
			b.shot("empty" + strings.ReplaceAll(path, "/", "-"))
		}
		if raw := value[[]string](b, "[...document.querySelectorAll('[data-list] .search')].map(e => e.outerHTML)"); len(raw) != 0 {
			t.Errorf("an empty list can be searched: %v", raw)
		}
	})
}

// TestPagesSpeakOfInstruments: no page says "rig" to a teacher (our own word for the
// code and the command line).
func TestPagesSpeakOfInstruments(t *testing.T) {
	st, server := serve(t)
	own, err := workbench.RigContent(ownCopyText(t))
	if err != nil {
		t.Fatal(err)
	}
	it, err := st.Add(t.Context(), studio.Rig, own, false)
	if err != nil {
		t.Fatal(err)
	}
	word := regexp.MustCompile(`(?i)\brigs?\b`)
	inside := regexp.MustCompile(`(?s)<script.*?</script>|<[^>]*>`)
	tune := newestOf(t, st, studio.Tune)
	for _, path := range []string{"/", "/rigs", "/rigs/new", "/rigs/" + it.ID, "/rigs/lap6-c6", "/rigs/lap6-c6/retune?to=open-d", "/rigs/lap6-c6/compare?with=reso-open-g", "/rigs/lap6-c6/strings?wrap=phosphor+bronze", "/rigs/lap6-c6/pegs", "/grips?rig=lap6-c6&want=C", "/tunes", "/tunes/" + tune, "/lessons", "/trash", "/rigs/none"} {
		status := http.StatusOK
		if path == "/rigs/none" {
			status = http.StatusNotFound
		}
		page := pageText(t, server, path, status)
		if len(page) < 500 {
			t.Fatalf("%s: %d bytes", path, len(page))
		}
		text := inside.ReplaceAllString(page, " ")
		if at := word.FindStringIndex(text); at != nil {
			t.Errorf("%s says %q: …%.80q", path, text[at[0]:at[1]], text[max(0, at[0]-30):])
		}
	}
}

// newestOf returns the identity of the item of a kind that was saved last.
func newestOf(t *testing.T, st *studio.Studio, kind studio.Kind) string {
	t.Helper()
	list, err := st.List(t.Context(), kind)
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	return list[0].ID
}

// ownCopyText is the text of a rig of the teacher's own.
func ownCopyText(t *testing.T) string {
	t.Helper()
	base := rigtest.Builtin(t, "bender-open-d")
	return string(rig.Format(workbench.OwnCopy(base, nil)))
}

// choose chooses in a field as a person does, and counts it.
func (b *window) choose(css, v string) {
	b.t.Helper()
	b.clicks++
	b.set(css, v)
}

// TestMixedClass is a teacher's evening: one tune for three instruments, harmony in
// thirds on the first, another way pinned on the second, words with a list, and one
// handout for all as a PDF, whose words are read by pdftotext (poppler-utils).
func TestMixedClass(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		file := filepath.Join(t.TempDir(), "two gulls.abc")
		text := "X:1\nT:Two Gulls\nM:3/4\nL:1/4\nQ:1/4=150\nK:G\n\"G\"GBd|\"C\"e2d|\"D\"cAF|\"G\"G3|]\n"
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		b.open("/")
		b.clicks++
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}))
		b.until("document.querySelector('.shown-tab svg g.stroke')")
		if !wide {
			b.click("#setting summary")
		}
		saved := func(n int) {
			t.Helper()
			b.until(fmt.Sprintf("document.querySelector('[data-file]').href.includes('revision=%d&')", n))
		}
		b.choose("#harmony", "thirds")
		saved(2)
		b.until("document.querySelector('#about').textContent.includes('armony under')")
		b.choose("#rig", "lap6-c6")
		saved(3)
		b.until("document.querySelector('.facts').textContent.includes('C3 E3 G3 A3 C4 E4')")
		form := ".wide-sheet"
		if !wide {
			form = ".narrow-sheet"
		}
		b.click(form + " g.stroke[data-stroke='1']")
		b.until("document.querySelectorAll('.choices button').length > 1")
		b.click(".choices li:nth-child(2) button")
		b.until("document.querySelector('.choices [aria-pressed=true]')?.textContent.includes('pinned')")
		b.shot("pinned")
		b.click("form[action='/lessons'] button")
		b.until("document.querySelector('#lesson-form')")
		for _, rig := range []string{"reso-open-g", "tricone-open-d"} {
			b.click("input[name=rig][value='" + rig + "']")
		}
		b.clicks++
		value[string](b, `(() => { const w = document.querySelector('#words'); w.focus(); w.value = "Read it through **twice**.\n\n- hum the thirds\n- mind bar 2\n"; w.dispatchEvent(new Event('input')); return ''; })()`)
		b.until("document.querySelector('#save-state').textContent.startsWith('Kept')")
		b.until("!document.querySelector('#handout').hidden")
		value[string](b, `(() => { window.gone = ''; navigation.addEventListener('navigate', e => { window.gone = e.destination.url; e.preventDefault(); }); return ''; })()`)
		b.shot("lesson")
		b.unscrolled("the class's lesson")
		b.accessible("the class's lesson")
		b.click("#handout")
		b.until("window.gone.endsWith('/file')")
		t.Logf("from a file to a handout for three instruments: %d clicks, fields counted", b.clicks)
		if b.clicks > 12 {
			t.Errorf("it took %d clicks", b.clicks)
		}
		said := pdfText(t, server, value[string](b, "window.gone"))
		for _, want := range []string{"Two Gulls", "Read it through", "hum the thirds", "mind bar 2", "Square-neck resonator in high open G", "Six-string lap steel in C6", "Tricone in open D"} {
			if !strings.Contains(said, want) {
				t.Errorf("the handout says nothing of %q:\n%s", want, said)
			}
		}
		lesson, err := st.Get(b.ctx, newestOf(t, st, studio.Lesson))
		if err != nil {
			t.Fatal(err)
		}
		plan, asleep, err := workbench.PlanLesson(b.ctx, st, lesson)
		if err != nil || len(asleep) != 0 || len(plan.Rigs) != 3 || plan.Arrange["reso-open-g"].Harmony != arrange.Thirds || len(plan.Arrange["lap6-c6"].Pins) != 1 || plan.Arrange["tricone-open-d"].Harmony != arrange.GradeHarmony {
			t.Errorf("the lesson is planned as %+v, %v, %v", plan.Arrange, asleep, err)
		}
	})
}

// pdfText is the text of a PDF at an address.
func pdfText(t *testing.T, server *httptest.Server, address string) string {
	t.Helper()
	res, err := server.Client().Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	read := exec.Command("pdftotext", "-layout", "-", "-")
	read.Stdin = res.Body
	out, err := read.Output()
	if err != nil {
		t.Fatalf("pdftotext (make test-tools installs it): %v", err)
	}
	return string(out)
}
