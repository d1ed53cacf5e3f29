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
// leaves nothing open behind it. What is begun, ended and begun again before the microphone comes listens once, and a
// microphone that is pulled out ends it; a take keeps what was heard until then.
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
			window.live = tracks.at(-1);
			come(stream);
			await new Promise((go) => setTimeout(go, 200));
		}
		return tracks.map((t) => t.readyState);
	})()`)
	if fmt.Sprint(tracks) != "[ended live]" || b.text(".land-on .main") != "Stop" {
		t.Errorf("started, stopped and started, it has microphones that are %v, and its button says %q", tracks, b.text(".land-on .main"))
	}
	// Pulled out, it is told, and nothing listens any more.
	value[string](b, "window.live.dispatchEvent(new Event('ended')), ''")
	b.until("document.querySelector('.land-on .main').textContent === 'Start ten places' && document.querySelector('.land-said').textContent.startsWith('The microphone was disconnected.')")
	value[string](b, "window.asked = [], ''")
	b.click(".listening .main")
	b.until("window.asked.length === 1")
	value[string](b, `(() => {
		const context = new AudioContext(), into = context.createMediaStreamDestination(), tone = context.createOscillator();
		tone.connect(into);
		tone.start();
		window.live = into.stream.getTracks()[0];
		window.asked[0](into.stream);
		return '';
	})()`)
	b.until("/^Recording: 0:0[2-9]/.test(document.querySelector('.listening .own-said').textContent)")
	value[string](b, "window.live.dispatchEvent(new Event('ended')), ''")
	b.until("document.querySelector('.listening .main').textContent === 'Record a take' && document.querySelector('.listening .own-said').textContent.startsWith('The microphone was disconnected. The take ends there.')")
	b.until("[...document.querySelectorAll('.listening button')].some((e) => e.textContent === 'Save for my teacher')")
}
