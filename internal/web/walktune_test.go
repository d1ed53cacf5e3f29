package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
)

// place returns where on the page a string crosses a fret of the live neck.
func (b *window) place(str, fret int) (x, y float64) {
	b.t.Helper()
	p := value[[]float64](b, fmt.Sprintf(`(() => {
		const svg = document.querySelector('.live-neck');
		svg.scrollIntoView({block: 'center'});
		const box = svg.getBoundingClientRect(), k = box.width / svg.viewBox.baseVal.width;
		const f = [svg.querySelector('.nut'), ...svg.querySelectorAll('.fret')][%d], s = svg.querySelectorAll('.string')[%d];
		return [box.left + k * f.x1.baseVal.value, box.top + k * s.y1.baseVal.value];
	})()`, fret, str-1))
	return p[0], p[1]
}

// newest returns the tune that was saved last.
func newest(b *window, st *studio.Studio) *studio.Item {
	b.t.Helper()
	list, err := st.List(b.ctx, studio.Tune)
	if err != nil {
		b.t.Fatal(err)
	}
	it, err := st.Get(b.ctx, list[0].ID)
	if err != nil {
		b.t.Fatal(err)
	}
	return it
}

// TestTuneOnAnEmptyNeck begins a tune with nothing and touches three notes.
func TestTuneOnAnEmptyNeck(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/tunes")
		b.shot("begin")
		b.unscrolled("tunes")
		b.accessible("tunes")
		b.do(chromedp.SetValue(chromedp.CSS("#title"), `100% <i>Ferry</i> & \Quay`))
		b.set("#begin-key", "D")
		b.set("#meter", "3/4")
		b.set("#begin-rig", "lap6-c6")
		b.click(".begin button")
		b.until("document.querySelector('.live-neck') && document.querySelector('.shown-tab .waiting')?.textContent.startsWith('No notes yet')")
		if got := b.text("h1"); got != `100% <i>Ferry</i> & \Quay` {
			t.Errorf("the title is %q", got)
		}
		b.shot("empty")
		b.unscrolled("empty neck")
		b.accessible("empty neck")
		b.set("#length", "1/4")
		// Strings of C6, from the first: E C A G E C. At the second fret of the
		// first string (E4) lies F#4, of the second (C4) D4; ABC writes C4 as C.
		for i, at := range [][2]int{{2, 2}, {1, 2}, {1, 5}, {1, 12}} {
			x, y := b.place(at[0], at[1])
			b.do(chromedp.MouseClickXY(x, y))
			b.until("document.querySelectorAll('.wide-sheet g.stroke').length === " + strconv.Itoa(i+1))
		}
		it := newest(b, st)
		if want := "X:1\nT:100\\% <i>Ferry</i> \\& \\\\Quay\nM:3/4\nL:1/8\nK:D\nD2 F2 A2 | e2\n"; it.Body != want {
			t.Errorf("the tune became\n%s", it.Body)
		}
		b.until("!document.querySelector('.play').disabled")
		b.shot("touched")
		b.accessible("touched")
		// Undo takes every note back, down to the empty neck.
		for range 4 {
			b.until("!document.querySelector('#undo').disabled")
			n := value[int](b, "document.querySelectorAll('.wide-sheet g.stroke').length")
			b.click("#undo")
			b.until("document.querySelectorAll('.wide-sheet g.stroke').length === " + strconv.Itoa(n-1))
		}
		b.until("document.querySelector('.shown-tab .waiting')")
	})
}

// TestDroppedTabAsksForItsRig drops tab text that names no rig: the page asks
// for it, shows what was guessed with carets, and keeps the tune as it was
// fretted. Tab that names its rig needs no question.
func TestDroppedTabAsksForItsRig(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		file := filepath.Join(t.TempDir(), "ferry landing.txt")
		// Strings of high open G, the highest on top; no lengths are written.
		text := "D|--0--2--4--5--|\nB|--------------|\nG|--------------|\nD|--------------|\nB|--------------|\nG|--------------|\n"
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		b.open("/")
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}))
		b.until("document.querySelector('.ask-rig')?.open")
		b.until("document.querySelector('.ask-rig button.main').disabled")
		b.set("#tab-rig", "reso-open-g")
		b.until("!document.querySelector('.ask-rig button.main').disabled")
		if n := value[int](b, "[...document.querySelectorAll('.ask-rig pre')].filter(p => /\\n *\\^$/.test(p.textContent)).length"); n == 0 {
			t.Errorf("no guess has a caret: %s", b.text(".remarks"))
		}
		b.shot("asked")
		b.unscrolled("asked for the rig")
		b.accessible("asked for the rig")
		b.click(".ask-rig button.main")
		b.until("location.pathname.startsWith('/tunes/') && document.querySelectorAll('.wide-sheet g.stroke').length === 4")
		if got := b.text("h1"); got != "ferry landing" {
			t.Errorf("the title is %q", got)
		}
		// D4, E4, F#4, G4: D, E, ^F, G in ABC.
		if got := newest(b, st).Body; !regexp.MustCompile(`D\d?.*E\d?.*F\d?.*G`).MatchString(got) {
			t.Errorf("the tune became\n%s", got)
		}
		named := filepath.Join(t.TempDir(), "named.txt")
		builtin, _ := rig.Builtin("lap6-c6")
		typed, _, err := notation.ReadTab([]byte("E|--0--2--4--5--|\nC|--------------|\nA|--------------|\nG|--------------|\nE|--------------|\nC|--------------|\n"), "x", builtin)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(named, tabtext.Format(typed), 0o600); err != nil {
			t.Fatal(err)
		}
		b.open("/")
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{named}))
		b.until("location.pathname.startsWith('/tunes/') && document.querySelector('#rig').value === 'lap6-c6' && document.querySelectorAll('.wide-sheet g.stroke').length === 4")
	})
}

// TestWishesOfTheTab asks for what the arranger can be asked for, and sees that
// the tab follows and tells of it.
func TestWishesOfTheTab(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		// A tune in D on a rig in open D that has a sliding capo up to fret 7. The quick
		// notes lie on open strings by habit; the long ones are stopped and take vibrato.
		it, err := st.Add(context.Background(), studio.Tune, studio.Content{Title: "Quick and Long", Body: "X:1\nT:Quick and Long\nM:4/4\nL:1/8\nQ:1/4=120\nK:D\n\"D\"D, F, A, F, \"G\"B,4 | G,4 \"D\"D4 |]\n", Extra: []byte(`{"rig":"bender-open-d"}`)}, false)
		if err != nil {
			t.Fatal(err)
		}
		b := newWindow(t, server.URL, wide)
		b.open("/tunes/" + it.ID)
		b.until("document.querySelector('.shown-tab svg g.stroke')")
		if !value[bool](b, "document.querySelector('#setting').open") {
			b.click("#setting summary")
		}
		type answer struct {
			Shown  report.Tab     `json:"shown"`
			Narrow string         `json:"narrow"`
			About  report.Summary `json:"about"`
		}
		// now waits for a revision and gives the tab as the page is told it.
		now := func(revision int) answer {
			t.Helper()
			b.until(fmt.Sprintf("document.querySelector('[data-file]').href.includes('revision=%d&')", revision))
			var out answer
			text := value[string](b, fmt.Sprintf("fetch('/tunes/%s/shown?rig=bender-open-d&revision=%d').then(r => r.text())", it.ID, revision))
			if err := json.Unmarshal([]byte(text), &out); err != nil {
				t.Fatalf("%v: %.200s", err, text)
			}
			return out
		}
		count := func(a answer, is func(fret float64) bool) (n int) {
			for _, s := range a.Shown.Strokes {
				for _, p := range s.Plucks {
					if is(p.Fret) {
						n++
					}
				}
			}
			return n
		}
		open := func(fret float64) bool { return fret == 0 }
		every := func(float64) bool { return true }
		first := now(1)
		if count(first, every) != 7 || count(first, open) == 0 || strings.Contains(first.Narrow, "vibrato") {
			t.Fatalf("as it comes: %d notes, %d open", count(first, every), count(first, open))
		}
		b.click("#vibrato")
		if a := now(2); !strings.Contains(a.Narrow, "vibrato") {
			t.Error("no vibrato is marked")
		}
		b.set("#capo", "5")
		if a := now(3); a.About.Capo != 5 {
			t.Errorf("the capo is at %d, want 5", a.About.Capo)
		}
		b.set("#capo", "0")
		if a := now(4); a.About.Capo != 0 {
			t.Errorf("the capo is at %d, want it off", a.About.Capo)
		}
		b.click("#closed")
		if a := now(5); count(a, open) != 0 {
			t.Errorf("without open strings %d are open", count(a, open))
		}
		b.set("#harmony", "sixths")
		a := now(6)
		if count(a, every) <= 7 || a.About.Harmony == "" {
			t.Errorf("with sixths there are %d notes, and it is told %q", count(a, every), a.About.Harmony)
		}
		b.until("document.querySelector('#about').textContent.includes('armony under')")
		b.shot("wishes")
		b.unscrolled("wishes")
		b.accessible("wishes")
		b.click("#square")
		now(7)
		b.set("#harmony", "")
		b.until("!document.querySelector('#about').textContent.includes('armony under')")
		b.click("#undo")
		b.until("document.querySelector('#harmony').value === 'sixths'")
	})
}

// TestNoTuneIsBegun: what a form can't have sent is refused.
func TestNoTuneIsBegun(t *testing.T) {
	_, server := serve(t)
	good := url.Values{"title": {"Ferry"}, "key": {"G"}, "meter": {"4/4"}, "rig": {"lap6-c6"}}
	for field, bad := range map[string]string{"title": "  ", "key": "H", "meter": "4/0", "rig": "lute"} {
		f := url.Values{}
		for k, v := range good {
			f[k] = v
		}
		f.Set(field, bad)
		res, err := server.Client().PostForm(server.URL+"/tunes/begin", f)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s of %q: %s", field, bad, res.Status)
		}
	}
}

// TestSheetStaysWithTheReason: what can't be arranged is said beside the sheet
// that was there, which stays; the next one that can be made replaces both.
func TestSheetStaysWithTheReason(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/")
		b.click(".starters a")
		b.until("document.querySelector('.shown-tab svg g.stroke')")
		strokes := value[int](b, "document.querySelectorAll('.wide-sheet g.stroke').length")
		choose := func(octave string) {
			value[string](b, "(() => { const o = document.querySelector('#octave'); o.options[1].value = '3'; o.value = '"+octave+"'; o.dispatchEvent(new Event('change')); return ''; })()")
		}
		choose("3")
		b.until("document.querySelector('.shown-tab .reason')")
		if got := b.text(".reason .alarm"); !strings.Contains(got, `ctave "3" is farther`) {
			t.Errorf("the reason is %q", got)
		}
		if n := value[int](b, "document.querySelectorAll('.wide-sheet g.stroke').length"); n != strokes {
			t.Errorf("%d strokes are left of %d", n, strokes)
		}
		// The reason stands over the sheet, in the same column and in the window's width.
		if !value[bool](b, `(() => { const r = document.querySelector('.reason').getBoundingClientRect(), p = [...document.querySelectorAll('.shown-tab .paper')].map(e => e.getBoundingClientRect()).find(e => e.width > 0);
			return r.height > 20 && r.width > 100 && r.bottom <= p.top && r.right <= innerWidth; })()`) {
			t.Error("the reason does not stand over the sheet")
		}
		b.until("!document.querySelector('.play').disabled") // and what is there can be heard
		b.unscrolled("the old sheet with its reason")
		b.accessible("the old sheet with its reason")
		b.shot("reason")
		choose("")
		b.until("!document.querySelector('.shown-tab .reason') && document.querySelector('.shown-tab svg g.stroke')")
	})
}
