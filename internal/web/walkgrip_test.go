package web

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/studio"
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
		b.until("document.querySelector('.told-so a')")
		if got := b.text(".rows strong"); !strings.HasPrefix(got, "C on ") {
			t.Errorf("what is kept is called %q", got)
		}
		b.click(".rows a")
		b.until("document.querySelector('.alone-neck svg')")
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

// TestGripsAlongTheNeck looks for a chord: the grips stand by their places along one
// neck, on cards of one size; they are narrowed to some strings, frets and benders;
// keeping one comes back to the search as it was. Open strings of the bender rig
// with both benders give G on strings 2 to 4 (common practice, no source).
func TestGripsAlongTheNeck(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/grips")
		b.set("#rig", "bender-open-d")
		b.set("#want", "G")
		b.click(".grip-ask button.main")
		b.until("document.querySelectorAll('.grip-card').length > 6 && document.querySelector('#touch-neck svg')")
		places := value[[]int](b, "[...document.querySelectorAll('.place h3')].map(h => Number(h.id.slice(3)))")
		if len(places) < 4 || places[0] != 0 || !slices.IsSorted(places) {
			t.Errorf("the places along the neck are %v", places)
		}
		if n := value[int](b, "document.querySelectorAll('.whole-neck svg').length"); n != 1 {
			t.Errorf("%d necks", n)
		}
		sizes := value[[]float64](b, "(() => { const r = [...document.querySelectorAll('.place > ol .grip-card')].map(c => c.getBoundingClientRect()); const span = k => Math.max(...r.map(x => x[k])) - Math.min(...r.map(x => x[k])); return [span('width'), span('height')]; })()")
		if sizes[0] > 1 || sizes[1] > 1 {
			t.Errorf("cards differ by %v px in width and height", sizes)
		}
		if !value[bool](b, "[...document.querySelectorAll('.grip-card')].every(c => /[A-G][♯♭]?\\d (root|♭?\\d)/.test(c.querySelector('.tones').textContent))") {
			t.Errorf("tones are told as %q", b.text(".tones"))
		}
		b.shot("found")
		b.unscrolled("grips found")
		b.accessible("grips found")
		// Strings 2 to 4, up to fret 5, only with a bender.
		b.click(".narrowed summary")
		for _, str := range []int{1, 5, 6} {
			b.click(fmt.Sprintf("input[name=string][value='%d']", str))
		}
		b.set("#high", "5")
		b.set("#benders", "only")
		b.click(".narrowed button")
		b.until("location.search.includes('benders=only') && document.readyState === 'complete' && document.querySelector('.narrowed').open && document.querySelector('#at-0')")
		words := value[[]string](b, "[...document.querySelectorAll('.grip-card p.small')].map(p => p.textContent)")
		for _, w := range words {
			if !strings.Contains(w, "palm") || !regexp.MustCompile(`strings? [2-4](-[34]|, [34])*\.$`).MatchString(w) {
				t.Errorf("narrowed, a grip is told as %q", w)
			}
		}
		if got := value[int](b, "Math.max(...[...document.querySelectorAll('.place h3')].map(h => Number(h.id.slice(3))))"); got > 5 {
			t.Errorf("narrowed to fret 5, there is one at %d", got)
		}
		b.shot("narrowed")
		b.unscrolled("grips narrowed")
		b.click(".grip-card form button")
		b.until("document.readyState === 'complete' && document.querySelector('.told-so a')")
		if got := value[[]string](b, "[document.querySelector('#want').value, document.querySelector('#rig').value, document.querySelector('#high').value, document.querySelector('#benders').value]"); !slices.Equal(got, []string{"G", "bender-open-d", "5", "only"}) {
			t.Errorf("after keeping, the search is %v", got)
		}
		if n, all := value[int](b, "document.querySelectorAll('.is-kept').length"), value[int](b, "document.querySelectorAll('.grip-card').length"); n != 1 || all != len(words) {
			t.Errorf("after keeping, %d of %d cards are marked, want one of %d", n, all, len(words))
		}
		if kept, err := st.List(b.ctx, studio.Grip); err != nil || len(kept) != 1 {
			t.Errorf("%d are kept, %v", len(kept), err)
		}
		// What can't be is said, and the form keeps what was asked.
		b.set("#low", "9")
		b.click(".narrowed button")
		b.until("document.querySelector('.alarm')?.textContent.includes('rets from 9 to 5')")
	})
}
