package web

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestGripIsTouched builds a grip on the neck, reads its name, hears it and
// keeps it; by mouse at desk size, by typing at phone size. At the fifth fret
// of high open G (G B D G B D) lies C (common practice, no source).
func TestGripIsTouched(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.provokes("/grips/name")
		b.open("/grips?rig=reso-open-g")
		b.until("document.querySelector('#touch-neck svg')")
		if wide {
			for _, str := range []int{3, 2, 1} {
				x, y := b.place(str, 5)
				b.do(chromedp.MouseClickXY(x, y))
				b.until(fmt.Sprintf("document.querySelector('#stops').value.startsWith('%d:5')", str))
			}
		} else {
			b.set("#stops", "1:5, 2:5, 3:5")
		}
		b.until("document.querySelector('#named strong')?.textContent === 'C'")
		if got := b.text("#named"); !strings.Contains(got, "C4 (R)  E4 (3)  G4 (5)") || !strings.Contains(got, "straight at 5") {
			t.Errorf("the grip is told as %q", got)
		}
		b.until("document.querySelector('#touch-neck .steel').getAttribute('visibility') === 'visible'")
		value[string](b, "document.querySelector('.touch').scrollIntoView({block: 'center'}), ''")
		b.shot("touched")
		b.unscrolled("touched grip")
		b.accessible("touched grip")
		value[string](b, `(() => { window.heard = 0; const s = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (...a) { window.heard = this.buffer.duration; return s.apply(this, a); }; return ''; })()`)
		b.click("#named [data-hear]")
		b.until("window.heard > 1")
		// The nearest string moved to where no bar reaches: told, and nothing to keep.
		b.set("#stops", "1:5, 2:9, 3:1")
		b.until("document.querySelector('#named .alarm')")
		b.set("#stops", "1:5, 2:5, 3:5")
		b.until("document.querySelector('#named form')")
		b.click("#named form button")
		b.until("document.querySelector('#kept')")
		if got := b.text(".rows strong"); !strings.HasPrefix(got, "C on ") {
			t.Errorf("what is kept is called %q", got)
		}
		b.click(".rows a")
		b.until("document.querySelector('.whole-neck svg')")
		// Benders count: open strings of the bender rig with a bender engaged.
		b.open("/grips?rig=bender-open-d")
		b.until("document.querySelector('#touch-benders input')")
		b.set("#stops", "1:0, 2:0, 3:0")
		b.until("document.querySelector('#named strong')")
		was := b.text("#named p")
		b.click("#touch-benders input")
		b.until(fmt.Sprintf("document.querySelector('#named p')?.textContent !== %q", was))
	})
}
