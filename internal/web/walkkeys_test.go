package web

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// taken lists which keys of a keyboard a page takes for itself, by their names in
// UI Events (W3C, "key" values); letters are told as they are printed on keys.
const taken = `(ctrl => { const on = document.activeElement ?? document.body, out = new Set();
	const all = [...Array.from({length: 95}, (_, i) => String.fromCharCode(32 + i)), '−', 'Enter', 'Tab', 'Escape', 'Backspace', 'Delete', 'Insert', 'Home', 'End', 'PageUp', 'PageDown', 'ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown', ...Array.from({length: 12}, (_, i) => 'F' + (i + 1))];
	for (const key of all) if (!on.dispatchEvent(new KeyboardEvent('keydown', {key, ctrlKey: ctrl, bubbles: true, cancelable: true}))) out.add(key.length === 1 ? key.toUpperCase() : key);
	return [...out].sort(); })`

// told are the keys that the page's help lists, with what each does.
func (b *window) told() [][2]string {
	b.t.Helper()
	return value[[][2]string](b, "[...document.querySelectorAll('.keys div')].map(d => [d.querySelector('dt').textContent, d.querySelector('dd').textContent])")
}

// pressAlone gives the page a key, with nothing in the focus.
func (b *window) pressAlone(key string, o ...chromedp.KeyOption) {
	b.t.Helper()
	value[string](b, "document.activeElement.blur(), ''")
	b.do(chromedp.KeyEvent(key, o...))
}

// playerKeys are the keys of the player by their printed caps: what each must do is
// what the page says of it, tried in its turn.
var playerKeys = map[string]func(b *window){
	"Space: play and pause": func(b *window) {
		b.pressAlone(" ")
		b.until("document.querySelector('.play').textContent === 'Pause'")
		b.pressAlone(" ")
		b.until("document.querySelector('.play').textContent === 'Play'")
	},
	"Home: back to the start": func(b *window) {
		b.pressAlone(kb.Home)
		b.until("document.querySelector('.where').textContent === 'bar 1'")
	},
	"← →: the bar before and after": func(b *window) {
		b.pressAlone(kb.Home)
		b.pressAlone(kb.ArrowRight)
		b.until("document.querySelector('.where').textContent === 'bar 2'")
		b.pressAlone(kb.ArrowLeft)
		b.until("document.querySelector('.where').textContent === 'bar 1'")
	},
	"− +: slower and faster": func(b *window) {
		b.pressAlone("-")
		b.until("document.querySelector('#speed').value === '95'")
		b.pressAlone("-")
		b.until("document.querySelector('#speed').value === '90'")
		b.pressAlone("+")
		b.until("document.querySelector('#speed').value === '95'")
		b.pressAlone("=") // "+" without shift on many keyboards
		b.until("document.querySelector('#speed').value === '100'")
	},
	"L: loop": func(b *window) {
		b.pressAlone("l")
		b.until("document.querySelector('.loop').getAttribute('aria-pressed') === 'true'")
		b.pressAlone("l")
		b.until("document.querySelector('.loop').getAttribute('aria-pressed') === 'false'")
	},
}

// benchKeys are those that a tune's page has besides.
var benchKeys = map[string]func(b *window){
	"← → on the sheet: the note before and after": func(b *window) {
		picked := func(n int) string {
			return fmt.Sprintf("document.querySelector('.picked-box')?.dataset.of === '%d'", n)
		}
		// With no note picked the first one is.
		b.do(chromedp.Focus(chromedp.CSS(".shown-tab")))
		for _, press := range []struct {
			key string
			on  int
		}{{kb.ArrowRight, 0}, {kb.ArrowRight, 1}, {kb.ArrowRight, 2}, {kb.ArrowLeft, 1}} {
			b.do(chromedp.KeyEvent(press.key))
			b.until(picked(press.on))
		}
	},
	"Ctrl Z: undo": func(b *window) {
		b.click("#closed")
		b.until("!document.querySelector('#undo').disabled && document.querySelector('#redo').disabled")
		b.pressAlone("z", chromedp.KeyModifiers(2))
		b.until("!document.querySelector('#closed').checked && !document.querySelector('#redo').disabled")
	},
	"Ctrl Y: redo": func(b *window) {
		b.pressAlone("y", chromedp.KeyModifiers(2))
		b.until("document.querySelector('#closed').checked && document.querySelector('#redo').disabled")
	},
}

// TestEveryKeyThatIsTold: the list of keys in a page with a player says exactly the
// keys that work there. Each is pressed and does what is said of it; no other key of
// a keyboard is taken from its reader.
func TestEveryKeyThatIsTold(t *testing.T) {
	t.Parallel()
	names := map[string][]string{"Space": {" "}, "←": {"ArrowLeft"}, "→": {"ArrowRight"}, "−": {"-", "−"}, "+": {"+", "="}}
	try := func(t *testing.T, b *window, works ...map[string]func(b *window)) {
		t.Helper()
		left := 0
		for _, w := range works {
			left += len(w)
		}
		want := map[bool][]string{}
		for _, k := range b.told() {
			var does func(b *window)
			for _, w := range works {
				if f := w[k[0]+": "+k[1]]; f != nil {
					does = f
				}
			}
			if does == nil {
				t.Errorf("the page tells of a key %q that does %q, and nothing is known of it", k[0], k[1])
				continue
			}
			left--
			does(b)
			if strings.HasSuffix(k[0], " on the sheet") {
				continue
			}
			caps, ctrl := strings.CutPrefix(k[0], "Ctrl ")
			for _, c := range strings.Fields(caps) {
				keys := names[c]
				if keys == nil {
					keys = []string{c}
				}
				want[ctrl] = append(want[ctrl], keys...)
			}
		}
		if left != 0 {
			t.Errorf("%d keys that work are not told: told are %q", left, b.told())
		}
		value[string](b, "document.activeElement.blur(), ''")
		for _, ctrl := range []bool{false, true} {
			got := value[[]string](b, fmt.Sprintf("%s(%v)", taken, ctrl))
			slices.Sort(got)
			slices.Sort(want[ctrl])
			if !slices.Equal(got, want[ctrl]) {
				t.Errorf("with Ctrl %v the page takes the keys %q; it tells of %q", ctrl, got, want[ctrl])
			}
		}
	}
	t.Run("lesson", func(t *testing.T) {
		b := recordedPage(t, deskWidth, deskHeight)
		b.click(".transport .more")
		try(t, b, playerKeys)
	})
	t.Run("tune", func(t *testing.T) {
		// Single notes: the middle of each is its number.
		b, _ := tunePage(t, "Steps", "X:1\nT:Steps\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\nGABd|d2B2|G4|]\n")
		b.until("document.querySelector('.shown-tab svg g.stroke') && !document.querySelector('.play').disabled")
		b.click(".transport .more")
		try(t, b, playerKeys, benchKeys)
	})
}
