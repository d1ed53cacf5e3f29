package web

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/internal/further"
)

// onlyTheMark holds when the mark lies round exactly the stroke that it names,
// in the window and below the controls.
const onlyTheMark = `(() => {
	const mark = document.querySelector('.now-box'), n = mark?.dataset.of, m = mark?.getBoundingClientRect();
	const ink = [...document.querySelectorAll("section:not([hidden]) g.stroke[data-stroke='" + n + "'], section:not([hidden]) g.note[data-stroke='" + n + "']")].map(g => g.getBoundingClientRect()).filter(r => r.width > 0);
	if (!m || !ink.length) return false;
	const left = Math.min(...ink.map(r => r.left)), right = Math.max(...ink.map(r => r.right)), top = Math.min(...ink.map(r => r.top)), bottom = Math.max(...ink.map(r => r.bottom));
	const near = (a, b) => Math.abs(a - b) < 12;
	return near(m.left, left) && near(m.right, right) && near(m.top, top) && near(m.bottom, bottom)
		&& m.top >= document.querySelector('.player').getBoundingClientRect().bottom - 1 && m.bottom <= innerHeight + 1;
})()`

// TestFirefoxPlaysTheLesson: in Firefox, from a file, the music is marked and
// followed; looped, slowed down and printed.
func TestFirefoxPlaysTheLesson(t *testing.T) {
	t.Parallel()
	for _, s := range []struct {
		name          string
		width, height int64
	}{{"desk", deskWidth, deskHeight}, {"phone", phoneWidth, phoneHeight}} {
		t.Run(s.name, func(t *testing.T) {
			b := studentsFox(t, s.width, s.height)
			b.unscrolled("fresh")
			b.accessible("fresh")
			b.shot("fresh")
			b.click(".play")
			b.until(onlyTheMark)
			b.nextMark()
			b.until(onlyTheMark)
			if s.width == phoneWidth { // where there is more to scroll
				followsToTheEnd(t, b)
				leavesWhoScrolls(t, b)
			} else {
				b.click(".play")
				loopsAndSlows(t, b)
				b.prints(t, []string{"Slowly, please.", "low to high: G2 B2 D3 G3 B3 D4"})
			}
			if n := value[int](b, "performance.getEntriesByType('resource').length"); n != 0 {
				t.Errorf("the page fetched %d things", n)
			}
		})
	}
}

// followsToTheEnd plays from the tune's last third, far below the first line.
func followsToTheEnd(t *testing.T, b *window) {
	t.Helper()
	late := value[int](b, `(() => { const s = JSON.parse(document.querySelector('#lesson').textContent)[0].timing.strokes; return s[Math.floor(s.length * 0.8)].stroke; })()`)
	// A tap on the sheet starts there: from where the reader sees it.
	sheet := "section:not([hidden]) .wide-sheet"
	if !b.wide {
		sheet = "section:not([hidden]) .narrow-sheet"
	}
	note := fmt.Sprintf("%s g.stroke[data-stroke='%d']", sheet, late)
	b.click(".play")
	b.until("document.querySelector('.play').textContent === 'Play'")
	b.scrollTo(note, 0.8)
	x, y := b.middle(note)
	b.press([2]float64{x, y})
	b.until(fmt.Sprintf("document.querySelector('.now-box')?.dataset.of === '%d'", late))
	b.click(".play")
	for range 2 {
		b.until(onlyTheMark)
		if at := value[float64](b, "scrollY"); at < 100 {
			t.Fatalf("following went to the top of the page: %v", at)
		}
		b.nextMark()
	}
	b.shot("followed")
}

// scrollTo brings what stands somewhere to a share of the window's height from
// its top. Firefox scrolls a shape into view by its whole drawing.
func (b *window) scrollTo(css string, share float64) {
	b.t.Helper()
	value[string](b, fmt.Sprintf("window.scrollTo({top: scrollY + document.querySelector(%q).getBoundingClientRect().top - %v * innerHeight, behavior: 'instant'}), ''", css, share))
}

// leavesWhoScrolls turns the wheel, after which the page stays where it is.
func leavesWhoScrolls(t *testing.T, b *window) {
	t.Helper()
	if err := b.fox.wheel(b.ctx, [2]float64{150, float64(value[int](b, "innerHeight - 60"))}, -30000); err != nil {
		t.Fatal(err)
	}
	b.until("scrollY < 20")
	b.nextMark()
	b.nextMark()
	if at := value[float64](b, "scrollY"); at > 20 {
		t.Errorf("the page went to %v after its reader had scrolled to the top", at)
	}
	b.click(".play")
	b.until("document.querySelector('.play').textContent === 'Play'")
}

// loopsAndSlows loops the first bars by a drag, at a lower speed, and sees the
// first come again after the last.
func loopsAndSlows(t *testing.T, b *window) {
	t.Helper()
	sheet := "section:not([hidden]) .wide-sheet"
	if !b.wide {
		sheet = "section:not([hidden]) .narrow-sheet"
	}
	strokes := value[[]int](b, `(() => { const s = JSON.parse(document.querySelector('#lesson').textContent)[0].timing.strokes; const in0 = s.filter(x => x.pass === 0), in1 = s.filter(x => x.pass === 1); return [in0[0].stroke, in1.at(-1).stroke]; })()`)
	first, last := fmt.Sprintf("%s g.stroke[data-stroke='%d']", sheet, strokes[0]), fmt.Sprintf("%s g.stroke[data-stroke='%d']", sheet, strokes[1])
	b.scrollTo(first, 0.6)
	x, y := b.middle(first)
	x2, y2 := b.middle(last)
	b.press([2]float64{x, y}, [2]float64{x2, y2})
	b.until("document.querySelector('.loop').getAttribute('aria-pressed') === 'true'")
	if from, to := value[string](b, "document.querySelectorAll('.ends select')[0].value"), value[string](b, "document.querySelectorAll('.ends select')[1].value"); from != "0" || to != "1" {
		t.Errorf("the drag over the first two bars looped %s to %s", from, to)
	}
	for range 4 {
		b.click(".speed button")
	}
	b.until("document.querySelector('#speed').value === '80' && document.querySelector('.play').textContent === 'Play'")
	b.click(".play")
	b.until(fmt.Sprintf("document.querySelector('.now-box')?.dataset.of === '%d'", strokes[1]))
	b.until(fmt.Sprintf("document.querySelector('.now-box')?.dataset.of === '%d'", strokes[0]))
	b.click(".play")
}

// prints gives the page to a printer and reads the paper.
func (b *window) prints(t *testing.T, want []string) {
	t.Helper()
	pdf, err := b.fox.fetched(b.ctx, "browsingContext.print")
	if err != nil {
		t.Fatal(err)
	}
	at := filepath.Join(t.TempDir(), "printed.pdf")
	if dir := os.Getenv(shotsEnv); dir != "" {
		at = filepath.Join(dir, "printed-firefox.pdf")
	}
	if err := os.WriteFile(at, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-layout", at, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Count(string(text), "\f"); got > 2 {
		t.Errorf("one tune on one instrument takes %d pages", got)
	}
	for _, w := range want {
		if !strings.Contains(string(text), w) {
			t.Errorf("the printed page lacks %q:\n%s", w, text)
		}
	}
	// The font of the controls can't be read off the paper, but what unfolds has signs
	// of its own, in another font.
	if found := strings.IndexAny(string(text), "▸▾"); found >= 0 {
		t.Errorf("what unfolds on the screen is printed:\n%s", text)
	}
	b.hidesControls(t)
}

// hidesControls lays out the page by its rules for paper: nothing that is there to be
// pressed or chosen takes any room then. On the screen it does. Of the instruments the
// one that is shown is printed, or all when that is ticked.
func (b *window) hidesControls(t *testing.T) {
	t.Helper()
	const sheets = "[...document.querySelectorAll('section.rig')].filter(e => e.getClientRects().length && e.querySelector('.paper svg').getClientRects().length).length"
	if n := value[int](b, onPaper(sheets)); n != 1 {
		t.Errorf("%d instruments are printed, want the one that is shown", n)
	}
	b.click(".transport .more")
	b.ticks("Print all instruments")
	b.until("!document.querySelector('section.rig[aria-busy]')") // sheets are drawn line by line
	if n, on := value[int](b, onPaper(sheets)), value[int](b, sheets); n != 2 || on != 1 {
		t.Errorf("with all ticked %d are printed and %d shown, want 2 and 1", n, on)
	}
	b.ticks("Print all instruments")
	b.click(".transport .more")
	const shown = "[...document.querySelectorAll('button, select, input, output, summary')].filter(e => e.getClientRects().length).map(e => e.ariaLabel ?? e.textContent.trim())"
	if on := value[[]string](b, shown); len(on) < 8 {
		t.Fatalf("the page on the screen shows only the controls %q", on)
	}
	if left := value[[]string](b, onPaper(shown)); len(left) > 0 {
		t.Errorf("on paper these controls are left: %q", left)
	}
}

// onPaper is an expression's value while the page is laid out by its rules for paper.
func onPaper(expression string) string {
	return `(() => { const was = [];
		for (const sheet of document.styleSheets) for (const rule of sheet.cssRules) if (rule instanceof CSSMediaRule) {
			const media = rule.media.mediaText;
			was.push([rule, media]);
			if (/\bprint\b/.test(media)) rule.media.mediaText = 'all';
			else if (/\bscreen\b/.test(media)) rule.media.mediaText = 'not all';
		}
		const found = ` + expression + `;
		for (const [rule, media] of was) rule.media.mediaText = media;
		if (!was.length) throw new Error('the page has no rules for paper');
		return found; })()`
}

// TestFirefoxPinsANote: in Firefox, the workbench lets a note be played another way.
func TestFirefoxPinsANote(t *testing.T) {
	further.Only(t)
	t.Parallel()
	_, server := serve(t)
	b := newFox(t, server.URL, deskWidth, deskHeight)
	b.open("/")
	b.click(".starters a")
	b.until("document.querySelector('.wide-sheet g.stroke[data-stroke]')")
	b.click(".wide-sheet g.stroke[data-stroke='2']")
	b.until("document.querySelectorAll('.choices button').length > 1 && document.querySelector('.picked-box')")
	was := b.text("#here-body p")
	b.click(".choices li:nth-child(2) button")
	b.until("document.querySelector('.pins li')")
	b.until(fmt.Sprintf("document.querySelector('#here-body p').textContent !== %q", was))
	b.accessible("pinned")
	b.shot("pinned")
	b.click(".pins button")
	b.until(fmt.Sprintf("!document.querySelector('.pins li') && document.querySelector('#here-body p').textContent === %q", was))
}
