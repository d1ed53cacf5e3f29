package web

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// openContexts counts the page's sound devices: devices() is how many it has not closed.
const openContexts = `window.opened = []; window.AudioContext = class extends AudioContext { constructor(...of) { super(...of); window.opened.push(this); } };
window.devices = () => window.opened.filter((c) => c.state !== 'closed').length;`

// TestMicrophoneThatIsRefused: whatever listens says so in plain words, keeps the focus, can be asked again, and
// leaves nothing open behind it. What is begun, ended and begun again before the microphone comes listens once.
func TestMicrophoneThatIsRefused(t *testing.T) {
	_, folder := quietLesson(t)
	b := newWindow(t, "file://"+folder, true)
	b.inject(openContexts + "if (navigator.mediaDevices) navigator.mediaDevices.getUserMedia = () => new Promise((_, no) => setTimeout(() => no(new DOMException('', 'NotAllowedError')), 50));")
	readyToPlay(b)
	for _, css := range []string{".listening", ".play-along", ".land-on", ".tune-up"} {
		b.click(css + " > summary")
	}
	for _, c := range []struct{ button, said string }{
		{".measure-delay", ".own-delay [role=status]"},
		{".listening .show-steel", ".listening .own-said"},
		{".listening .main", ".listening .own-said"},
		{".land-on .main", ".land-said"},
		{".tune-up .own-do button", ".tune-up [role=status]"},
	} {
		var left [2]int
		for i := range left {
			value[string](b, fmt.Sprintf("document.querySelector(%q).textContent = ''", c.said))
			b.do(chromedp.Focus(chromedp.CSS(c.button)), chromedp.KeyEvent(kb.Enter))
			b.until(fmt.Sprintf("document.querySelector(%q).textContent.startsWith('The browser was told not to give the microphone.') && !document.querySelector('[aria-disabled=true]')", c.said))
			b.until("new Promise((go) => requestAnimationFrame(() => setTimeout(() => go(true))))") // a focus is lost when the page is drawn
			if !value[bool](b, fmt.Sprintf("document.activeElement === document.querySelector(%q)", c.button)) {
				t.Errorf("%s has lost the focus", c.button)
			}
			left[i] = value[int](b, "window.devices()")
		}
		if left[1] > left[0] {
			t.Errorf("%s leaves %d sound devices open, and %d at the second time", c.button, left[0], left[1])
		}
	}
	b.accessible("no microphone")
	b.unscrolled("no microphone")
	b.see(".listening")
	b.shot("refused")

	value[string](b, "window.asked = [], navigator.mediaDevices.getUserMedia = () => new Promise((come) => window.asked.push(come)), ''")
	for range 3 { // start, stop, start
		b.click(".land-on .main")
	}
	tracks := value[[]string](b, `(async () => {
		const tracks = [];
		for (const come of window.asked) {
			const stream = new AudioContext().createMediaStreamDestination().stream;
			tracks.push(...stream.getTracks());
			come(stream);
			await new Promise((go) => setTimeout(go, 200));
		}
		return tracks.map((t) => t.readyState);
	})()`)
	if fmt.Sprint(tracks) != "[ended live]" || b.text(".land-on .main") != "Stop" {
		t.Errorf("started, stopped and started, it has microphones that are %v, and its button says %q", tracks, b.text(".land-on .main"))
	}
	b.click(".land-on .main")
	b.until("document.querySelector('.land-on .main').textContent === 'Start ten places'")
}
