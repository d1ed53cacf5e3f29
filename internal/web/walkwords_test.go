package web

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapwright/internal/further"
	"lapwright/internal/studio"
)

// TestWordsGoWithTheMusic: in the tab in words the line of the bar that sounds is
// marked, for eyes and for screen readers, on the lesson's page and on the tune's;
// a list that scrolls by itself keeps it in view.
func TestWordsGoWithTheMusic(t *testing.T) {
	further.Only(t)
	now := "[...document.querySelectorAll('.told [aria-current=true]')].filter(e => e.getClientRects().length).map(e => e.textContent.split(/[ :(]/, 2).join(' '))"
	steps := func(b *window) {
		t.Helper()
		b.pressAlone(kb.Home)
		b.until(now + ".join() === 'Bar 1'")
		for _, want := range []string{"Bar 2", "Bar 3"} {
			b.pressAlone(kb.ArrowRight)
			b.until(now + ".join() === '" + want + "'")
		}
		b.pressAlone(kb.Home)
		b.until("!document.querySelector('.play').disabled")
		b.do(chromedp.KeyEvent(" "))
		b.until(now + ".join() === 'Bar 2'") // as it plays
		b.do(chromedp.KeyEvent(" "))
	}
	t.Run("lesson", func(t *testing.T) {
		b := recordedPage(t, phoneWidth, phoneHeight)
		b.click("section:not([hidden]) .in-words summary")
		steps(b)
		b.instrument(1)
		b.click("section:not([hidden]) .in-words summary")
		steps(b)
		b.accessible("words in step")
		b.shot("in-step")
	})
	t.Run("tune", func(t *testing.T) {
		st, server := serve(t)
		it, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Steps", Body: "X:1\nT:Steps\nM:2/4\nL:1/4\nQ:1/4=160\nK:G\n" + strings.Repeat("GA|Bd|d2|BG|", 6) + "G2|]\n"}, false)
		if err != nil {
			t.Fatal(err)
		}
		b := newWindow(t, server.URL, true)
		b.open("/tunes/" + it.ID)
		b.until("document.querySelector('.shown-tab svg g.stroke') && !document.querySelector('.play').disabled")
		b.click("#words-panel summary")
		b.until("document.querySelectorAll('#told p').length > 20")
		steps(b)
		b.pressAlone(kb.Home)
		for range 20 {
			b.pressAlone(kb.ArrowRight)
		}
		b.until(now + ".join() === 'Bar 21'")
		if !value[bool](b, "(() => { const l = document.querySelector('#told').getBoundingClientRect(), r = document.querySelector('#told [aria-current]').getBoundingClientRect(); return r.top >= l.top - 1 && r.bottom <= l.bottom + 1; })()") {
			t.Error("the bar that sounds is out of the list's window")
		}
		b.shot("in-step")
	})
}

// TestHowToReadIsToldOnce: what the sheet's signs mean is unfolded the first time that
// a device shows a lesson, and stands folded, to be opened, from then on.
func TestHowToReadIsToldOnce(t *testing.T) {
	for _, s := range []struct {
		name          string
		width, height int64
		seen          string
	}{{"desk", deskWidth, deskHeight, "document.querySelector('.reading').open"}, {"phone", phoneWidth, phoneHeight, "document.querySelector('.hint').getClientRects().length > 0"}} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			b := recordedPage(t, s.width, s.height)
			b.until(s.seen)
			b.open("/index.html?again")
			b.until("!document.querySelector('.play').disabled")
			if value[bool](b, s.seen) {
				t.Error("it is told a second time")
			}
			b.click(".reading summary")
			b.until("document.querySelector('.reading li').getClientRects().length > 0")
		})
	}
}

// TestTuningUpInOrder: all open strings sound one after the other from the lowest up,
// each at its pitch (equal temperament, A4 = 440 Hz, ISO 16: G2 B2 D3 G3 B3 D4) while
// its button is marked.
func TestTuningUpInOrder(t *testing.T) {
	further.Only(t)
	b := recordedPage(t, phoneWidth, phoneHeight)
	value[string](b, `(() => { window.sounded = []; const start = OscillatorNode.prototype.start;
		OscillatorNode.prototype.start = function (...a) { sounded.push([document.querySelector('.tune-up .sounding')?.textContent ?? '', this.frequency.value, performance.now()]); return start.apply(this, a); }; return ''; })()`)
	b.click(".tune-up summary")
	b.click(".tune-up button.main")
	b.until("new Set(sounded.map(s => s[0])).size >= 6")
	var at []string
	for _, s := range value[[][]any](b, "sounded.filter((s, i, all) => i === 0 || s[0] !== all[i - 1][0])") {
		at = append(at, fmt.Sprintf("%v at %.1f", s[0], s[1]))
	}
	want := []string{"String 6: G2 at 98.0", "String 5: B2 at 123.5", "String 4: D3 at 146.8", "String 3: G3 at 196.0", "String 2: B3 at 246.9", "String 1: D4 at 293.7"}
	if !slices.Equal(at, want) {
		t.Errorf("in order sound %q, want %q", at, want)
	}
	if gaps := value[[]float64](b, "(() => { const first = sounded.filter((s, i, all) => i === 0 || s[0] !== all[i - 1][0]); return first.slice(1).map((s, i) => s[2] - first[i][2]); })()"); slices.Min(gaps) < 800 {
		t.Errorf("strings follow each other after %v ms: none can be tuned to", gaps)
	}
}

// TestLoopListsTellPassesApart: where bars are repeated, the lists of a loop's ends
// say which time a bar is played.
func TestLoopListsTellPassesApart(t *testing.T) {
	b, _ := tunePage(t, "Twice", "X:1\nT:Twice\nM:2/4\nL:1/4\nK:G\n|:GA|Bd:|G2|]\n")
	b.until("document.querySelector('.ends select')?.options.length > 1")
	for i := range 2 {
		if got := value[string](b, fmt.Sprintf("[...document.querySelectorAll('.ends select')[%d].options].map(o => o.textContent).join(', ')", i)); got != "1, 2, 1 (2nd time), 2 (2nd time), 3" {
			t.Errorf("the loop's list %d has %q", i+1, got)
		}
	}
}

// TestSpecialistsFiguresFold: what only specialists want, and the long caution for
// ears, stand folded, with a line that says what is there.
func TestSpecialistsFiguresFold(t *testing.T) {
	st, server := serve(t)
	b := newWindow(t, server.URL, false)
	for path, want := range map[string]string{
		"/rigs/lap6-c6/pegs?chord=C":                  "For specialists; Figures for specialists",
		"/tunes/" + newestOf(t, st, studio.Tune) + "": "Start quietly: loud sound harms hearing",
	} {
		b.open(path)
		said := value[[]string](b, "[...document.querySelectorAll('details:not([open]) > summary')].map(e => e.textContent)")
		for _, w := range strings.Split(want, "; ") {
			if !slices.Contains(said, w) {
				t.Errorf("%s folds %q, nothing of %q", path, said, w)
			}
		}
	}
	if value[bool](b, "document.querySelector('.caution p').checkVisibility()") {
		t.Error("the long caution is unfolded")
	}
}

// TestSteelIsNoBar: in pages the thing in the hand is the steel and a bar is a measure;
// a bender is called by its letter, never by a number of our own. The script
// manual.txtar says the same of what commands say of themselves.
func TestSteelIsNoBar(t *testing.T) {
	st, server := serve(t)
	wrong := regexp.MustCompile(`(?i)steel bars?\b|\bbar hand|\bbar (?:lies|leans|slant)|slant(?:ed)? bar\b|\bslide bar|bender set \d|\bbenders? #?\d+\b`)
	inside := regexp.MustCompile(`(?s)<script.*?</script>|<[^>]*>`)
	pages := 0
	for _, path := range []string{"/", "/rigs", "/rigs/new", "/rigs/bender-open-d", "/rigs/pedal10-e9", "/rigs/bender-open-d/compare?with=pedal10-e9", "/grips?rig=pedal10-e9&want=A7", "/grips?rig=bender-open-d&want=G", "/tunes", "/tunes/" + newestOf(t, st, studio.Tune), "/lessons", "/takes"} {
		words := inside.ReplaceAllString(pageText(t, server, path, http.StatusOK), " ")
		if got := wrong.FindAllString(words, 3); got != nil {
			t.Errorf("%s says %q", path, got)
		}
		pages++
	}
	if !wrong.MatchString("a steel bar, bender set 3") || pages < 10 {
		t.Fatal("nothing would be found")
	}
}

// pageText is what a page is sent as.
func pageText(t *testing.T, server *httptest.Server, path string, status int) string {
	t.Helper()
	req, err := http.NewRequest("GET", server.URL+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Accept", "text/html")
	res, err := server.Client().Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != status {
		t.Fatalf("%s: %s, %v", path, res.Status, err)
	}
	return string(text)
}
