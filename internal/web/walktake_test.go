package web

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/studio"
)

// TestTakeIsRecordedAndHeard: a teacher records a student in the page, with a recording as the
// microphone, sees on the sheet what was played, hears it from a note, says that a note was
// right, brings a second take as a file, compares the two, and clears the first.
func TestTakeIsRecordedAndHeard(t *testing.T) {
	noBrowserInShort(t)
	st, server := serve(t)
	it, err := st.Add(context.Background(), studio.Tune, studio.Content{Title: "Harbour Steps", Body: playedTune}, false)
	if err != nil {
		t.Fatal(err)
	}
	file, seconds := playedFile(t, st, it)
	browser, end, err := newChrome(chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-file-for-fake-audio-capture", file+"%noloop"))
	if err != nil {
		t.Fatal(err)
	}
	defer end()
	b := newWindowIn(browser, t, server.URL, true)
	b.open("/takes?tune=" + it.ID + "&rig=lap6-c6")
	b.unscrolled("takes")
	b.accessible("takes")
	if got := b.text("#promise"); got != "The sound goes to the machine that serves this page and nowhere else." {
		t.Errorf("before the first recording the page says %q", got)
	}
	b.do(chromedp.SendKeys(chromedp.CSS("#player"), "Wren"))
	b.shot("before")
	b.click("#record")
	b.until("!document.querySelector('#level').hidden")
	b.until(fmt.Sprintf("(([m, s]) => 60 * m + s)(document.querySelector('#clock').textContent.split(':').map(Number)) >= %d", int(seconds)+1))
	b.shot("recording")
	b.click("#record")
	b.until("location.pathname.startsWith('/takes/') && document.querySelector('.take-view svg g.played')")
	first := value[string](b, "location.pathname")
	b.unscrolled("take")
	b.accessible("take")
	b.shot("take")
	if got := b.text(".head"); !strings.Contains(got, "Harbour Steps") || !strings.Contains(got, "Wren") {
		t.Errorf("the head says %q", got)
	}
	// Thirteen notes, none of them missed or another; a browser's capture may lose a block.
	if n := value[int](b, "document.querySelectorAll('.notes li').length"); n != 13 {
		t.Errorf("%d notes are told, want 13", n)
	}
	if bad := value[int](b, "[...document.querySelectorAll('.notes li span')].filter(e => /not heard|another note/.test(e.textContent)).length"); bad > 1 {
		t.Errorf("%d notes of 13 are said not to be played:\n%s", bad, b.text(".notes"))
	}
	if cents := value[float64](b, `(() => { const c = [...document.querySelectorAll('.notes li span')].map(e => /in tune/.test(e.textContent) ? 0 : Number(/(\d+) cents?/.exec(e.textContent)?.[1] ?? 99)).sort((a, b) => a - b); return c[6]; })()`); cents > 6 {
		t.Errorf("the middle note is %g cents off in the recording", cents)
	}
	hearFromANote(b)
	sayItWasRight(b)
	compareTwoTakes(t, b, it.ID, file, first)
	clearTheSound(t, b, st, server.URL, first)
}

// hearFromANote taps a note in the lane: the take is heard from there, with a cursor.
func hearFromANote(b *window) {
	b.t.Helper()
	value[string](b, "document.querySelector('.wide-sheet g.played:nth-of-type(1)') && document.querySelectorAll('.wide-sheet g.played')[6].dispatchEvent(new MouseEvent('click', {bubbles: true})), ''")
	b.until("document.querySelector('audio').currentTime > 1 && !document.querySelector('audio').paused")
	b.until("document.querySelector('.take-cursor')")
	b.until("/Bar 2/.test(document.querySelector('.this-note').textContent)")
	b.shot("cursor")
	value[string](b, "document.querySelector('audio').pause(), ''")
}

// sayItWasRight says of the note that was tapped that it was right, with a word beside it.
func sayItWasRight(b *window) {
	b.t.Helper()
	b.click("#right")
	b.do(chromedp.SendKeys(chromedp.CSS("#word"), "lovely tone"))
	b.click("#say-of-note button")
	b.until("[...document.querySelectorAll('.beside li')].some(e => e.textContent.includes('lovely tone'))")
	b.until("document.querySelector('.notes li[data-right=true]')")
	b.accessible("take with a word")
}

// compareTwoTakes brings a second take as a file.
func compareTwoTakes(t *testing.T, b *window, tune, file, first string) {
	t.Helper()
	b.open("/takes?tune=" + tune + "&rig=lap6-c6")
	b.do(chromedp.SendKeys(chromedp.CSS("#player"), "Wren"), chromedp.SetUploadFiles(chromedp.CSS("#take-file"), []string{file}))
	b.until("location.pathname.startsWith('/takes/') && document.querySelector('.progress-picture svg')")
	if n := value[int](b, "document.querySelectorAll('#others ~ .scroll tbody tr').length"); n != 2 {
		t.Errorf("%d takes are compared, want 2", n)
	}
	b.do(chromedp.EmulateViewport(phoneWidth, phoneHeight))
	b.until("document.querySelector('.narrow-sheet').getClientRects().length > 0")
	b.unscrolled("take on a phone")
	b.accessible("take on a phone")
	b.wide = false
	b.shot("take")
	b.do(chromedp.EmulateViewport(deskWidth, deskHeight))
	b.wide = true
	b.shot("compared")
	b.open(first)
}

// clearTheSound clears a take: its sound is gone from the studio's folder, what was said is kept.
func clearTheSound(t *testing.T, b *window, st *studio.Studio, base, take string) {
	t.Helper()
	left := func() int {
		files, err := os.ReadDir(filepath.Join(st.Dir(), "recordings"))
		if err != nil {
			t.Fatal(err)
		}
		return len(files)
	}
	if n := left(); n != 2 {
		t.Fatalf("%d sounds are kept, want 2", n)
	}
	b.click(".clear-take summary")
	b.click(".clear-take button")
	b.until("!document.querySelector('audio') && /was cleared/.test(document.querySelector('main').textContent)")
	b.accessible("take without its sound")
	if n := left(); n != 1 {
		t.Errorf("%d sounds are left, want 1", n)
	}
	res, err := http.Get(base + take + "/sound")
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusGone {
		t.Errorf("the sound is answered with %d, want %d", res.StatusCode, http.StatusGone)
	}
}

// TestOverPlainHTTPThePageSaysWhyNot: over plain HTTP at a name a browser gives no microphone; the
// page says so and still takes a file.
func TestOverPlainHTTPThePageSaysWhyNot(t *testing.T) {
	_, server := serve(t)
	b := newWindow(t, server.URL, false)
	b.open("/takes")
	// What a page over plain HTTP is told, at an address that is not the machine's own.
	value[string](b, "Object.defineProperty(window, 'isSecureContext', {value: false}), ''")
	value[string](b, "import(document.querySelector('script[type=module]').src + '&again').then(() => '')")
	b.until("!document.querySelector('#no-microphone').hidden && document.querySelector('#record').disabled")
	if got := b.text("#no-microphone"); !strings.Contains(got, "plain HTTP") || !strings.Contains(got, "choose the file") {
		t.Errorf("the page says %q", got)
	}
	b.accessible("takes over plain HTTP")
}
