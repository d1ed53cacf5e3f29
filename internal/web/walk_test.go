package web

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

func bothSizes(t *testing.T, walk func(t *testing.T, wide bool)) {
	t.Run("desk", func(t *testing.T) { walk(t, true) })
	t.Run("phone", func(t *testing.T) { walk(t, false) })
}

// TestNewTeacherHearsATune goes from the first page to a sheet with sound, as a
// newcomer would: a demo tune, then play. Two clicks.
func TestNewTeacherHearsATune(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		began := time.Now()
		b.open("/")
		b.unscrolled("first page")
		b.accessible("first page")
		b.shot("first")
		b.click(".starters a")
		b.until("document.querySelector('.shown-tab .paper svg g.stroke')")
		b.until("!document.querySelector('.play').disabled")
		b.click(".play")
		b.until("document.querySelector('.play').textContent === 'Pause'")
		if took := time.Since(began); took > 10*time.Second {
			t.Errorf("from the first page to sound took %v, want under 10 s", took)
		}
		b.until("document.querySelector('.now-box')")
		first := value[string](b, "document.querySelector('.now-box').getAttribute('x')")
		b.until("document.querySelector('.now-box')?.getAttribute('x') !== '" + first + "'")
		b.shot("playing")
		// The space bar stops it.
		value[string](b, "document.activeElement.blur(), ''")
		b.do(chromedp.KeyEvent(" "))
		b.until("document.querySelector('.play').textContent === 'Play'")
		b.unscrolled("tune")
		b.accessible("tune")
	})
}

func TestDroppedFileBecomesATune(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		file := filepath.Join(t.TempDir(), "two.abc")
		text := "X:1\nT:First <b>& Only\nM:4/4\nL:1/4\nK:D\nDEFG|A2A2|\n"
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		b.open("/")
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}))
		b.until("location.pathname.startsWith('/tunes/') && document.querySelector('.shown-tab svg g.stroke')")
		if got := b.text("h1"); got != "First <b>& Only" {
			t.Errorf("the title is %q", got)
		}
		if n := value[int](b, "document.querySelectorAll('h1 b, .paper b').length"); n != 0 {
			t.Error("the title's angle brackets became markup")
		}
		// A file that is no tune says so and stays on the page.
		bad := filepath.Join(t.TempDir(), "bad.abc")
		if err := os.WriteFile(bad, []byte{0, 1, 2, 3}, 0o600); err != nil {
			t.Fatal(err)
		}
		b.open("/")
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{bad}))
		b.until("!document.querySelector('.notice').hidden && document.querySelector('.notice').classList.contains('bad')")
		if got := b.text(".notice span"); !strings.Contains(got, "not text") {
			t.Errorf("the notice says %q", got)
		}
		b.shot("refused")
	})
}

func TestAnotherRigShowsTheSameTune(t *testing.T) {
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/")
	b.click(".starters a")
	b.until("document.querySelector('.shown-tab svg g.stroke')")
	b.do(chromedp.SetValue(chromedp.CSS("#rig"), "lap6-c6"))
	value[string](b, "document.querySelector('#rig').dispatchEvent(new Event('change')), ''")
	b.until("document.querySelector('.facts').textContent.includes('C3 E3 G3 A3 C4 E4')")
	b.do(chromedp.SetValue(chromedp.CSS("#beside"), "tricone-open-d"))
	value[string](b, "document.querySelector('#beside').dispatchEvent(new Event('change')), ''")
	b.until("document.querySelectorAll('.shown-tab:not([hidden]) .wide-sheet svg').length >= 2")
	b.shot("two-rigs")
	b.accessible("two rigs")
	// Choosing what is chosen already is no new revision.
	value[string](b, "document.querySelector('#beside').dispatchEvent(new Event('change')), ''")
	// Undo takes the second rig away again, redo brings it back.
	b.until("!document.querySelector('#undo').disabled")
	b.click("#undo")
	b.until("document.querySelectorAll('.shown-tab:not([hidden])').length === 1")
	b.click("#redo")
	b.until("document.querySelectorAll('.shown-tab:not([hidden])').length === 2")
}

func TestTextBesideThePicture(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/")
		b.click(".starters a")
		b.until("document.querySelector('.shown-tab svg g.stroke')")
		b.click("#text-panel summary")
		b.until("document.querySelector('.cm-content')")
		before := value[int](b, "document.querySelectorAll('.wide-sheet g.stroke').length")
		b.click(".cm-content")
		// To the end of the text, then one bar more.
		b.do(chromedp.KeyEvent("\u0014", chromedp.KeyModifiers(2)))
		value[string](b, `(() => { const c = document.querySelector('.cm-content'); const r = document.createRange(); r.selectNodeContents(c); r.collapse(false); const s = getSelection(); s.removeAllRanges(); s.addRange(r); return ''; })()`)
		b.do(chromedp.KeyEvent("GABc dBGD|"))
		b.until("document.querySelectorAll('.wide-sheet g.stroke').length > " + strconv.Itoa(before))
		b.until("document.querySelector('#editor-state').textContent.startsWith('Kept')")
		b.shot("text")
		b.accessible("text open")
	})
}

func TestLessonFromTuneToZip(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/lessons")
		b.accessible("lessons")
		b.unscrolled("lessons")
		b.shot("lessons")
		b.click(".rows a")
		b.until("document.querySelector('#lesson-form')")
		b.unscrolled("lesson")
		b.accessible("lesson")
		b.shot("lesson")
		b.do(chromedp.SetValue(chromedp.CSS("#words"), "Slowly, please."))
		value[string](b, "document.querySelector('#words').dispatchEvent(new Event('input')), ''")
		b.until("document.querySelector('#save-state').textContent.startsWith('Kept')")
		// The page for students, then the zip.
		b.do(chromedp.Navigate(value[string](b, "document.querySelector('#preview').href")))
		b.until("document.querySelector('.lesson .paper svg')")
		b.until("!document.querySelector('.play').disabled")
		if got := b.text(".words"); !strings.Contains(got, "Slowly, please.") {
			t.Errorf("the words are %q", got)
		}
		b.unscrolled("students' page")
		b.accessible("students' page")
		b.click(".rig-choice button:nth-child(2)")
		b.until("document.querySelectorAll('section.rig:not([hidden])').length === 1 && document.querySelector('section.rig:not([hidden])').dataset.part === '1'")
		b.until("!document.querySelector('.play').disabled")
		b.click(".play")
		b.until("document.querySelector('.now-box')")
		b.shot("students")
	})
}

func TestEveryPageAtBothSizes(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		recent, err := st.Recent(b.ctx, 1)
		if err != nil || len(recent) == 0 {
			t.Fatal(err)
		}
		for _, path := range []string{"/", "/rigs", "/rigs/bender-open-d", "/rigs/reso-open-g/retune", "/rigs/reso-open-g/retune?to=G2+B2+D3+G3+B3+D4", "/rigs/reso-open-g/compare?with=tricone-open-d", "/rigs/reso-open-g/strings?wrap=phosphor+bronze", "/grips", "/grips?rig=reso-open-g&want=Am7", "/tunes", "/lessons", "/trash", "/items/" + recent[0].ID + "/revisions", "/no-such-page"} {
			for _, look := range []string{"light", "dark"} {
				b.open(path)
				value[string](b, "document.documentElement.dataset.theme = '"+look+"', ''")
				if path == "/rigs/bender-open-d" {
					b.until("document.querySelector('.cm-content')")
				}
				b.unscrolled(path)
				b.accessible(path + " " + look)
				b.shot(strings.NewReplacer("/", "-", "?", "-", "&", "-", "+", "-").Replace(strings.Trim(path, "/")) + "-" + look)
			}
		}
	})
}

// TestAnotherWayToPlayANote picks a note, pins another way and frees it again,
// by mouse at desk size and with the keyboard alone at phone size.
func TestAnotherWayToPlayANote(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/")
		b.click(".starters a")
		b.until("document.querySelector('.shown-tab svg [data-stroke]')")
		if wide {
			b.click(".wide-sheet g.stroke[data-stroke='2']")
		} else {
			b.do(chromedp.Focus(chromedp.CSS(".shown-tab")))
			for range 3 {
				b.do(chromedp.KeyEvent(kb.ArrowRight))
			}
		}
		b.until("document.querySelectorAll('.choices button').length > 1")
		b.until("document.querySelector('.picked-box')")
		fret := "document.querySelector('#here-body p').textContent"
		was := value[string](b, fret)
		b.shot("choices")
		b.accessible("choices")
		if wide {
			b.click(".choices li:nth-child(2) button")
		} else {
			b.do(chromedp.Focus(chromedp.CSS(".choices li:nth-child(2) button")), chromedp.KeyEvent("\r"))
		}
		b.until("document.querySelector('.pins li')")
		b.until(fret + " !== " + strconv.Quote(was))
		if wide {
			b.click(".pins button")
		} else {
			b.do(chromedp.Focus(chromedp.CSS(".pins button")), chromedp.KeyEvent("\r"))
		}
		b.until("!document.querySelector('.pins li') && " + fret + " === " + strconv.Quote(was))
	})
}
