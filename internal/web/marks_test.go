package web

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// markLook is how a mark lies to the stroke that it marks, in the millimetres
// of the sheet's own scale. Slacks are how far the mark reaches beyond what it
// marks; below zero it leaves some of it uncovered.
type markLook struct {
	Found  bool    `json:"found"`
	Heads  int     `json:"heads"`
	Digits int     `json:"digits"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	Left   float64 `json:"left"`
	Right  float64 `json:"right"`
	Top    float64 `json:"top"`
	Bottom float64 `json:"bottom"`
}

// markSlackMM is how far a mark may reach beyond the marks of its stroke: its
// own border of 0.8 mm, and the blank that a font keeps over and under digits,
// about a third of their 3 mm.
const markSlackMM = 2

// mark measures the mark of a kind on the screen against the drawn note heads
// and tab numbers of the stroke, with no help from the page's own script.
func (b *window) mark(kind, stroke string) markLook {
	b.t.Helper()
	return value[markLook](b, fmt.Sprintf(`(() => {
		const rect = document.querySelector(%q);
		if (!rect) return {found: false};
		const svg = rect.ownerSVGElement, mm = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
		const n = %s, groups = [...svg.querySelectorAll('[data-stroke="' + n + '"]')];
		const heads = groups.filter(g => g.matches('.note')).flatMap(g => [...g.querySelectorAll('use[href*=notehead]')]);
		const digits = groups.filter(g => g.matches('.stroke')).flatMap(g => [...g.querySelectorAll('text')]);
		const all = [...groups.map(g => g.getBoundingClientRect())], r = rect.getBoundingClientRect();
		const out = {found: all.length > 0, heads: heads.length, digits: digits.length, width: r.width / mm, height: r.height / mm};
		out.left = (Math.min(...all.map(a => a.left)) - r.left) / mm;
		out.right = (r.right - Math.max(...all.map(a => a.right))) / mm;
		out.top = (Math.min(...all.map(a => a.top)) - r.top) / mm;
		out.bottom = (r.bottom - Math.max(...all.map(a => a.bottom))) / mm;
		return out;
	})()`, kind, stroke))
}

// covers fails unless the mark lies over its stroke's heads and numbers, and
// over little else.
func (b *window) covers(kind, stroke string) {
	b.t.Helper()
	m := b.mark(kind, stroke)
	if !m.Found || m.Heads == 0 || m.Digits == 0 {
		b.t.Fatalf("%s: nothing marked, or the stroke has no note head or no number: %+v", kind, m)
	}
	// A note head is about two staff spaces wide with its mark, 3.3 mm, and staff
	// and tablature lie under each other.
	if !(m.Width > 2 && m.Width < 25 && m.Height > 10 && m.Height < 60) {
		b.t.Errorf("%s is %.1f mm by %.1f mm", kind, m.Width, m.Height)
	}
	for side, slack := range map[string]float64{"left": m.Left, "right": m.Right, "top": m.Top, "bottom": m.Bottom} {
		if !(slack > 0 && slack < markSlackMM) {
			b.t.Errorf("%s reaches %.2f mm over its stroke on the %s, want 0 to %d", kind, slack, side, markSlackMM)
		}
	}
}

// TestMarksLieOnTheirNotes: the picked note's mark covers the note in the staff
// and its number in the tablature, and the sounding note's mark goes along with
// the music.
func TestMarksLieOnTheirNotes(t *testing.T) {
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
		for _, n := range []string{"1", "4"} {
			b.do(chromedp.Click(chromedp.CSS(form + " g.stroke[data-stroke='" + n + "']")))
			b.until("document.querySelector('.picked-box')")
			b.covers(".picked-box", n)
		}
		b.shot("picked")
		b.until("!document.querySelector('.play').disabled")
		b.click(".play")
		b.until("document.querySelector('.now-box')")
		b.shot("sounding")
		// The playing is held while it is measured, so that it doesn't go on between two questions.
		where := func() float64 {
			return value[float64](b, "(() => { const r = document.querySelector('.now-box')?.getBoundingClientRect(); return r ? r.left + 10 * (r.top + scrollY) : -1; })()")
		}
		first := where()
		b.until(fmt.Sprintf("(() => { const r = document.querySelector('.now-box')?.getBoundingClientRect(); return r && Math.abs(r.left + 10 * (r.top + scrollY) - %v) > 5; })()", first))
		value[string](b, "document.querySelector('.play').click(), ''") // it may be moving: the page goes along with the music
		b.until("document.querySelector('.play').textContent === 'Play'")
		b.covers(".now-box", "document.querySelector('.now-box').dataset.of")
	})
}
