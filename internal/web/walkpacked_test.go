package web

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"lapwright/internal/lesson"
	"lapwright/notation/abc"
	"lapwright/rig"
)

// longLesson makes a lesson for three instruments whose sheets are too many to stand
// plain in its page.
func longLesson(t *testing.T) string {
	t.Helper()
	noBrowserInShort(t)
	text := "X:1\nT:The Long Quay\nM:4/4\nL:1/8\nQ:1/4=120\nK:G\n" + strings.Repeat("DGBd gdBG | EGce gecE | DFAd fdAF | GBdg gdBG |\n", 20)
	all, _, err := abc.Read([]byte(text), "long.abc")
	if err != nil {
		t.Fatal(err)
	}
	var rigs []*rig.Rig
	for _, name := range []string{"reso-open-g", "lap6-c6", "bender-open-d"} {
		r, _ := rig.Builtin(name)
		rigs = append(rigs, r)
	}
	made, err := lesson.Make(context.Background(), lesson.Plan{Tune: all[0], Rigs: rigs, Recordings: lesson.NoRecordings}, nil)
	if err != nil {
		t.Fatal(err)
	}
	page, err := made.Page(true)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "index.html"), page, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestLongLessonIsUnpacked: sheets that stand packed in a page are there when their
// instrument is chosen, whole and to be touched, and all are on paper when all are printed.
func TestLongLessonIsUnpacked(t *testing.T) {
	dir := longLesson(t)
	bothSizes(t, func(t *testing.T, wide bool) {
		width, height, sheet := int64(deskWidth), int64(deskHeight), ".wide-sheet"
		if !wide {
			width, height, sheet = phoneWidth, phoneHeight, ".narrow-sheet"
		}
		b := newWindow(t, "file://"+dir, wide)
		b.size(width, height)
		b.inject(withoutProgram)
		b.open("/index.html")
		const drawn = "!document.querySelector('.player').hidden && !document.querySelector('section.rig[aria-busy]')" // a sheet is drawn line by line
		b.until(drawn)
		const packed = "document.querySelectorAll('section.rig .paper').length && document.querySelectorAll('section.rig script[data-packed]').length"
		if n := value[int](b, packed); n != 4 {
			t.Errorf("%d sheets are packed beside the first instrument's, want 4", n)
		}
		value[string](b, "document.querySelector('.rig-choice button[data-part=\"2\"]').click(), ''")
		b.until(drawn)
		want := value[int](b, "JSON.parse(document.querySelector('#lesson').textContent)[2].strokes.length")
		for _, form := range []string{".wide-sheet", ".narrow-sheet"} {
			if n := value[int](b, "document.querySelectorAll('section:not([hidden]) "+form+" g.stroke[data-stroke]').length"); n != want || want < 600 {
				t.Errorf("%s has %d strokes, want %d", form, n, want)
			}
		}
		if n := value[int](b, packed); n != 2 {
			t.Errorf("%d sheets are packed still, want the 2 of the instrument that nobody chose", n)
		}
		value[string](b, "(() => { const g = document.querySelector(\"section:not([hidden]) "+sheet+" g.stroke[data-stroke='9']\"), r = g.getBoundingClientRect(), o = {bubbles: true, button: 0, clientX: r.left + r.width / 2, clientY: r.top + r.height / 2}; g.dispatchEvent(new PointerEvent('pointerdown', o)); g.dispatchEvent(new PointerEvent('pointerup', o)); return ''; })()")
		b.until("(() => { const s = document.querySelector('section:not([hidden]) " + sheet + "'), m = s.querySelector('.now-box')?.getBoundingClientRect(), r = s.querySelector(\"g.stroke[data-stroke='9']\").getBoundingClientRect(); return m?.width && m.left <= r.left && m.right >= r.right && m.top <= r.top && m.bottom >= r.bottom; })()")
		b.shot("unpacked")
		b.click(".transport .more")
		b.ticks("Print all instruments")
		b.until(drawn)
		const sheets = "[...document.querySelectorAll('section.rig')].filter(e => [...e.querySelectorAll('.wide-sheet .paper svg')].some(s => s.getClientRects().length)).length"
		if n := value[int](b, onPaper(sheets)); n != 3 {
			t.Errorf("with all ticked %d are printed, want 3", n)
		}
		if n := value[int](b, packed); n != 0 {
			t.Errorf("%d sheets are packed when all are printed", n)
		}
	})
}

// TestLongLessonWithoutScripts: without scripts the first sheet is there, on a small
// screen too, and the page says where the others are.
func TestLongLessonWithoutScripts(t *testing.T) {
	dir := longLesson(t)
	b := newWindow(t, "file://"+dir, false)
	b.size(phoneWidth, phoneHeight)
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}))
	b.open("/index.html")
	b.until("document.readyState === 'complete'")
	if n := value[int](b, "[...document.querySelectorAll('.wide-sheet .paper svg')].filter(s => s.getClientRects().length).length"); n < 2 {
		t.Errorf("%d pages of the first sheet are seen", n)
	}
	if n := value[int](b, "[...document.querySelectorAll('.wide-sheet noscript p')].filter(p => p.getClientRects().length && p.textContent.includes('needs JavaScript')).length"); n != 2 {
		t.Errorf("of %d sheets it is said that they need JavaScript, want 2", n)
	}
	if n := value[int](b, "[...document.querySelectorAll('.narrow-sheet, .player')].filter(e => e.getClientRects().length).length"); n != 0 {
		t.Errorf("%d things are seen that need a script", n)
	}
	b.shot("unscripted")
}
