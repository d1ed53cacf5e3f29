package web

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapwright/internal/further"
)

// heardNode is a node of the accessibility tree: what a screen reader is given.
type heardNode struct {
	role, name string
	focused    bool
	live       string
	children   []*heardNode
}

// text is all that stands in a node.
func (n *heardNode) text() string {
	if len(n.children) == 0 {
		return n.name
	}
	var parts []string
	for _, c := range n.children {
		if s := c.text(); s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, " ")
}

// heard gives the accessibility tree's nodes that a screen reader is told.
func (b *window) heard() []*heardNode {
	b.t.Helper()
	tree, err := chromedp.Run(b.ctx, func(ctx context.Context, _ *chromedp.Target) (accessibility.GetFullAXTreeResult, error) {
		return chromedp.Call(ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	})
	if err != nil {
		b.t.Fatal(err)
	}
	words := func(v *accessibility.Value) string {
		if v == nil {
			return ""
		}
		return strings.Trim(string(v.Value), `"`)
	}
	byID := map[accessibility.NodeID]*heardNode{}
	var out []*heardNode
	for _, n := range tree.Nodes {
		h := &heardNode{role: words(n.Role), name: words(n.Name)}
		for _, p := range n.Properties {
			switch p.Name {
			case "focused":
				h.focused = words(p.Value) == "true"
			case "live":
				h.live = words(p.Value)
			}
		}
		byID[n.NodeID] = h
		if !n.Ignored {
			out = append(out, h)
		}
	}
	for _, n := range tree.Nodes {
		for _, c := range n.ChildIDs {
			if child := byID[c]; child != nil {
				byID[n.NodeID].children = append(byID[n.NodeID].children, child)
			}
		}
	}
	return out
}

// tabTo presses Tab until the focus is on something that is called so, as a screen
// reader calls it.
func (b *window) tabTo(role, name string) {
	b.t.Helper()
	for range 60 {
		b.do(chromedp.KeyEvent(kb.Tab))
		// The tree is asked only where it may be: it takes long to build.
		if !value[bool](b, fmt.Sprintf("[document.activeElement, ...document.activeElement.labels ?? []].some(e => (e.ariaLabel ?? e.textContent).startsWith(%q))", name)) {
			continue
		}
		for _, n := range b.heard() {
			if n.focused && n.role == role && strings.HasPrefix(n.name, name) {
				return
			}
		}
	}
	b.t.Fatalf("the Tab key never reaches a %s called %q", role, name)
}

// TestByEarAndKeyboard: somebody who sees nothing and has a keyboard learns how to
// read, hears each bar told with its strings and frets, plays, and is left alone
// while it sounds if wished. All of it through the accessibility tree.
func TestByEarAndKeyboard(t *testing.T) {
	t.Parallel()
	b := studentsPage(t, deskWidth, deskHeight)
	presses := 0
	press := func(key string) {
		presses++
		b.do(chromedp.KeyEvent(key))
	}
	for _, n := range b.heard() {
		switch {
		case n.role == "image" && (n.name == "" || len(n.name) > 60):
			t.Errorf("a picture's name is %q", n.name)
		case (n.role == "button" || n.role == "combobox" || n.role == "checkbox" || n.role == "slider" || n.role == "link") && n.name == "":
			t.Errorf("a %s has no name", n.role)
		}
	}
	b.tabTo("DisclosureTriangle", "In words, bar by bar")
	press(kb.Enter)
	b.tabTo("button", "Bar after")
	want := value[[]string](b, `(() => { const tab = JSON.parse(document.querySelector('#lesson').textContent)[0];
		return tab.timing.bars.map(b => b.number + ':' + tab.strokes.filter(s => s.bar === b.bar).flatMap(s => s.plucks.map(p => p.string + '/' + p.fret)).join(' ')); })()`)
	if len(want) < 16 {
		t.Fatalf("the lesson has %d bars", len(want))
	}
	before := ""
	for i, w := range want {
		press(kb.Enter)
		b.until(fmt.Sprintf("document.querySelector('section:not([hidden]) .this-bar').textContent !== %q", before))
		before = b.text("section:not([hidden]) .this-bar")
		said := strings.Join(strings.Fields(before), " ")
		if i%8 == 0 { // what the page says there is what a screen reader is told
			told := ""
			for _, n := range b.heard() {
				if n.role == "status" && n.live == "polite" && strings.HasPrefix(n.text(), "Bar ") {
					told = strings.Join(strings.Fields(n.text()), " ")
				}
			}
			if told != said {
				t.Fatalf("a screen reader is told %q where the page says %q", told, said)
			}
		}
		number, plucks, _ := strings.Cut(w, ":")
		if !strings.HasPrefix(said, "Bar "+number) {
			t.Fatalf("after %d presses %q is told, want bar %s", i+1, said, number)
		}
		for _, p := range strings.Fields(plucks) {
			str, fret, _ := strings.Cut(p, "/")
			place := `fret ` + fret + `\b[^;]*string ` + str + `\b|string ` + str + `\b[^;]*(fret ` + fret + `\b|held on)`
			if fret == "0" {
				place = `open[^;]*string ` + str + `\b|string ` + str + `\b[^;]*(open|held on)`
			}
			if !regexp.MustCompile(place).MatchString(said) {
				t.Errorf("bar %s plays string %s at fret %s, and is told as %q", number, str, fret, said)
			}
		}
	}
	// Quiet while it plays, then play; the bar goes on changing, unsaid.
	b.do(chromedp.Focus(chromedp.CSS(".to-start")))
	b.tabTo("button", "More")
	press(kb.Enter)
	b.tabTo("checkbox", "A screen reader says the bars")
	press(" ")
	b.until("!document.activeElement.checked")
	live := func() string {
		for _, n := range b.heard() {
			if n.role == "status" && n.name == "Bar" {
				return n.live
			}
		}
		return ""
	}
	if got := live(); got != "polite" {
		t.Errorf("at rest the bar is told: %q", got)
	}
	press(kb.Home) // from a tick too
	b.until("document.querySelector('.where').textContent === 'bar 1'")
	b.do(chromedp.Focus(chromedp.CSS(".to-start")))
	b.tabTo("button", "Play")
	press(kb.Enter)
	b.nextMark()
	if got := live(); got != "off" && got != "" {
		t.Errorf("while it plays the bar is told, though that was not wished: %q", got)
	}
	t.Logf("%d presses but for Tab: %d of them from bar to bar", presses, len(want))
}

// tap touches an element with one finger.
func (b *window) tap(css string) {
	b.t.Helper()
	b.do(chromedp.WaitVisible(chromedp.CSS(css)))
	// Whoever taps waits until what moves has come to rest.
	value[string](b, fmt.Sprintf(`(async () => { const e = document.querySelector(%q); let r = e.getBoundingClientRect();
		if (!e.contains(document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2))) window.scrollTo({top: scrollY + r.top - innerHeight * 0.7, behavior: 'instant'});
		for (let still = 0; still < 6; ) { await new Promise(requestAnimationFrame); const s = e.getBoundingClientRect(); still = s.top === r.top && s.left === r.left ? still + 1 : 0; r = s; } return ''; })()`, css))
	x, y := b.middle(css)
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: []*input.TouchPoint{{X: x, Y: y}}})
		if err == nil {
			_, err = chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}})
		}
		return err
	}))
}

// TestBeginnerOnAPhone: from a file, with one finger: the least of how to read,
// tuning up, playing, slower, a hard bar again and again, the other instrument.
func TestBeginnerOnAPhone(t *testing.T) {
	t.Parallel()
	b := studentsPage(t, phoneWidth, phoneHeight)
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true})
		return err
	}))
	taps := 0
	tap := func(css string) {
		t.Helper()
		taps++
		b.tap(css)
	}
	if got := b.text(".hint"); !strings.Contains(got, "string 1 on top") || value[bool](b, "document.querySelector('.hint').hidden") {
		t.Errorf("how to read is told as %q", got)
	}
	b.shot("fresh")
	tap(".tune-up summary")
	tap(".tune-up .tones button:nth-child(2)") // one string
	tap(".tune-up summary")
	tap(".play")
	b.nextMark()
	tap(".play")
	for range 4 {
		tap(".speed button")
	}
	b.until("document.querySelector('#speed').value === '80' && document.querySelector('.play').textContent === 'Play'")
	// Looping on: two taps on the sheet set the first bar and the last.
	tap(".loop")
	bars := value[[]int](b, `JSON.parse(document.querySelector('#lesson').textContent)[0].timing.strokes.filter((s, i, all) => s.pass > 0 && s.pass < 3 && all[i-1]?.pass !== s.pass).map(s => s.stroke)`)
	// What a phone shows is its own list: the page reads what was chosen.
	value[string](b, "(() => { const [from, to] = document.querySelectorAll('.ends select'); from.value = '5'; to.value = '6'; to.dispatchEvent(new Event('change')); return ''; })()")
	taps += 2
	tap(fmt.Sprintf("section:not([hidden]) .narrow-sheet g.stroke[data-stroke='%d']", bars[0]))
	tap(fmt.Sprintf("section:not([hidden]) .narrow-sheet g.stroke[data-stroke='%d']", bars[1]))
	b.until("document.querySelectorAll('.ends select')[0].value === '1' && document.querySelectorAll('.ends select')[1].value === '2'")
	tap(".play")
	b.until("document.querySelector('.where').textContent === 'bar 3'")
	b.until("document.querySelector('.where').textContent === 'bar 2'")
	b.shot("looping")
	b.instrument(1)
	taps += 2
	b.until("document.querySelector('section:not([hidden])').dataset.part === '1'")
	b.unscrolled("phone")
	b.accessible("phone")
	if n := value[int](b, "performance.getEntriesByType('resource').length"); n != 0 {
		t.Errorf("the page fetched %d things", n)
	}
	t.Logf("%d taps", taps)
}

// TestReducedMotion: whoever has asked their machine for less motion is followed
// by steps, and nothing in the page moves by itself but the music's own marks
// (Media Queries Level 5, 12.1).
func TestReducedMotion(t *testing.T) {
	further.Only(t)
	t.Parallel()
	b := recordedPage(t, phoneWidth, phoneHeight)
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}}})
		return err
	}))
	value[string](b, `window.moves = [], (() => { const to = window.scrollTo; window.scrollTo = function (o) { window.moves.push(o.behavior); return to.call(window, o); }; return ''; })()`)
	b.click(".play")
	b.until("window.moves.length > 1")
	if got := value[string](b, "[...new Set(window.moves)].join(' ')"); got != "instant" {
		t.Errorf("the page scrolls %q", got)
	}
	if n := value[int](b, "document.getAnimations().length"); n != 0 {
		t.Errorf("%d things move by themselves", n)
	}
	b.shot("reduced")
}
