package web

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapwright/internal/further"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/rig"
	"lapwright/tune"
)

// screens are what students look at: a desk, a phone upright and lying, and a
// laptop whose pages are shown at 200 % (WCAG 2.2, 1.4.4: text can be resized to
// 200 % without loss). most is how much of its height the controls may take.
var screens = []struct {
	name          string
	width, height int64
	most          float64
}{{"desk", deskWidth, deskHeight, 0.42}, {"phone", phoneWidth, phoneHeight, 0.42}, {"lying phone", 844, 390, 0.42}, {"laptop at 200 %", 683, 425, 0.42}, {"narrowest", 320, 640, 0.5}}

// students is one lesson's folder that the tests of the students' page share. Its
// tune goes at twice its speed, so that playing it takes half as long.
var students sharedLesson

type sharedLesson struct {
	once sync.Once
	dir  string
	err  error
}

// folder returns the lesson's folder, made the first time.
func (s *sharedLesson) folder(t testing.TB, quicker int64) string {
	t.Helper()
	s.once.Do(func() {
		demos, err := lesson.Demos()
		if err != nil {
			s.err = err
			return
		}
		var rigs []*rig.Rig
		for _, name := range []string{"reso-open-g", "bender-open-d"} {
			r, _ := rig.Builtin(name)
			rigs = append(rigs, r)
		}
		tn := longest(demos)
		for i := range tn.Bars {
			for k := range tn.Bars[i].Tempos {
				tn.Bars[i].Tempos[k].PerMinute *= quicker
			}
		}
		made, err := lesson.Make(context.Background(), lesson.Plan{Tune: tn, Rigs: rigs, Words: "Slowly, please."}, nil)
		if err == nil {
			s.dir, err = os.MkdirTemp("", "lapwright-lesson-*")
		}
		if err == nil {
			err = made.WriteFolder(filepath.Join(s.dir, "lesson"))
		}
		s.err = err
	})
	if s.err != nil {
		t.Fatal(s.err)
	}
	return filepath.Join(s.dir, "lesson")
}

// studentsPage opens the students' page from disk, as they do.
func studentsPage(t testing.TB, width, height int64) *window {
	t.Helper()
	noBrowserInShort(t)
	return openLesson(t, students.folder(t, 2), width, height)
}

// studentsFox opens it in Firefox.
func studentsFox(t *testing.T, width, height int64) *window {
	t.Helper()
	noBrowserInShort(t)
	return readyToPlay(newFox(t, "file://"+students.folder(t, 2), width, height))
}

// recordedPage opens the students' page in a browser that runs no program beside
// it: the recording plays. What has nothing to do with the program is looked at so,
// since to compile it takes longer than most walks.
func recordedPage(t testing.TB, width, height int64) *window {
	t.Helper()
	noBrowserInShort(t)
	b := newWindow(t, "file://"+students.folder(t, 2), width > 640)
	b.size(width, height)
	b.inject(withoutProgram)
	return readyToPlay(b)
}

// openLesson opens the page of a lesson's folder in a browser that has kept nothing.
func openLesson(t testing.TB, folder string, width, height int64) *window {
	t.Helper()
	b := newWindow(t, "file://"+folder, width > 640)
	b.size(width, height)
	return readyToPlay(b)
}

func readyToPlay(b *window) *window {
	b.t.Helper()
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled && " + wholeSheet)
	return b
}

// wholeSheet is that the sheet which a student's page shows is drawn to its last line.
const wholeSheet = "!document.querySelector('section:not([hidden])[aria-busy]')"

// longest returns the tune with the most bars: its sheet is higher than a window.
func longest(demos []lesson.Demo) *tune.Tune {
	best := demos[0].Tune
	for _, d := range demos {
		if len(d.Tune.Bars) > len(best.Bars) {
			best = d.Tune
		}
	}
	return best
}

func (b *window) size(width, height int64) {
	b.t.Helper()
	if b.fox == nil {
		b.do(chromedp.EmulateViewport(width, height))
		return
	}
	if _, err := b.fox.call(b.ctx, "browsingContext.setViewport", map[string]any{"viewport": map[string]any{"width": width, "height": height}}); err != nil {
		b.t.Fatal(err)
	}
}

// nextMark waits until another stroke is marked.
func (b *window) nextMark() {
	b.t.Helper()
	// Sheets of other instruments are in the page too, hidden.
	const marked = "([...document.querySelectorAll('.now-box')].find((m) => m.getClientRects().length > 0)?.dataset.of ?? '')"
	was := value[string](b, marked)
	b.until(fmt.Sprintf("%s !== '%s'", marked, was))
}

// TestSteelAndSheetAreWatchedTogether: while it plays, the controls, the neck and
// the marked note are all in the window, and the controls leave room for the sheet.
func TestSteelAndSheetAreWatchedTogether(t *testing.T) {
	for _, s := range screens {
		t.Run(strings.ReplaceAll(s.name, " %", ""), func(t *testing.T) {
			if s.width != phoneWidth && s.width != deskWidth {
				further.Only(t)
			}
			t.Parallel() // it mostly waits for the music
			b := recordedPage(t, s.width, s.height)
			// From the last third of the tune, so that the sheet must be followed there.
			b.click(".play")
			b.nextMark()
			for range 3 {
				b.nextMark()
			}
			seen := func(what string) {
				t.Helper()
				b.until("(() => { const r = document.querySelector('" + what + "')?.getBoundingClientRect(); return r && r.width > 0 && r.top >= -1 && r.bottom <= innerHeight + 1 && r.left >= -1 && r.right <= innerWidth + 1; })()")
			}
			for _, what := range []string{".player .live-neck", ".player .play", ".player #speed", ".player .loop", ".now-box"} {
				seen(what)
			}
			if part := value[float64](b, "document.querySelector('.player').getBoundingClientRect().height / innerHeight"); !(part > 0.05 && part <= s.most) {
				t.Errorf("the controls take %.0f %% of the window, want %.0f at most", part*100, s.most*100)
			}
			if !value[bool](b, "document.querySelector('.now-box').getBoundingClientRect().top >= document.querySelector('.player').getBoundingClientRect().bottom - 1") {
				t.Error("the controls cover the marked note")
			}
			b.unscrolled(s.name)
			b.shot("watched")
		})
	}
}

// TestWhoScrollsIsLeftInPeace: a reader's own scrolling ends the following until
// the next start.
func TestWhoScrollsIsLeftInPeace(t *testing.T) {
	b := recordedPage(t, phoneWidth, phoneHeight)
	b.click(".play")
	b.nextMark()
	b.until("document.querySelector('.now-box').getBoundingClientRect().bottom <= innerHeight")
	before := value[float64](b, "scrollY")
	b.do(chromedp.KeyEvent(kb.PageDown))
	b.until(fmt.Sprintf("scrollY > %v", before+400))
	for range 6 {
		b.nextMark()
		if at := value[float64](b, "scrollY"); at < before+400 {
			t.Fatalf("the page went back to %v from where the reader had scrolled, over %v", at, before+400)
		}
	}
	// The next start follows again.
	b.click(".play")
	b.until("document.querySelector('.play').textContent === 'Play'")
	b.click(".play")
	b.nextMark()
	b.until("(() => { const r = document.querySelector('.now-box').getBoundingClientRect(); return r.top >= document.querySelector('.player').getBoundingClientRect().bottom - 1 && r.bottom <= innerHeight + 1; })()")
}

// TestForcedColours: in the few colours that a reader has chosen for everything,
// ink stands on paper, and what is pressed looks different from what is not (CSS
// Color Adjustment 1, section 3: forced colours).
func TestForcedColours(t *testing.T) {
	b := recordedPage(t, deskWidth, deskHeight)
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "forced-colors", Value: "active"}, {Name: "prefers-color-scheme", Value: "dark"},
		}})
		return err
	}))
	b.until("matchMedia('(forced-colors: active)').matches")
	b.shot("forced")
	luminance := `(css => { const [r, g, b] = css.match(/[\d.]+/g).slice(0, 3).map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; })`
	contrast := func(a, c string) float64 {
		return value[float64](b, fmt.Sprintf(`(() => { const l = %s; const [x, y] = [l(%s), l(%s)]; return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05); })()`, luminance, a, c))
	}
	style := func(css, property string) string {
		return fmt.Sprintf("getComputedStyle(document.querySelector(%q))[%q]", css, property)
	}
	if got := contrast(style(".paper", "backgroundColor"), style("section:not([hidden]) .wide-sheet svg text", "fill")); got < 7 {
		t.Errorf("ink stands on the sheet's paper at a contrast of %.1f", got)
	}
	if got := contrast(style("body", "backgroundColor"), style(".live-neck .string", "stroke")); got < 3 {
		t.Errorf("strings stand on the page at a contrast of %.1f", got)
	}
	if got := contrast(style(".rig-choice button[aria-pressed=true]", "backgroundColor"), style(".rig-choice button[aria-pressed=false]", "backgroundColor")); got < 3 {
		t.Errorf("the chosen instrument stands off the other at a contrast of %.1f", got)
	}
}

// TestRemovingForGoodAsks: one press only asks, and says what would be lost.
func TestRemovingForGoodAsks(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		it := smallLesson(t, st)
		if err := st.Discard(t.Context(), it.ID); err != nil {
			t.Fatal(err)
		}
		left := func() int {
			list, err := st.Trash(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			return len(list)
		}
		b := newWindow(t, server.URL, wide)
		b.open("/trash")
		b.click(".plain-rows .sure summary")
		b.until("document.querySelector('.sure button').getBoundingClientRect().height >= 24")
		if left() != 1 {
			t.Fatal("one press has removed it")
		}
		if got := b.text(".sure form"); !strings.Contains(got, "A small lesson") || !strings.Contains(got, "nothing brings them back") {
			t.Errorf("it asks %q", got)
		}
		b.unscrolled("asking")
		b.accessible("asking")
		b.shot("asking")
		b.click(".sure button")
		b.until("document.querySelector('main').textContent.includes('The trash is empty')")
		if left() != 0 {
			t.Error("it is still there")
		}
	})
}

// TestRigInTheTrash: a tune whose rig is in the trash is shown on another one, and
// says so; the rig comes back with one press.
func TestRigInTheTrash(t *testing.T) {
	st, server := serve(t)
	r, _ := rig.Builtin("lap6-c6")
	own, err := st.Add(t.Context(), studio.Rig, studio.Content{Title: "Grandfather's", Body: string(rig.Format(r))}, false)
	if err != nil {
		t.Fatal(err)
	}
	tu, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Two Bars", Body: "X:1\nT:Two Bars\nM:4/4\nL:1/4\nK:G\nGABd|d2G2|]\n", Extra: []byte(`{"rig":"` + own.ID + `"}`)}, false)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Discard(t.Context(), own.ID); err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.open("/tunes/" + tu.ID)
	b.until("document.querySelector('.shown-tab svg g.stroke')")
	if got := b.text(".gone-rig"); !strings.Contains(got, "“Grandfather's” is in the trash") {
		t.Errorf("it says %q", got)
	}
	b.unscrolled("without its rig")
	b.accessible("without its rig")
	b.shot("gone-rig")
	b.click(".gone-rig button")
	b.until("!document.querySelector('.gone-rig') && document.querySelector('#rig')?.value === '" + own.ID + "' && document.querySelector('.shown-tab svg g.stroke')")
}

// instrument chooses one of the lesson's instruments, as the window offers it, and waits for its sheet.
func (b *window) instrument(i int) {
	b.t.Helper()
	if value[bool](b, "document.querySelector('.rig-choice button').getClientRects().length > 0") {
		b.click(fmt.Sprintf(".rig-choice button[data-part='%d']", i))
	} else {
		value[string](b, fmt.Sprintf("(() => { const s = document.querySelector('.rig-choice select'); s.value = '%d'; s.dispatchEvent(new Event('change')); return ''; })()", i))
	}
	b.until(fmt.Sprintf("document.querySelector('section:not([hidden])').dataset.part === '%d' && %s", i, wholeSheet))
}

// ticks ticks a box by its words.
func (b *window) ticks(words string) {
	b.t.Helper()
	value[string](b, fmt.Sprintf("[...document.querySelectorAll('label.pair')].find(l => l.textContent === %q).setAttribute('data-tick', ''), ''", words))
	b.click("label[data-tick] input")
	value[string](b, "document.querySelector('[data-tick]').removeAttribute('data-tick'), ''")
}

// middle gives where the middle of an element is in the window.
func (b *window) middle(css string) (x, y float64) {
	b.t.Helper()
	p := value[[]float64](b, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return [r.left + r.width / 2, r.top + r.height / 2]; })()`, css))
	return p[0], p[1]
}

// TestTappingTheSheet: a tap starts there, a drag over bars loops them; instrument,
// speed and loop stand in the address and are found again on the device.
func TestTappingTheSheet(t *testing.T) {
	b := recordedPage(t, phoneWidth, phoneHeight)
	b.until("document.querySelector('section:not([hidden]) .narrow-sheet g[data-stroke]')")
	value[string](b, "document.querySelector(\"section:not([hidden]) .narrow-sheet g.stroke[data-stroke='6']\").scrollIntoView({block: 'center'}), ''")
	note := func(stroke int) string {
		return fmt.Sprintf("section:not([hidden]) .narrow-sheet g.stroke[data-stroke='%d']", stroke)
	}
	x, y := b.middle(note(6))
	b.do(chromedp.MouseClickXY(x, y))
	b.until("document.querySelector('.now-box')?.dataset.of === '6'")
	// From the first note of one bar to the first of another.
	x2, y2 := b.middle(note(9))
	b.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x2, y2, chromedp.ButtonLeft), chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x, y, chromedp.ButtonLeft))
	b.until("document.querySelector('.loop').getAttribute('aria-pressed') === 'true'")
	first, last := value[string](b, "document.querySelectorAll('.ends select')[0].value"), value[string](b, "document.querySelectorAll('.ends select')[1].value")
	if first >= last {
		t.Errorf("the loop goes from %s to %s", first, last)
	}
	b.click(".speed button")
	b.until("document.querySelector('#speed').value === '95'")
	b.instrument(1)
	b.until("location.hash.includes('instrument=bender-open-d')")
	hash := value[string](b, "location.hash")
	for _, want := range []string{"instrument=bender-open-d", "speed=95", "loop="} {
		if !strings.Contains(hash, want) {
			t.Errorf("the address ends in %q, without %s", hash, want)
		}
	}
	// The device knows it again without the address.
	b.open("/index.html?again")
	b.click(".last-time button")
	b.until("document.querySelector('section:not([hidden])').dataset.part === '1' && document.querySelector('#speed').value === '95' && document.querySelector('.loop').getAttribute('aria-pressed') === 'true'")
	b.until("!document.querySelector('.play').disabled")
	b.shot("again")
}

// TestStudentFindsTheWay: how to read, tuning up, the tab in words, and sizes that
// a finger and an eye can use: targets of 44 CSS pixels (WCAG 2.2, 2.5.5), fret
// numbers of 14.
func TestStudentFindsTheWay(t *testing.T) {
	for _, s := range []struct {
		name          string
		width, height int64
	}{{"desk", deskWidth, deskHeight}, {"small desk", 1280, 800}, {"phone", phoneWidth, phoneHeight}, {"narrowest", 320, 640}} {
		t.Run(s.name, func(t *testing.T) {
			if s.name == "small desk" || s.name == "phone" {
				further.Only(t)
			}
			t.Parallel()
			b := recordedPage(t, s.width, s.height)
			// How to read is told, and the sheet is seen: all of it beside the sheet
			// where there is room, else the least of it above.
			b.until("document.querySelector('.reading').open !== (document.querySelector('.hint').getClientRects().length > 0)")
			if beside := value[bool](b, "document.querySelector('.reading').open"); beside != (s.width == deskWidth) {
				t.Errorf("how to read stands beside the sheet: %v", beside)
			}
			if low := value[float64](b, "Math.min(...[...document.querySelectorAll('section:not([hidden]) g.note')].map(g => g.getBoundingClientRect()).filter(r => r.width > 0).map(r => r.bottom))"); low > float64(s.height) && s.width > 320 {
				t.Errorf("the first note is at %v, below the first screen", low)
			}
			if low := value[float64](b, "[...document.querySelectorAll('section:not([hidden]) .paper')].find(e => e.getClientRects().length).getBoundingClientRect().top"); low > float64(s.height)-30 {
				t.Errorf("the sheet begins at %v, below the first screen", low)
			}
			if s.width == deskWidth {
				// One row of controls, whatever the button for playing says.
				for _, label := range []string{"Getting ready", "Play", "Pause"} {
					rows := value[float64](b, fmt.Sprintf(`(() => { const words = document.querySelector('.play').lastChild, was = words.textContent; words.textContent = %q;
						const tops = [...document.querySelectorAll('.transport > *')].map(e => e.getBoundingClientRect()).filter(r => r.height > 0).map(r => r.top + r.height / 2);
						words.textContent = was; return Math.max(...tops) - Math.min(...tops); })()`, label))
					if rows > 10 {
						t.Errorf("while the button says %q the controls stand in rows %v px apart", label, rows)
					}
				}
			}
			b.unscrolled(s.name)
			b.accessible(s.name)
			b.shot("fresh")
			b.click(".tune-up summary")
			b.until("document.querySelector('.tune-up button')?.getBoundingClientRect().height > 0")
			if got := value[string](b, "[...document.querySelectorAll('.tune-up button')].map(b => b.textContent).join(' ')"); got != "All in order String 6: G2 String 5: B2 String 4: D3 String 3: G3 String 2: B3 String 1: D4 Listen to my strings" {
				t.Errorf("to tune up there is %q", got)
			}
			// The tone of the lowest string is G2: 98.00 Hz (ISO 16, A4 = 440 Hz).
			hz := value[float64](b, `(() => { let hz = 0; const start = OscillatorNode.prototype.start;
				OscillatorNode.prototype.start = function (...a) { hz ||= this.frequency.value; return start.apply(this, a); };
				document.querySelectorAll('.tune-up button')[1].click(); OscillatorNode.prototype.start = start; return hz; })()`)
			if hz < 97.99 || hz > 98.01 {
				t.Errorf("string 6 sounds at %v Hz", hz)
			}
			b.click("section:not([hidden]) .in-words summary")
			b.until("document.querySelector('.by-bar button').getBoundingClientRect().height > 0")
			if bars, told := value[int](b, "JSON.parse(document.querySelector('#lesson').textContent)[0].timing.bars.length"), value[int](b, "document.querySelectorAll('section:not([hidden]) .told li').length"); told == 0 || told > bars {
				t.Errorf("%d bars are told of %d", told, bars)
			}
			b.click("section:not([hidden]) .by-bar button:nth-child(2)")
			b.until("/^Bar 1\\b.*(string|fret)/.test(document.querySelector('.this-bar').textContent)")
			b.click("section:not([hidden]) .by-bar button:nth-child(2)")
			b.until("/^Bar 2\\b.*(string|fret)/.test(document.querySelector('.this-bar').textContent) && document.querySelector('.where').textContent === 'bar 2'")
			b.shot("words")
			small := 24.0 // WCAG 2.2, 2.5.8, for a mouse
			if s.width < 640 {
				small = 44
			}
			if got := value[string](b, fmt.Sprintf(`[...document.querySelectorAll('button, select, summary')].filter(e => e.getBoundingClientRect().width > 0 && e.getBoundingClientRect().height < %v).map(e => e.textContent + ' ' + e.getBoundingClientRect().height).join('; ')`, small-0.5)); got != "" {
				t.Errorf("too small to touch: %s", got)
			}
			if s.width == phoneWidth {
				if px := value[float64](b, `(() => { const svg = document.querySelector('section:not([hidden]) .narrow-sheet svg'); const digit = [...svg.querySelectorAll('g.stroke text')].find(t => /^\d+$/.test(t.textContent));
					return Number(digit.getAttribute('font-size')) * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width; })()`); px < 14 {
					t.Errorf("fret numbers are %.1f pixels high", px)
				}
				if px := value[float64](b, `(() => { const svg = document.querySelector('.live-neck'); return parseFloat(getComputedStyle(svg.querySelector('.number')).fontSize) * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width; })()`); px < 14 {
					t.Errorf("the neck's numbers are %.1f pixels high", px)
				}
			}
		})
	}
}

// TestNeckOfThisPlayer: left-handed and string 1 at the bottom are choices that the
// device keeps; the sheet follows the order of the strings, on every instrument.
func TestNeckOfThisPlayer(t *testing.T) {
	further.Only(t)
	b := studentsPage(t, deskWidth, deskHeight)
	nut := "document.querySelector('.live-neck .nut').x1.baseVal.value > 500"
	thick := "document.querySelectorAll('.live-neck .string')[0].y1.baseVal.value > document.querySelectorAll('.live-neck .string')[5].y1.baseVal.value"
	// How single notes of the first bars stand over one another, by their strings.
	order := func(form string) string {
		return fmt.Sprintf(`(() => { const part = Number(document.querySelector('section:not([hidden])').dataset.part), tab = JSON.parse(document.querySelector('#lesson').textContent)[part];
			const at = tab.strokes.map((s, i) => [s, i]).filter(([s]) => s.bar < 4 && s.plucks.length === 1).map(([s, i]) => [s.plucks[0].string, document.querySelector("section:not([hidden]) %s g.stroke[data-stroke='" + i + "']")]).filter(([, g]) => g).map(([n, g]) => { const r = g.getBBox(); return [n, r.y + r.height / 2]; });
			const pairs = at.flatMap(([n, y]) => at.filter(([m]) => m > n).map(([, z]) => z > y));
			return pairs.length < 3 ? 'too few' : pairs.every(p => p) ? 'string 1 on top' : pairs.some(p => p) ? 'mixed' : 'string 1 at the bottom'; })()`, form)
	}
	if value[bool](b, nut) || value[bool](b, thick) || value[string](b, order(".wide-sheet")) != "string 1 on top" {
		t.Fatal("neck or sheet is turned before anybody asked")
	}
	b.click(".transport .more")
	b.ticks("Left-handed neck")
	b.ticks("String 1 at the bottom")
	b.until(nut)
	b.until(thick)
	b.until(order(".wide-sheet") + " === 'string 1 at the bottom'")
	if got := b.text(".reading"); !strings.Contains(got, "is at the bottom") {
		t.Errorf("how to read says %q", got)
	}
	b.open("/index.html?again")
	b.until("document.querySelector('.live-neck') && " + nut + " && " + thick)
	b.until(order(".wide-sheet") + " === 'string 1 at the bottom'")
	b.shot("turned")
	// The turned sheet is played from, and so is another instrument's.
	b.instrument(1)
	b.until(order(".wide-sheet") + " === 'string 1 at the bottom'")
	b.until("!document.querySelector('.play').disabled")
	b.click(".play")
	b.nextMark()
	b.until("document.querySelector('section:not([hidden]) .wide-sheet .now-box')?.getClientRects().length > 0")
	b.accessible("turned")
	b.unscrolled("turned")
	// And back: as the teacher has it.
	b.click(".transport .more")
	b.ticks("String 1 at the bottom")
	b.until(order(".wide-sheet") + " === 'string 1 on top'")
	if kept := value[string](b, "localStorage.getItem('lapwright flipped') ?? ''"); kept != "" {
		t.Errorf("the device keeps %q of a choice that was taken back", kept)
	}
}

// TestPageWithoutDecoder: where the sound can't be decoded, nor made anew, the page says so, and
// the steel moves all the same.
func TestPageWithoutDecoder(t *testing.T) {
	b := studentsPage(t, deskWidth, deskHeight)
	b.inject(withoutProgram + "BaseAudioContext.prototype.decodeAudioData = () => Promise.reject(new DOMException('no', 'EncodingError'))")
	b.open("/index.html?deaf")
	b.until("document.querySelector('.note') && !document.querySelector('.note').hidden && !document.querySelector('.play').disabled")
	if got := b.text(".note"); !strings.Contains(got, "can't play the sound") {
		t.Errorf("the page says %q", got)
	}
	b.click(".play")
	b.nextMark()
	b.nextMark()
}

// TestPageWithoutSoundDevice: where there is nothing to sound with, Firefox leaves
// the audio clock standing; the page says so, and the steel moves by its own clock.
func TestPageWithoutSoundDevice(t *testing.T) {
	b := studentsPage(t, deskWidth, deskHeight)
	b.inject(withoutProgram + "window.AudioContext = class extends AudioContext { constructor(o) { super(o); window.device = this; super.suspend(); } resume() { return window.plugged ? super.resume() : new Promise(() => {}); } }")
	b.open("/index.html?mute")
	b.until("!document.querySelector('.play').disabled")
	b.click(".play")
	b.nextMark()
	b.nextMark()
	if got := b.text(".note:not([hidden])"); !strings.Contains(got, "gives no sound") {
		t.Errorf("the page says %q", got)
	}
	// Plugged in later, the music sounds from where it is.
	at := value[float64](b, "Number(document.querySelector('.now-box').dataset.of)")
	value[string](b, handed)
	value[string](b, "window.plugged = true, device.resume().then(() => '')")
	b.until("handed.length > 0")
	from := b.placeOf(0)
	if want := value[float64](b, fmt.Sprintf("JSON.parse(document.querySelector('#lesson').textContent)[0].timing.strokes.find(s => s.stroke === %v).at", at)); from < want {
		t.Errorf("it sounds from %v s, though stroke %v at %v s had come", from, at, want)
	}
	b.until("document.querySelector('.note').hidden && document.querySelector('.play').textContent === 'Pause'")
	b.nextMark()
}

// setSpeed chooses a speed in per cent.
func (b *window) setSpeed(percent int) {
	b.t.Helper()
	value[string](b, fmt.Sprintf("(() => { const s = document.querySelector('#speed'); s.value = '%d'; s.dispatchEvent(new Event('change')); return ''; })()", percent))
}

// handed notes what the page gives the audio clock to play, as [when, offset,
// seconds, samples a second]: in the page's list named handed, and the sound in handedSound.
const handed = `(() => { window.handed = []; window.handedSound = []; const start = AudioBufferSourceNode.prototype.start;
	AudioBufferSourceNode.prototype.start = function (when, offset = 0) { handedSound.push(this.buffer); handed.push([when, offset, this.buffer.duration, this.buffer.sampleRate]); return start.call(this, when, offset); };
	window.workers = 0; window.Worker = class extends Worker { constructor(...a) { super(...a); workers++; } }; return ''; })()`

// placeOf finds a piece that was handed over in the recording that the page carries, as the browser itself
// decodes it: where it is, in seconds, to a bit of sixteen; below 0 when it is nowhere.
func (b *window) placeOf(piece int) float64 {
	b.t.Helper()
	return value[float64](b, fmt.Sprintf(`(async () => { const bytes = Uint8Array.from(atob(document.querySelector('#sound-0').textContent.trim()), (c) => c.charCodeAt(0));
		const whole = (await new OfflineAudioContext(2, 1, handed[%[1]d][3]).decodeAudioData(bytes.buffer)).getChannelData(0), piece = handedSound[%[1]d].getChannelData(0);
		const near = (at) => { for (let i = 0; i < 4000; i++) if (Math.abs(whole[at + i] - piece[i]) > 1 / 32768) return false; return true; };
		for (let at = 0; at < whole.length - 4000; at++) if (near(at)) return at / handed[%[1]d][3]; return -1; })()`, piece))
}

// withoutProgram is a browser that runs no program beside the page.
const withoutProgram = `window.Worker = class extends Worker {
	postMessage(told, ...rest) { if ('begin' in told) this.dispatchEvent(new ErrorEvent('error', { message: 'not here' })); else super.postMessage(told, ...rest); }
};`

// TestAnotherSpeedIsMadeBeside: where the page's program can't run, another speed of the
// recording is made by a worker while music plays,
// in pieces that follow each other to the sample and are at hand before they are due.
func TestAnotherSpeedIsMadeBeside(t *testing.T) {
	further.Only(t)
	for _, in := range []struct {
		name string
		open func(*testing.T) *window
	}{
		{"chromium", func(t *testing.T) *window { return studentsPage(t, deskWidth, deskHeight) }},
		{"firefox", func(t *testing.T) *window { return studentsFox(t, deskWidth, deskHeight) }},
	} {
		t.Run(in.name, func(t *testing.T) {
			b := in.open(t)
			b.inject(withoutProgram)
			b.open("/index.html?stretched")
			b.until("!document.querySelector('.play').disabled")
			b.click(".play")
			b.nextMark()
			value[string](b, handed)
			b.setSpeed(60)
			b.until("handed.length >= 4")
			b.until("document.querySelector('.play').textContent === 'Pause' && document.querySelector('#speed').value === '60'")
			if n := value[int](b, "workers"); n != 1 {
				t.Errorf("%d workers make the speed, want 1", n)
			}
			pieces := value[[][4]float64](b, "handed")
			for i, p := range pieces[1:] {
				before := pieces[i]
				if due := before[0] + before[2] - before[1]; math.Abs(p[0]-due)*p[3] > 0.01 || p[1] != 0 {
					t.Errorf("piece %d is played at %.6f s from %v s of it on; the one before ends at %.6f s", i+1, p[0], p[1], due)
				}
				if p[2] > 1.5 {
					t.Errorf("piece %d lasts %.1f s: it is not made as it is played", i+1, p[2])
				}
			}
			// Its first note is where the music was: the steel goes on, neither back nor far.
			b.nextMark()
			// Back at full speed the recording itself sounds, which it did not before.
			before := len(value[[][4]float64](b, "handed"))
			b.setSpeed(100)
			b.until(fmt.Sprintf("handed.length > %d + 2 && document.querySelector('#speed').value === '100'", before))
			last := len(value[[][4]float64](b, "handed")) - 1
			b.nextMark()
			// To find them takes long, and the music may end meanwhile.
			if at := b.placeOf(2); at >= 0 {
				t.Errorf("at another speed the recording sounds as it is at %.1f s", at)
			}
			if at, next := b.placeOf(last-1), b.placeOf(last); at < 0 || math.Abs(next-at-1) > 1e-4 {
				t.Errorf("at full speed pieces of the recording sound that are at %v s and %v s of it, want a second from one to the next", at, next)
			}
		})
	}
}
