package web

import (
	"strings"
	"testing"
)

// anEar listens to whatever the page sends to the device: heard() is its level now, of full scale.
const anEar = `const connect = AudioNode.prototype.connect;
AudioNode.prototype.connect = function (to, ...rest) {
	if (to === this.context.destination) {
		if (!window.ear) { window.ear = this.context.createAnalyser(); ear.fftSize = 8192; }
		connect.call(this, ear);
	}
	return connect.call(this, to, ...rest);
};
window.heard = () => { const x = new Float32Array(ear.fftSize); ear.getFloatTimeDomainData(x); return Math.sqrt(x.reduce((s, v) => s + v * v, 0) / x.length); };
window.level = (name, to) => { const s = [...document.querySelectorAll('.mixer label')].find((l) => l.textContent === name).querySelector('input'); s.value = to; s.dispatchEvent(new Event('input')); };
window.choose = (name, to) => { const s = [...document.querySelectorAll('.practise label')].find((l) => l.textContent.startsWith(name)).querySelector('select'); s.value = to; s.dispatchEvent(new Event('change')); };
window.tick = (name) => [...document.querySelectorAll('.transport label:has([type=checkbox])')].find((l) => l.textContent === name).querySelector('input').click();`

// TestPlayAlong: a page of a tune with chords has a band, which is heard by itself when the instrument is
// silent, at full speed and slower, and stops with the music; a drone is made in the page. The levels are folded
// away, fit a phone and are reached by the keyboard.
func TestPlayAlong(t *testing.T) {
	t.Parallel()
	b := studentsPage(t, phoneWidth, phoneHeight)
	b.inject(withoutProgram + anEar)
	b.open("/index.html?band")
	b.until("!document.querySelector('.play').disabled")
	if n := value[int](b, "document.querySelectorAll('[id^=band-]').length"); n != 1 {
		t.Errorf("the page holds %d bands for two instruments that have the tune in one key, want 1", n)
	}
	grown := value[float64](b, "document.querySelector('#band-0').textContent.length / document.querySelector('#sound-0').textContent.length")
	if grown > 0.6 {
		t.Errorf("the band takes %.2f times as much of the page as the instrument", grown)
	}
	if value[bool](b, "document.querySelector('.mixer .levels').checkVisibility()") {
		t.Error("the levels are not folded away")
	}
	b.click(".more")
	b.click(".mixer summary")
	wide := value[float64](b, "Math.max(...[...document.querySelectorAll('.mixer .pair')].map((e) => e.getBoundingClientRect().right))")
	if wide > phoneWidth {
		t.Errorf("the levels reach to %.0f of %d pixels", wide, phoneWidth)
	}
	if got := value[string](b, "[...document.querySelectorAll('.mixer label')].filter((e) => e.checkVisibility()).map((e) => e.textContent).join(' ')"); got != "Instrument Band Click Drone" {
		t.Errorf("the levels are of %q", got)
	}
	if value[bool](b, "[...document.querySelectorAll('.mixer input, .mixer summary')].some((e) => e.tabIndex < 0)") {
		t.Error("a level is not reached by the keyboard")
	}
	value[string](b, "(level('Instrument', 0), '')")
	b.click(".play")
	b.nextMark()
	silence := value[float64](b, "heard()")
	if silence > 1e-4 {
		t.Errorf("with the instrument silent %.5f is heard", silence)
	}
	value[string](b, "(tick('Band'), '')")
	b.until("heard() > 0.004")
	b.setSpeed(60)
	b.until("document.querySelector('#speed').value === '60'")
	b.nextMark()
	b.nextMark()
	b.until("heard() > 0.004")
	value[string](b, "(tick('Band'), '')")
	b.until("heard() < 1e-4")
	value[string](b, "(level('Drone', 1), '')")
	b.until("heard() > 0.01")
	hz := value[[]float64](b, "JSON.parse(document.querySelector('#lesson').textContent)[0].drone")
	strongest := value[float64](b, `(() => { const x = new Float32Array(ear.frequencyBinCount); ear.getFloatFrequencyData(x); const i = x.indexOf(Math.max(...x)); return i * ear.context.sampleRate / ear.fftSize; })()`)
	if len(hz) != 3 || strongest < hz[0]-8 || strongest > hz[0]+8 {
		t.Errorf("the drone of %v is strongest at %.0f Hz", hz, strongest)
	}
	b.click(".play")
	b.until("heard() < 1e-4")
	b.shot("band")

	// My turn, your turn, of the recording: the instrument rests while the mark goes over the same bar again.
	b.click(".mixer summary")
	b.click(".practise summary")
	if got := value[string](b, "[...document.querySelectorAll('.practise label')].filter((e) => e.checkVisibility()).map((e) => e.firstChild.textContent).join(', ')"); got != "My turn, your turn, It clicks on, The click drops out, " {
		t.Errorf("to practise with there is %q", got)
	}
	wide = value[float64](b, "Math.max(...[...document.querySelectorAll('.practise .pair')].map((e) => e.getBoundingClientRect().right))")
	if wide > phoneWidth {
		t.Errorf("what to practise with reaches to %.0f of %d pixels", wide, phoneWidth)
	}
	b.accessible("what to practise with")
	b.shot("practise")
	value[string](b, "(level('Drone', 0), level('Instrument', 1), choose('My turn', 1), choose('It clicks', 'two-and-four'), choose('The click', 2), '')")
	b.click(".transport .more")
	b.click(".to-start")
	b.click(".play")
	b.until("heard() > 0.004 && !document.querySelector('.where').textContent.includes('your turn')")
	b.until("document.querySelector('.where').textContent.includes('your turn')")
	mine := value[string](b, "document.querySelector('.where').textContent")
	b.until("heard() < 1e-4")
	b.shot("your-turn")
	b.nextMark()
	b.until("heard() > 0.004 && !document.querySelector('.where').textContent.includes('your turn')")
	if !strings.HasPrefix(mine, "bar 1, ") && !strings.HasPrefix(mine, "bar 0, ") {
		t.Errorf("the student's first turn is %q", mine)
	}
	if kept, at := value[string](b, "JSON.parse(localStorage.getItem('lapwright click')).value"), value[string](b, "location.hash"); kept != `{"on":"two-and-four","out":2}` || !strings.Contains(at, "turns=1") {
		t.Errorf("the device keeps %s, and the address has %s", kept, at)
	}
	b.click(".play")
}
