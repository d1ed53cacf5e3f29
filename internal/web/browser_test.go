package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	browserpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"lapwright/internal/refcheck"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
)

// shotsEnv names a folder into which browser tests put pictures of the pages
// that they walk through, for looking at.
const shotsEnv = "LAPWRIGHT_SHOTS"

// chrome is the one browser that all browser tests share.
var chrome struct {
	once sync.Once
	ctx  context.Context
	end  func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if chrome.end != nil {
		chrome.end()
	}
	if firefox.fox != nil {
		firefox.fox.end()
	}
	if students.dir != "" {
		os.RemoveAll(students.dir)
	}
	os.Exit(code)
}

func startChrome() { chrome.ctx, chrome.end, chrome.err = newChrome() }

// newChrome starts a browser, with flags of its own beside the usual ones.
func newChrome(flags ...chromedp.ExecAllocatorOption) (context.Context, func(), error) {
	browser, err := refcheck.Browser()
	if err != nil {
		return nil, nil, err
	}
	dir, err := os.MkdirTemp("", "lapwright-chrome-*")
	if err != nil {
		return nil, nil, err
	}
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), append([]chromedp.ExecAllocatorOption{chromedp.ExecPath(browser),
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.Headless, chromedp.UserDataDir(dir),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"), chromedp.Flag("mute-audio", true),
	}, flags...)...)
	ctx, endTab := chromedp.NewContext(alloc)
	// The first call starts the browser; it must have no time limit of its own.
	return ctx, func() { endTab(); endAlloc(); os.RemoveAll(dir) }, chromedp.Do(ctx)
}

// window is one tab of a browser, at a size.
type window struct {
	t    testing.TB
	ctx  context.Context
	base string
	wide bool
	fox  *foxTab // in Firefox; nil in Chromium

	clicks   int // that the test has made, as a person's count
	mu       sync.Mutex
	faults   []string
	provoked []string // what complaints hold that a test brings about
}

// windowTime is how long a walk may take, and untilTime how long what is waited
// for may: far longer than either does, since the machine may have other work.
const (
	windowTime = 6 * time.Minute
	untilTime  = time.Minute
)

const (
	deskWidth, deskHeight   = 1366, 850
	phoneWidth, phoneHeight = 390, 844
)

func noBrowserInShort(t testing.TB) {
	t.Helper()
	if testing.Short() {
		t.Skip("browser tests are left out of the short run; the full one has them")
	}
}

// newWindow opens a tab of its own. Whatever the browser's console would show
// as an error fails the test: errors in scripts, what scripts log, and what the
// browser itself refuses, such as a drawing's size that is no number.
func newWindow(t testing.TB, base string, wide bool) *window {
	t.Helper()
	noBrowserInShort(t)
	chrome.once.Do(startChrome)
	if chrome.err != nil {
		t.Fatalf("Chromium does not start (make test-tools installs it): %v", chrome.err)
	}
	return newWindowIn(chrome.ctx, t, base, wide)
}

// newWindowIn is newWindow in a browser of one's own.
func newWindowIn(browser context.Context, t testing.TB, base string, wide bool) *window {
	t.Helper()
	var apart []chromedp.ContextOption
	if strings.HasPrefix(base, "file:") {
		// All files share what a browser keeps of a page: each window has a browser
		// that has kept nothing yet.
		apart = append(apart, chromedp.WithNewBrowserContext())
	}
	ctx, end := chromedp.NewContext(browser, apart...)
	b := &window{t: t, base: base, wide: wide}
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	chromedp.Listen(ctx, func(ev any) {
		switch ev := ev.(type) {
		case *runtime.EventExceptionThrown:
			text := ev.ExceptionDetails.Text
			if e := ev.ExceptionDetails.Exception; e != nil {
				text += " " + e.Description
			}
			b.fault(text)
		case *runtime.EventConsoleAPICalled:
			if ev.Type == runtime.ConsoleAPICalledTypeError {
				var words []string
				for _, a := range ev.Args {
					words = append(words, string(a.Value)+a.Description)
				}
				b.fault(strings.Join(words, " "))
			}
		case *cdplog.EventEntryAdded:
			if ev.Entry.Level == cdplog.EntryLevelError {
				b.fault(ev.Entry.Text + " " + ev.Entry.URL + " ")
			}
		}
	})
	limited, stop := context.WithTimeout(ctx, windowTime)
	b.ctx = limited
	t.Cleanup(func() {
		stop()
		end()
		b.complain()
	})
	w, h := int64(deskWidth), int64(deskHeight)
	if !wide {
		w, h = phoneWidth, phoneHeight
	}
	b.do(chromedp.EmulateViewport(w, h), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		// Two walks at once have the keyboard each.
		_, err := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}))
	return b
}

// complain fails the test for what the page complained of and the test did not
// bring about.
func (b *window) complain() {
	b.mu.Lock()
	defer b.mu.Unlock()
	came := map[string]bool{}
	for _, f := range b.faults {
		expected := false
		for _, p := range b.provoked {
			if strings.Contains(f, p+" ") || strings.Contains(f, p+"?") {
				expected, came[p] = true, true
			}
		}
		if !expected {
			b.t.Errorf("the page complained: %s", f)
		}
	}
	for _, p := range b.provoked {
		if !came[p] && !b.t.Failed() {
			b.t.Errorf("the test provokes %q, and nothing complained so", p)
		}
	}
}

// provokes says that the test makes the program refuse a request to a path that
// ends so, before its query, which the browser's console shows; anything else still fails it.
func (b *window) provokes(path string) {
	b.provoked = append(b.provoked, path)
}

// quiet forgets complaints that a test has provoked.
func (b *window) quiet() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.faults = nil
}

func (b *window) fault(s string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.faults = append(b.faults, s)
}

func (b *window) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.shot("failed")
		b.t.Fatal(err)
	}
}

// inject has every page that is opened from now on begin with a script.
func (b *window) inject(script string) {
	b.t.Helper()
	if b.fox != nil {
		if _, err := b.fox.fox.call(b.ctx, "script.addPreloadScript", map[string]any{"functionDeclaration": "() => {" + script + "}", "contexts": []string{b.fox.context}}); err != nil {
			b.t.Fatal(err)
		}
		return
	}
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, browserpage.AddScriptToEvaluateOnNewDocument, browserpage.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}))
}

func (b *window) open(path string) {
	b.t.Helper()
	if b.fox != nil {
		if err := b.fox.navigate(b.ctx, b.base+path); err != nil {
			b.t.Fatal(err)
		}
		b.until("document.querySelector('main')")
		return
	}
	b.do(chromedp.Navigate(b.base+path), chromedp.WaitReady(chromedp.CSS("main")))
}

// value evaluates an expression in the page.
func value[T any](b *window, expression string) T {
	b.t.Helper()
	v, err := evaluate[T](b, expression)
	if err != nil {
		b.shot("failed")
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

func evaluate[T any](b *window, expression string) (T, error) {
	if b.fox == nil {
		return chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	}
	var v T
	raw, err := b.fox.evaluate(b.ctx, expression)
	if err == nil {
		err = json.Unmarshal(raw, &v)
	}
	return v, err
}

// until waits for an expression to become true.
func (b *window) until(expression string) {
	b.t.Helper()
	for end := time.Now().Add(untilTime); time.Now().Before(end); time.Sleep(25 * time.Millisecond) {
		v, err := evaluate[bool](b, "Boolean("+expression+")")
		if err == nil && v {
			return
		}
		if b.ctx.Err() != nil {
			break
		}
	}
	b.shot("failed")
	b.t.Fatalf("never came true: %s", expression)
}

func (b *window) click(css string) {
	b.t.Helper()
	b.clicks++
	b.still(css)
	if b.fox == nil {
		b.do(chromedp.Click(chromedp.CSS(css)))
		return
	}
	b.until(fmt.Sprintf("document.querySelector(%q)?.getClientRects().length", css))
	// What can't be pressed where it is, is brought into view first.
	value[string](b, fmt.Sprintf(`(() => { const e = document.querySelector(%q), r = e.getBoundingClientRect();
		if (!e.contains(document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2))) e.scrollIntoView({block: 'center', behavior: 'instant'}); return ''; })()`, css))
	x, y := b.middle(css)
	b.press([2]float64{x, y})
}

// still waits until something stands where it stood a moment ago, and no longer than two seconds: a
// button that moves while its page comes is not where it was seen.
func (b *window) still(css string) {
	b.t.Helper()
	for end := time.Now().Add(2 * time.Second); time.Now().Before(end); time.Sleep(25 * time.Millisecond) {
		stands, err := evaluate[bool](b, fmt.Sprintf(`(() => { const e = document.querySelector(%q); if (!e) return false;
			const r = e.getBoundingClientRect(), now = [%q, r.x + scrollX, r.y + scrollY, r.width, r.height].join(), was = window.stood;
			window.stood = now; return now === was; })()`, css, css))
		if err == nil && stands {
			return
		}
	}
}

// press presses the mouse at a place of the window, and lets go at the last one.
func (b *window) press(places ...[2]float64) {
	b.t.Helper()
	if b.fox != nil {
		if err := b.fox.pointer(b.ctx, places...); err != nil {
			b.t.Fatal(err)
		}
		return
	}
	if first, last := places[0], places[len(places)-1]; first != last {
		b.do(chromedp.DragAndDropXY(first[0], first[1], last[0], last[1]))
	} else {
		b.do(chromedp.MouseClickXY(first[0], first[1]))
	}
}

// tunePage opens the page of a tune that has just been kept.
func tunePage(t *testing.T, title, body string) (*window, *studio.Studio) {
	t.Helper()
	st, server := serve(t)
	it, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: title, Body: body}, false)
	if err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.open("/tunes/" + it.ID)
	return b, st
}

// narrowed makes the window a phone's, whose page must be accessible and stay within it; what
// names the state of the page.
func (b *window) narrowed(what string) {
	b.t.Helper()
	b.size(phoneWidth, phoneHeight)
	b.wide = false
	b.accessible(what)
	b.unscrolled(what)
}

func (b *window) text(css string) string {
	b.t.Helper()
	return value[string](b, fmt.Sprintf("document.querySelector(%q)?.textContent ?? ''", css))
}

// shot keeps a picture of the page when pictures are asked for.
func (b *window) shot(name string) {
	dir := os.Getenv(shotsEnv)
	if dir == "" {
		return
	}
	size := "desk"
	if !b.wide {
		size = "phone"
	}
	var png []byte
	var err error
	if b.fox == nil {
		png, err = chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	} else {
		png, err = b.fox.fetched(b.ctx, "browsingContext.captureScreenshot")
		size += "-firefox"
	}
	if err != nil {
		return
	}
	os.WriteFile(filepath.Join(dir, strings.ReplaceAll(b.t.Name(), "/", "-")+"-"+name+"-"+size+".png"), png, 0o644)
}

// violation is one rule that axe-core found broken.
type violation struct {
	ID    string `json:"id"`
	Help  string `json:"help"`
	Nodes []struct {
		HTML           string `json:"html"`
		FailureSummary string `json:"failureSummary"`
	} `json:"nodes"`
}

// axe is axe-core (github.com/dequelabs/axe-core).
var axe = sync.OnceValues(func() ([]byte, error) { return os.ReadFile("src/node_modules/axe-core/axe.min.js") })

// accessible runs every rule of axe-core over the page.
func (b *window) accessible(what string) {
	b.t.Helper()
	b.keeps(what, 5, "['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']")
}

// coloured runs the rules of axe-core that another set of colours can break.
func (b *window) coloured(what string) {
	b.t.Helper()
	b.keeps(what, 1, "{type: 'rule', values: ['color-contrast', 'link-in-text-block']}")
}

// keeps runs some rules of axe-core, of which at least so many must find something to look at.
func (b *window) keeps(what string, least int, rules string) {
	b.t.Helper()
	src, err := axe()
	if err != nil {
		b.t.Fatalf("axe-core is missing (make test-tools installs it): %v", err)
	}
	if !value[bool](b, "'axe' in window") {
		value[string](b, string(src)+";'loaded'")
	}
	raw := value[string](b, "axe.run(document, {resultTypes: ['violations'], runOnly: "+rules+`})
		.then(r => JSON.stringify({passes: r.passes.length, violations: r.violations}))`)
	var got struct {
		Passes     int         `json:"passes"`
		Violations []violation `json:"violations"`
	}
	if err := json.Unmarshal([]byte(raw), &got); err != nil {
		b.t.Fatal(err)
	}
	if got.Passes < least {
		b.t.Errorf("%s: axe-core looked at almost nothing (%d rules passed)", what, got.Passes)
	}
	for _, v := range got.Violations {
		b.t.Errorf("%s: %s (%s): %d places, first %s\n%s", what, v.ID, v.Help, len(v.Nodes), v.Nodes[0].HTML, v.Nodes[0].FailureSummary)
	}
}

// unscrolled fails when the page is wider than its window.
func (b *window) unscrolled(what string) {
	b.t.Helper()
	if over := value[float64](b, "document.documentElement.scrollWidth - document.documentElement.clientWidth"); over > 0 {
		b.t.Errorf("%s: the page is %v px wider than its window", what, over)
		b.t.Log(value[string](b, `[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1).slice(0, 5).map(e => e.outerHTML.slice(0, 120)).join('\n')`))
	}
}

// smallLesson adds a lesson on two bars for two rigs, which is quick to make.
func smallLesson(t *testing.T, st *studio.Studio) *studio.Item {
	t.Helper()
	ctx := context.Background()
	tu, err := st.Add(ctx, studio.Tune, studio.Content{Title: "Two Bars", Body: "X:1\nT:Two Bars\nM:4/4\nL:1/4\nQ:1/4=160\nK:G\nGABd|d2G2|]\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	body, err := json.Marshal(report.LessonPlan{Tune: tu.ID, Rigs: []string{"reso-open-g", "lap6-c6"}, Words: "Slowly, please."})
	if err != nil {
		t.Fatal(err)
	}
	it, err := st.Add(ctx, studio.Lesson, studio.Content{Title: "A small lesson", Body: string(body)}, false)
	if err != nil {
		t.Fatal(err)
	}
	return it
}

// newStudio makes a studio in a folder of its own.
func newStudio(t testing.TB) *studio.Studio {
	t.Helper()
	st, err := studio.Open(context.Background(), t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

// recordings are shared by the sites of all tests: a recording goes by all that it
// is made of (workbench.TabKey), and to sound one takes longer than most walks.
var recordings = newCache[[]byte](192 << 20)

// serve starts a site with what comes with the program.
func serve(t testing.TB) (*studio.Studio, *httptest.Server) {
	t.Helper()
	st := newStudio(t)
	if err := workbench.Furnish(context.Background(), st); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	site, err := New(ctx, st, Options{})
	if err != nil {
		t.Fatal(err)
	}
	site.tabs.sounds.kept = recordings
	server := httptest.NewServer(site.Handler())
	t.Cleanup(func() { stop(); server.Close() })
	return st, server
}
