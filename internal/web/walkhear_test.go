package web

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/sound"
	"lapwright/sound/wav"
	"lapwright/tab"
)

// soundedFile is a recording of a tab, with silence around it, and its length in seconds.
func soundedFile(t *testing.T, tb *tab.Tab) (file string, seconds float64) {
	t.Helper()
	made, err := sound.Render(tb, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a := &sound.Audio{}
	for _, c := range made.Channels {
		a.Channels = append(a.Channels, append(append(make([]float32, sound.Rate/2), c...), make([]float32, sound.Rate/2)...))
	}
	file = filepath.Join(t.TempDir(), "played.wav")
	if err := os.WriteFile(file, wav.Write(a), 0o600); err != nil {
		t.Fatal(err)
	}
	return file, float64(a.Len()) / sound.Rate
}

// hearingPage opens a lesson from disk in a browser whose microphone plays the lesson's own tab.
func hearingPage(t *testing.T) (b *window, file string, seconds float64) {
	t.Helper()
	made, folder := quietLesson(t)
	file, seconds = soundedFile(t, made.Editions[0].Result.Tab)
	browser, end, err := newChrome(chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-file-for-fake-audio-capture", file+"%noloop"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(end)
	b = newWindowIn(browser, t, "file://"+folder, true)
	return readyToPlay(b), file, seconds
}

// TestTakeOnAStudentsPage: from disk, with a recording as the microphone, a student records a take, sees
// on the sheet what was played by shape and colour, hears it from a note, brings another as a file, has the two side by
// side with their progress, finds them again when the page is opened anew, and deletes one.
func TestTakeOnAStudentsPage(t *testing.T) {
	b, file, seconds := hearingPage(t)
	b.click(".listening summary")
	b.click(".listening .main")
	b.until(fmt.Sprintf("(([m, s]) => 60 * m + s)((/Recording: ([0-9:]+)/.exec(document.querySelector('.listening .own-said').textContent)?.[1] ?? '0:0').split(':').map(Number)) >= %d", int(seconds)+1))
	b.click(".listening .main")
	b.until("document.querySelector('.take-view svg g.played')")
	b.see(".take-view .take-player")
	b.shot("take")
	if n := value[int](b, "document.querySelectorAll('.take-view .notes li').length"); n != 9 {
		t.Errorf("%d notes are told, want 9:\n%s", n, b.text(".listening"))
	}
	if bad := value[int](b, "[...document.querySelectorAll('.take-view .notes li')].filter(e => /not heard|another note/.test(e.textContent)).length"); bad > 1 { // a browser's capture may lose a block
		t.Errorf("%d notes are said not to be played:\n%s", bad, b.text(".take-view .notes"))
	}
	if cents := value[float64](b, `(() => { const c = [...document.querySelectorAll('.take-view .notes li')].map(e => /in tune/.test(e.textContent) ? 0 : Number(/(\d+) cents?/.exec(e.textContent)?.[1] ?? 99)).sort((a, b) => a - b); return c[4]; })()`); cents > 6 {
		t.Errorf("the middle note is %g cents off in the recording", cents)
	}
	b.accessible("a take")
	b.unscrolled("a take")
	value[string](b, "document.querySelectorAll('.take-view .wide-sheet g.played')[6].dispatchEvent(new MouseEvent('click', {bubbles: true})), ''")
	b.until("document.querySelector('.take-cursor') && /Bar 3/.test(document.querySelector('.take-view .this-note').textContent) && document.querySelector('.take-sound button').textContent === 'Pause'")
	b.until("Number(document.querySelector('.take-sound input').value) > 3")
	b.shot("cursor")
	b.click(".take-sound button")
	b.do(chromedp.SetUploadFiles(chromedp.CSS(".listening input[type=file]"), []string{file}))
	b.until("document.querySelectorAll('.takes .one-take').length === 2 && document.querySelector('.progress-picture svg')")
	b.accessible("two takes")
	b.size(phoneWidth, phoneHeight)
	b.until("document.querySelector('.take-view .narrow-sheet').getClientRects().length > 0")
	b.wide = false
	b.accessible("two takes on a phone")
	b.unscrolled("two takes on a phone")
	b.see(".takes")
	b.shot("two-takes")
	b.see(".take-view .take-player")
	b.shot("take")
	b.size(deskWidth, deskHeight)
	b.wide = true
	b.see(".takes")
	b.shot("two-takes")
	// They are found again, and one is deleted for good, at the second asking.
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled")
	b.click(".listening summary")
	b.until("document.querySelectorAll('.takes .one-take').length === 2")
	b.click(".takes .take-do button")
	b.until("document.querySelector('.take-view svg g.played')")
	b.click(".takes tr:last-child button:last-child")
	b.until("document.querySelector('.takes tr:last-child button:last-child').textContent === 'Delete it for good'")
	b.click(".takes tr:last-child button:last-child")
	b.until("document.querySelectorAll('.takes .one-take').length === 1")
	if n := value[int](b, "performance.getEntriesByType('resource').length"); n != 0 {
		t.Errorf("the page fetched %d things", n)
	}
}

// see scrolls to an element, below the controls that stay.
func (b *window) see(css string) {
	b.t.Helper()
	value[string](b, fmt.Sprintf("(() => { const e = document.querySelector(%q); window.scrollTo({top: scrollY + e.getBoundingClientRect().top - 260, behavior: 'instant'}); return ''; })()", css))
}
