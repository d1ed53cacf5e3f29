package web

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

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

// students is one lesson's folder that the tests of the students' page share.
var students struct {
	once sync.Once
	made *lesson.Lesson
	err  error
}

// studentsPage opens the students' page from disk, as they do.
func studentsPage(t *testing.T, width, height int64) *window {
	t.Helper()
	if testing.Short() {
		t.Skip("browser tests are left out of the short run; the full one has them")
	}
	students.once.Do(func() {
		demos, err := lesson.Demos()
		if err != nil {
			students.err = err
			return
		}
		var rigs []*rig.Rig
		for _, name := range []string{"reso-open-g", "bender-open-d"} {
			r, _ := rig.Builtin(name)
			rigs = append(rigs, r)
		}
		students.made, students.err = lesson.Make(context.Background(), lesson.Plan{Tune: longest(demos), Rigs: rigs, Words: "Slowly, please."}, nil)
	})
	if students.err != nil {
		t.Fatal(students.err)
	}
	out := filepath.Join(t.TempDir(), "lesson")
	if err := students.made.WriteFolder(out); err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, "file://"+out, width > 640)
	b.size(width, height)
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled")
	return b
}

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
	b.do(chromedp.EmulateViewport(width, height))
}

// nextMark waits until another stroke is marked.
func (b *window) nextMark() {
	b.t.Helper()
	was := value[string](b, "document.querySelector('.now-box')?.dataset.of ?? ''")
	b.until(fmt.Sprintf("(document.querySelector('.now-box')?.dataset.of ?? '') !== '%s'", was))
}

// TestSteelAndSheetAreWatchedTogether: while it plays, the controls, the neck and
// the marked note are all in the window, and the controls leave room for the sheet.
func TestSteelAndSheetAreWatchedTogether(t *testing.T) {
	for _, s := range screens {
		t.Run(strings.ReplaceAll(s.name, " %", ""), func(t *testing.T) {
			b := studentsPage(t, s.width, s.height)
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
	b := studentsPage(t, phoneWidth, phoneHeight)
	b.click(".play")
	b.nextMark()
	b.until("document.querySelector('.now-box').getBoundingClientRect().bottom <= innerHeight")
	before := value[float64](b, "scrollY")
	b.do(chromedp.KeyEvent(kb.PageDown))
	b.until(fmt.Sprintf("scrollY > %v", before+400))
	for range 12 {
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
	b := studentsPage(t, deskWidth, deskHeight)
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
