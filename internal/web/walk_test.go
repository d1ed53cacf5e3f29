package web

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// bothSizes walks at a desk's size and at a phone's, beside each other and beside other walks.
// It must come last in a test.
func bothSizes(t *testing.T, walk func(t *testing.T, wide bool)) {
	t.Parallel()
	for name, wide := range map[string]bool{"desk": true, "phone": false} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			walk(t, wide)
		})
	}
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
		t.Logf("from the first page to sound: %v", time.Since(began).Round(10*time.Millisecond))
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
		b.provokes("/tunes")
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
	t.Parallel()
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

func TestLessonFromTuneToStudents(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		it := smallLesson(t, st)
		b := newWindow(t, server.URL, wide)
		b.open("/lessons")
		b.click(".rows a[href$='" + it.ID + "']")
		b.until("document.querySelector('#lesson-form')")
		b.unscrolled("lesson")
		b.accessible("lesson")
		b.shot("lesson")
		b.do(chromedp.SetValue(chromedp.CSS("#words"), "Mind the second bar."))
		value[string](b, "document.querySelector('#words').dispatchEvent(new Event('input')), ''")
		b.until("document.querySelector('#save-state').textContent.startsWith('Kept')")
		// The zip is made with its progress shown, and arrives.
		value[string](b, `(() => { window.gone = ''; navigation.addEventListener('navigate', e => { window.gone = e.destination.url; e.preventDefault(); }); return ''; })()`)
		b.click("#download")
		b.until("window.gone.endsWith('/file')")
		// The page for students.
		b.do(chromedp.Navigate(value[string](b, "document.querySelector('#preview').href")))
		b.until("document.querySelector('.lesson .paper svg')")
		b.until("!document.querySelector('.play').disabled")
		if got := b.text(".words"); !strings.Contains(got, "Mind the second bar.") {
			t.Errorf("the words are %q", got)
		}
		b.unscrolled("students' page")
		b.accessible("students' page")
		b.instrument(1)
		b.until("document.querySelectorAll('section.rig:not([hidden])').length === 1 && document.querySelector('section.rig:not([hidden])').dataset.part === '1'")
		b.until("!document.querySelector('.play').disabled")
		b.click(".play")
		b.until("document.querySelector('.now-box')")
		b.shot("students")
		// Printed, it is a sheet of paper or more, and not blank.
		pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF())
		if err != nil || len(pdf) < 10_000 {
			t.Errorf("printing gave %d bytes, %v", len(pdf), err)
		}
	})
}

// TestStudentsPageFromDisk opens the lesson as a student does: a file, without
// a server or a network.
func TestStudentsPageFromDisk(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		width, height := int64(deskWidth), int64(deskHeight)
		if !wide {
			width, height = phoneWidth, phoneHeight
		}
		b := studentsPage(t, width, height)
		b.click(".play")
		b.until("document.querySelector('.now-box')")
		// Half speed, looped over two bars: the bar that is shown comes round again.
		b.do(chromedp.SetValue(chromedp.CSS("#speed"), "50"))
		value[string](b, "document.querySelector('#speed').dispatchEvent(new Event('change')), ''")
		b.until("document.querySelector('.play').textContent === 'Pause'")
		if n := value[int](b, "performance.getEntriesByType('resource').length"); n != 0 {
			t.Errorf("the page fetched %d things", n)
		}
		b.unscrolled("students' page from disk")
		b.shot("disk")
	})
}

func TestEveryPageAtBothSizes(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.provokes("/no-such-page")
		recent, err := st.Recent(b.ctx, 1)
		if err != nil || len(recent) == 0 {
			t.Fatal(err)
		}
		paths := []string{"/", "/rigs", "/rigs/bender-open-d", "/rigs/reso-open-g/retune", "/rigs/reso-open-g/retune?to=G2+B2+D3+F3+B3+D4", "/rigs/reso-open-g/compare?with=tricone-open-d", "/rigs/reso-open-g/strings?wrap=phosphor+bronze", "/rigs/reso-open-g/pegs", "/rigs/pedal10-e9/pegs?chord=E&share=0.7", "/grips", "/grips?rig=reso-open-g&want=Am7", "/tunes", "/lessons", "/takes", "/trash", "/licences", "/items/" + recent[0].ID + "/revisions", "/rigs/new", "/no-such-page"}
		for _, path := range paths {
			looks := []string{"light", "dark"}
			if !wide {
				looks = looks[:1] // the colours are the same at any size
			}
			for _, look := range looks {
				b.open(path)
				value[string](b, "document.documentElement.dataset.theme = '"+look+"', ''")
				if path == "/rigs/bender-open-d" {
					b.until("document.querySelector('.cm-content')")
				}
				if look == "light" {
					b.unscrolled(path)
					b.accessible(path)
				} else { // nothing but the colours is another
					b.coloured(path + " " + look)
				}
				b.shot(strings.NewReplacer("/", "-", "?", "-", "&", "-", "+", "-").Replace(strings.Trim(path, "/")) + "-" + look)
			}
		}
		if wide {
			return
		}
		// The narrowest window: nothing to be read or pressed reaches out of it, but what
		// can be scrolled by itself (WCAG 2.2, 1.4.10).
		b.size(320, 640)
		for _, path := range paths {
			b.open(path)
			b.unscrolled(path + " at 320 px")
			if out := value[string](b, `[...document.querySelectorAll('main *, nav a')].filter(e => { const r = e.getBoundingClientRect();
				if (!(r.width > 0 && r.right > innerWidth + 1)) return false;
				for (let p = e.parentElement; p && p !== document.body; p = p.parentElement) if (/auto|scroll/.test(getComputedStyle(p).overflowX)) return false;
				return !e.closest('svg'); }).slice(0, 3).map(e => e.outerHTML.slice(0, 90)).join('\n')`); out != "" {
				t.Errorf("%s at 320 px: out of the window reaches\n%s", path, out)
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
		fret := "document.querySelector('#here-body p').textContent"
		if wide {
			b.click(".wide-sheet g.stroke[data-stroke='2']")
		} else {
			b.do(chromedp.Focus(chromedp.CSS(".shown-tab")))
			// What is told of one stroke is waited for, so that it isn't taken for the next one's.
			for range 3 {
				before := value[string](b, fret)
				b.do(chromedp.KeyEvent(kb.ArrowRight))
				b.until(fret + " !== " + strconv.Quote(before))
			}
		}
		b.until("document.querySelectorAll('.choices button').length > 1")
		b.until("document.querySelector('.picked-box')")
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
		// The list marks what is pinned, and nothing else.
		b.until("document.querySelectorAll('.choices [aria-pressed=true]').length === 1 && document.querySelector('.choices [aria-pressed=true]').textContent.includes('pinned')")
		if chosen, pinned := b.text(".choices [aria-pressed=true] span"), b.text(".pins li span"); !strings.HasSuffix(pinned, ": "+chosen) {
			t.Errorf("%q is marked, and %q", chosen, pinned)
		}
		// The sheet and what is told beside it have followed: nothing is drawn anew any more.
		b.until("document.querySelector('[data-file]').href.includes('revision=2&')")
		if wide {
			b.click(".pins button")
		} else {
			b.do(chromedp.Focus(chromedp.CSS(".pins button")), chromedp.KeyEvent("\r"))
		}
		b.until("!document.querySelector('.pins li') && " + fret + " === " + strconv.Quote(was))
	})
}

// TestTwoWindowsOnOneTune: the second save from the same revision is told, and
// its text stays on the page.
func TestTwoWindowsOnOneTune(t *testing.T) {
	t.Parallel()
	_, server := serve(t)
	a, b := newWindow(t, server.URL, true), newWindow(t, server.URL, true)
	a.open("/tunes")
	path := value[string](a, "document.querySelector('.rows a').pathname")
	for _, w := range []*window{a, b} {
		w.open(path)
		w.until("document.querySelector('.shown-tab svg g.stroke')")
	}
	set := func(w *window, tempo string) {
		value[string](w, "(() => { const t = document.querySelector('#tempo'); t.value = '"+tempo+"'; t.dispatchEvent(new Event('change')); return ''; })()")
	}
	set(a, "60")
	a.until("!document.querySelector('#undo').disabled")
	set(b, "70")
	b.until("!document.querySelector('.notice').hidden")
	if got := b.text(".notice span"); !strings.Contains(got, "another window") {
		t.Errorf("the second window says %q", got)
	}
	if got := value[string](b, "document.querySelector('#tempo').value"); got != "70" {
		t.Errorf("the second window's tempo became %q", got)
	}
	b.shot("conflict")
	b.quiet()
}

// TestProgramGoesAway: with nobody to save to, the page says so and keeps the
// text.
func TestProgramGoesAway(t *testing.T) {
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/lessons")
	b.click(".rows a")
	b.until("document.querySelector('#words')")
	server.CloseClientConnections()
	server.Listener.Close()
	value[string](b, "(() => { const w = document.querySelector('#words'); w.value = 'Do not lose me.'; w.dispatchEvent(new Event('input')); return ''; })()")
	b.until("document.querySelector('#save-state').textContent.startsWith('Not kept')")
	if got := b.text(".notice span"); !strings.Contains(got, "does not answer") {
		t.Errorf("the notice says %q", got)
	}
	if got := value[string](b, "document.querySelector('#words').value"); got != "Do not lose me." {
		t.Errorf("the words became %q", got)
	}
	b.quiet()
}

// TestSoundStartsAtOnce: the press itself hands the recording to the audio clock,
// to sound within a twentieth of a second of that clock, at two presses in three.
func TestSoundStartsAtOnce(t *testing.T) {
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/")
	b.click(".starters a")
	b.until("!document.querySelector('.play').disabled")
	presses := value[[]float64](b, `(() => {
		const start = AudioBufferSourceNode.prototype.start;
		const presses = [];
		for (let i = 0; i < 3; i++) {
			let soon = -1;
			AudioBufferSourceNode.prototype.start = function (when, ...rest) {
				soon = when - this.context.currentTime;
				return start.call(this, when, ...rest);
			};
			document.querySelector('.play').click();
			presses.push(soon);
			AudioBufferSourceNode.prototype.start = start;
			document.querySelector('.play').click();
		}
		return presses;
	})()`)
	t.Logf("from the press to the sound: %.3f s of the audio clock", presses)
	// A machine with other work may stop in the midst of one.
	slices.Sort(presses)
	if seconds := presses[1]; seconds <= 0 || seconds > 0.05 {
		t.Errorf("the press lets the recording sound %v s later (below 0: not at all), want within 0.05 s at two presses in three", presses)
	}
}

// TestKeyboardAlone goes from the first page to a lesson with the Tab and Enter
// keys only.
func TestKeyboardAlone(t *testing.T) {
	t.Parallel()
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/")
	tabTo := func(what string) {
		t.Helper()
		for range 80 {
			b.do(chromedp.KeyEvent(kb.Tab))
			if value[bool](b, "document.activeElement?.matches("+strconv.Quote(what)+") ?? false") {
				if !value[bool](b, "getComputedStyle(document.activeElement).outlineStyle !== 'none' || document.activeElement.type === 'file'") {
					t.Errorf("the focus on %s can't be seen", what)
				}
				return
			}
		}
		b.shot("failed")
		t.Fatalf("the Tab key never reaches %s", what)
	}
	tabTo(".starters a")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.until("document.querySelector('.shown-tab svg g.stroke')")
	tabTo(".shown-tab")
	b.do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	b.until("document.querySelector('.choices')")
	tabTo("form[action='/lessons'] button")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.until("document.querySelector('#lesson-form')")
	tabTo("input[name=rig][value='lap6-c6']")
	b.do(chromedp.KeyEvent(" "))
	b.until("document.querySelector('#save-state').textContent.startsWith('Kept')")
	tabTo("#download")
}

// TestTouchingTheNeck drags a note to another place on the neck, and writes
// notes by touching it.
func TestTouchingTheNeck(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/")
		b.click(".starters a")
		b.until("document.querySelector('.shown-tab svg [data-stroke]')")
		form := ".wide-sheet"
		if !wide {
			form = ".narrow-sheet"
		}
		// The D of bar 2: what comes next after the cheapest is a stopped note, not an open string.
		b.click(form + " g.stroke[data-stroke='2']")
		b.until("document.querySelectorAll('.choices button').length > 1")
		// The second choice names a string and fret: drag to it on the picture.
		words := b.text(".choices li:nth-child(2) button span")
		var str, fret int
		if _, err := fmt.Sscanf(words[strings.Index(words, "string"):], "string %d at fret %d", &str, &fret); err != nil {
			t.Fatalf("the choice is called %q", words)
		}
		value[string](b, "document.querySelector('.live-neck').scrollIntoView({block: 'center'}), ''")
		at := func(str, fret int) (x, y float64) {
			p := value[[]float64](b, fmt.Sprintf(`(() => {
				const svg = document.querySelector('.live-neck'), box = svg.getBoundingClientRect(), k = box.width / svg.viewBox.baseVal.width;
				const f = [svg.querySelector('.nut'), ...svg.querySelectorAll('.fret')][%d], s = svg.querySelectorAll('.string')[%d];
				return [box.left + k * f.x1.baseVal.value, box.top + k * s.y1.baseVal.value];
			})()`, fret, str-1))
			return p[0], p[1]
		}
		x, y := at(str, 1)
		x2, y2 := at(str, fret)
		b.do(chromedp.DragAndDropXY(x, y, x2, y2))
		b.until("document.querySelector('.pins li')")
		if got := b.text(".pins li span"); !strings.Contains(got, fmt.Sprintf("string %d at fret %d", str, fret)) {
			t.Errorf("after dragging to string %d, fret %d: %q", str, fret, got)
		}
		b.shot("pinned")
		// Writing: each touch adds a note to the end of the text.
		before := value[int](b, "document.querySelectorAll('"+form+" g.stroke').length")
		b.click("#text-panel summary")
		b.until("document.querySelector('.cm-content')")
		b.click("#writing")
		value[string](b, "document.querySelector('.live-neck').scrollIntoView({block: 'center'}), ''")
		x, y = at(1, 5)
		b.do(chromedp.MouseClickXY(x, y))
		b.until("document.querySelectorAll('" + form + " g.stroke').length === " + strconv.Itoa(before+1))
		b.shot("written")
	})
}

// TestOtherPanels opens what the side of the workbench has to tell.
func TestOtherPanels(t *testing.T) {
	t.Parallel()
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/")
	b.click(".starters a")
	b.until("document.querySelector('.shown-tab svg [data-stroke]')")
	b.click("#words-panel summary")
	b.until("document.querySelectorAll('#told p').length > 8")
	b.click("#rank-panel summary")
	b.until("document.querySelectorAll('#ranked li').length >= 8")
	b.accessible("panels")
	b.shot("panels")
	was := b.text(".facts")
	b.click("#ranked li:first-child button")
	b.until("document.querySelector('.facts').textContent !== " + strconv.Quote(was))
	// Each file can be fetched, in another layout too.
	for _, f := range []string{"sheet.pdf", "tab.txt", "tab.musicxml", "tab.mid"} {
		if status := value[int](b, "fetch(document.querySelector(\"a[data-file='"+f+"']\").href.replace('layout=full', 'layout=tab-only')).then(r => r.status)"); status != 200 {
			t.Errorf("%s: status %d", f, status)
		}
	}
}

// TestTabIsTyped changes a fret in the tab's text: the tune and the sheet
// follow, and every other number stays where it was.
func TestTabIsTyped(t *testing.T) {
	t.Parallel()
	_, server := serve(t)
	b := newWindow(t, server.URL, true)
	b.open("/")
	b.click(".starters a")
	b.until("document.querySelector('.shown-tab svg [data-stroke]')")
	b.click("#text-panel summary")
	b.until("document.querySelector('.cm-content')")
	b.do(chromedp.SetValue(chromedp.CSS("#written-as"), "tab"))
	value[string](b, "document.querySelector('#written-as').dispatchEvent(new Event('change')), ''")
	b.until("document.querySelector('.cm-content')?.textContent.startsWith('tab text')")
	frets := `[...document.querySelectorAll('.wide-sheet g.fret')].map(g => g.textContent.trim()).join(' ')`
	before := strings.Fields(value[string](b, frets))
	// The first number on a string line is selected and typed over.
	got := value[string](b, `(() => {
		for (const line of document.querySelectorAll('.cm-line')) {
			const at = line.textContent.search(/(?<=^[1-6] [A-G].*[|-])[0-9]+/);
			if (at < 0) continue;
			const walk = document.createTreeWalker(line, NodeFilter.SHOW_TEXT);
			let past = 0, n;
			while ((n = walk.nextNode())) {
				if (past + n.length > at) {
					const digits = n.data.slice(at - past).match(/^[0-9]+/)[0];
					getSelection().setBaseAndExtent(n, at - past, n, at - past + digits.length);
					document.querySelector('.cm-content').focus();
					return digits;
				}
				past += n.length;
			}
		}
		return '';
	})()`)
	if got == "" {
		t.Fatal("no number was found in the tab's text")
	}
	want := "9"
	if got == want {
		want = "7"
	}
	b.do(chromedp.KeyEvent(want))
	b.until("document.querySelector('#editor-state').textContent.startsWith('Kept')")
	b.until(frets + " !== " + strconv.Quote(strings.Join(before, " ")))
	after := strings.Fields(value[string](b, frets))
	changed := 0
	for i := range before {
		if i < len(after) && before[i] != after[i] {
			changed++
		}
	}
	if len(after) != len(before) || changed != 1 {
		t.Errorf("%d of %d numbers changed (now %d), want one:\n%v\n%v", changed, len(before), len(after), before, after)
	}
	b.shot("typed")
}

// TestRigIsChanged makes a built-in rig one's own, retunes a string in the table
// and sees its tension follow; a wrong pitch is said and nothing is lost.
func TestRigIsChanged(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.provokes("/rigs/edit")
		b.open("/rigs/reso-open-g")
		b.click(".head-actions button")
		b.until("document.querySelector('input.cell') && document.querySelector('.cm-content')")
		b.accessible("own rig")
		b.unscrolled("own rig")
		set := func(what, value_ string) {
			value[string](b, fmt.Sprintf("(() => { const i = document.querySelector('input[data-string=\"1\"][data-what=%q]'); i.value = %q; i.dispatchEvent(new Event('change', {bubbles: true})); return ''; })()", what, value_))
		}
		tension := "document.querySelector('#string-rows tr td:nth-child(5)').textContent"
		was := value[string](b, tension)
		set("open", "E4")
		b.until(tension + " !== " + strconv.Quote(was))
		b.until("document.querySelector('.cm-content').textContent.includes('E4')")
		set("open", "H9")
		b.until("document.querySelector('#edit-state').textContent.includes('H9')")
		set("open", "D4")
		b.until(tension + " === " + strconv.Quote(was))
		b.until("document.querySelector('#edit-state').textContent === ''")
		set("gauge", "17")
		b.until(tension + " !== " + strconv.Quote(was))
		b.shot("own-rig")
		b.click("#undo")
		b.until(tension + " === " + strconv.Quote(was))
	})
}
