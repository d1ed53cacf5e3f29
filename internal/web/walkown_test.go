package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"lapwright/arrange"
	"lapwright/internal/further"
	"lapwright/internal/lesson"
	"lapwright/notation/abc"
	living "lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sound"
)

// TestOwnInstrument: a student opens a lesson from disk, chooses an instrument that
// the teacher did not think of, and has the tune on it, in signs, words and sound.
// What the page shows is what the command makes.
func TestOwnInstrument(t *testing.T) {
	b, made := quietPage(t, deskWidth, deskHeight)
	b.click(".own summary")
	b.until("document.querySelectorAll('#own-choice option').length > 5")
	r, _ := rig.Builtin("lap6-c6")
	b.chooseOwn(r.Title)
	if said := b.text(".own-said"); !strings.Contains(said, r.TuningText()) {
		t.Errorf("of the instrument the page says %q, which lacks its tuning %s", said, r.TuningText())
	}
	b.click(".own .main")
	b.until("document.querySelector('section[data-own] .told') && !document.querySelector('section[data-own]').hidden")

	res, err := arrange.Arrange(context.Background(), made.Tune, r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := living.InWords(res.Tab)
	got := value[[]string](b, "[...document.querySelectorAll('section[data-own] .told li')].map((l) => l.textContent)")
	if len(got) == 0 || strings.Join(got, "\n") != strings.Join(want.Bars, "\n") {
		t.Errorf("the page tells the tab as\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want.Bars, "\n"))
	}
	b.drawn(len(res.Tab.Strokes))
	numbers := value[int](b, "document.querySelectorAll('section[data-own] .wide-sheet g.stroke').length")
	if numbers != len(res.Tab.Strokes) {
		t.Errorf("the sheet has %d strokes, want %d", numbers, len(res.Tab.Strokes))
	}
	// The strings are sounded on this machine; then another tempo is sounded anew. A band plays along in time, in the
	// student's turn too, when nothing else is heard, and glides can be drawn out.
	value[string](b, "(() => { "+anEar+"; return ''; })()")
	b.until("window.ear === undefined") // before anything sounds
	b.click(".loop")
	b.click(".play")
	b.nextMark()
	b.setSpeed(60)
	b.until("document.querySelector('#speed').value === '60' && document.querySelector('.play').getAttribute('aria-label') !== 'Getting ready'")
	b.nextMark()
	value[string](b, "(tick('Band'), level('Instrument', 0), choose('My turn', 1), choose('Glides', 2), '')")
	b.until("document.querySelector('.where').textContent.includes('your turn') && heard() > 0.004")
	b.until("!document.querySelector('.where').textContent.includes('your turn') && heard() > 0.004")
	value[string](b, "(level('Band', 0), '')")
	b.until("heard() < 1e-4")
	value[string](b, "(level('Instrument', 1), '')")
	b.until("!document.querySelector('.where').textContent.includes('your turn') && heard() > 0.004")
	b.until("document.querySelector('.where').textContent.includes('your turn') && heard() < 1e-4")
	b.nextMark()
	b.accessible("own instrument")
	b.unscrolled("own instrument")
	b.shot("own-instrument")
}

// TestOwnInstrumentFromAFile: a file that is none is refused by line, and the page
// goes on; one whose strings would break says so before a sheet is shown.
func TestOwnInstrumentFromAFile(t *testing.T) {
	b, _ := quietPage(t, phoneWidth, phoneHeight)
	b.click(".own summary")
	b.until("document.querySelectorAll('#own-choice option').length > 5")
	give := func(text string) {
		t.Helper()
		value[bool](b, fmt.Sprintf(`(() => { const d = new DataTransfer(); d.items.add(new File([%s], 'mine.toml')); const f = document.querySelector('#own-file'); f.files = d.files; f.dispatchEvent(new Event('change')); return true; })()`, quoted(text)))
	}
	give("name = \"mine\"\nscale = twelve\n")
	b.until("document.querySelector('.own-said').textContent.includes('Line 2')")
	if !value[bool](b, "document.querySelector('.own .main').disabled") {
		t.Error("a tune can be placed on an instrument that does not read")
	}
	g, _ := rig.Builtin("hollow-neck-open-d")
	g = g.Clone()
	for i := range g.Strings { // a fourth higher than it is made for
		g.Strings[i].Open.Octave++
	}
	g.Tuning = ""
	give(string(rig.Format(g)))
	b.until("!document.querySelector('.own .main').disabled")
	said := b.text(".own-said")
	for _, want := range []string{"Do not tune it so.", rig.TensionCaution} {
		if !strings.Contains(said, want) {
			t.Errorf("of strings an octave too high the page says %q, which lacks %q", said, want)
		}
	}
	b.accessible("an instrument's file")
}

// quietPage opens from disk the page of a short lesson that brings no sound.
func quietPage(t testing.TB, width, height int64) (*window, *lesson.Lesson) {
	t.Helper()
	made, folder := quietLesson(t)
	return openLesson(t, folder, width, height), made
}

// quietLesson is a lesson of four bars without a recording, and its folder.
func quietLesson(t testing.TB) (*lesson.Lesson, string) {
	t.Helper()
	noBrowserInShort(t)
	tunes, _, err := abc.Read([]byte("X:1\nT:Low Tide\nM:3/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"DGB|d2B|\"D7\"cAF|\"G\"G3|]\n"), "low-tide.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	made, err := lesson.Make(context.Background(), lesson.Plan{Tune: tunes[0], Rigs: []*rig.Rig{r}, Recordings: lesson.NoRecordings}, nil)
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "lesson")
	if err := made.WriteFolder(out); err != nil {
		t.Fatal(err)
	}
	return made, out
}

// quoted writes a text as JavaScript has it.
func quoted(text string) string {
	b, err := json.Marshal(text)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// chooseOwn chooses one of the built-in instruments as one's own, on a page where they are listed.
func (b *window) chooseOwn(title string) {
	b.t.Helper()
	value[bool](b, fmt.Sprintf("(() => { const c = document.querySelector('#own-choice'); c.selectedIndex = [...c.options].findIndex((o) => o.text.startsWith(%s)); c.dispatchEvent(new Event('change')); return true; })()", quoted(title)))
	b.until("!document.querySelector('.own .main').disabled")
}

// drawn waits until the sheet of an instrument of one's own, which is drawn line by line, has so many strokes.
func (b *window) drawn(strokes int) {
	b.t.Helper()
	b.until(fmt.Sprintf("document.querySelectorAll('section[data-own] .wide-sheet g.stroke[data-stroke]').length >= %d", strokes))
}

// TestOwnSheetInEveryWindow: on a phone the sheet for its window comes first, and the one for wide windows and paper soon
// after. Each is the command's, can be touched, and is shown where it belongs; until the second has come the first is shown
// everywhere.
func TestOwnSheetInEveryWindow(t *testing.T) {
	b, made := quietPage(t, phoneWidth, phoneHeight)
	b.click(".own summary")
	b.until("document.querySelectorAll('#own-choice option').length > 5")
	r, _ := rig.Builtin("lap6-c6")
	b.chooseOwn(r.Title)
	value[string](b, `(() => { window.first = ''; new MutationObserver(() => {
		const s = document.querySelector('section[data-own]');
		if (s && !s.hidden && !s.hasAttribute('aria-busy') && !window.first) window.first = ['narrow', 'wide'].filter((k) => s.querySelector('.' + k + '-sheet svg')).join();
	}).observe(document.querySelector('main'), { subtree: true, childList: true, attributes: true }); return ''; })()`)
	b.click(".own .main")
	b.until("window.first")
	if first := value[string](b, "window.first"); first != "narrow" {
		t.Errorf("on a phone the sheet is drawn first for: %s", first)
	}
	res, err := arrange.Arrange(context.Background(), made.Tune, r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b.drawn(len(res.Tab.Strokes))
	b.until("!document.querySelector('section[data-own]').dataset.only")
	pages, narrow, err := living.Screen(res.Tab, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for kind, want := range map[string][][]byte{"narrow": {narrow}, "wide": pages} {
		value[string](b, "(window.want = "+quoted(string(bytes.Join(want, nil)))+", '')")
		same := fmt.Sprintf(`(() => { const d = document.createElement('div'); d.innerHTML = window.want;
			const has = document.querySelector('section[data-own] .%s-sheet').cloneNode(true);
			for (const g of has.querySelectorAll('[data-stroke]')) g.removeAttribute('data-stroke');
			for (const m of has.querySelectorAll('.now-box')) m.remove();
			return [...has.querySelectorAll('svg')].map((s) => s.innerHTML.replace(/\s+/g, '')).join() === [...d.querySelectorAll('svg')].map((s) => s.innerHTML.replace(/\s+/g, '')).join(); })()`, kind)
		if !value[bool](b, same) {
			t.Errorf("the sheet for a %s window is another than the command's", kind)
		}
		if n := value[int](b, fmt.Sprintf("document.querySelectorAll('section[data-own] .%s-sheet g.stroke[data-stroke]').length", kind)); n != len(res.Tab.Strokes) {
			t.Errorf("of %d strokes on the sheet for a %s window %d can be touched", len(res.Tab.Strokes), kind, n)
		}
	}
	shown := func(media string) string {
		t.Helper()
		b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
			_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: media})
			return err
		}))
		return value[string](b, "['narrow', 'wide'].filter((k) => document.querySelector('section[data-own] .' + k + '-sheet svg').getClientRects().length).join()")
	}
	for _, c := range []struct{ only, media, want string }{{"", "screen", "narrow"}, {"", "print", "wide"}, {"narrow", "print", "narrow"}, {"wide", "print", "wide"}, {"wide", "screen", "wide"}, {"narrow", "screen", "narrow"}} {
		value[string](b, fmt.Sprintf("(() => { const s = document.querySelector('section[data-own]'); if (%[1]q) s.dataset.only = %[1]q; else delete s.dataset.only; return ''; })()", c.only))
		if got := shown(c.media); got != c.want {
			t.Errorf("on %s, only %q drawn, the sheet is shown for: %q, want %q", c.media, c.only, got, c.want)
		}
	}
}

// TestOwnSheetGivenUp: a sheet that stands in the page before all that goes with it goes again when the rest never comes, since
// something else is asked; what stood there before is back, the first time and later, and the tune can be placed again.
func TestOwnSheetGivenUp(t *testing.T) {
	_, folder := quietLesson(t)
	b := newWindow(t, "file://"+folder, false)
	b.inject(`window.held = false; window.Worker = class extends Worker {
		constructor(...a) { super(...a); this.addEventListener('message', (e) => { if (window.held && e.data.answer !== undefined && this.sheet) e.stopImmediatePropagation(); this.sheet = e.data.sheet !== undefined; }); }
	};`)
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled")
	b.click(".own summary")
	b.until("document.querySelectorAll('#own-choice option').length > 5")
	teachers := b.text("section.rig:not([hidden]) h2")
	six, _ := rig.Builtin("lap6-c6")
	eight, _ := rig.Builtin("lap8-c13")
	shown := func() string { return b.text("section.rig:not([hidden]) h2") }
	for _, before := range []string{teachers, six.Title} {
		b.chooseOwn(eight.Title)
		value[string](b, "(window.held = true, '')")
		b.click(".own .main")
		b.until(fmt.Sprintf("document.querySelector('section.rig:not([hidden]) h2').textContent === %s && document.querySelector('section[data-own]:not([aria-busy]) svg')", quoted(eight.Title)))
		b.chooseOwn(six.Title)
		b.until(fmt.Sprintf("document.querySelector('section.rig:not([hidden]) h2')?.textContent === %s", quoted(before)))
		if n, want := value[int](b, "document.querySelectorAll('section[data-own]').length"), 0; before == teachers && n != want {
			t.Errorf("%d instruments of one's own stand in the page, want none", n)
		}
		value[string](b, "(window.held = false, '')")
		b.click(".own .main")
		b.until("document.querySelector('section[data-own] .told') && !document.querySelector('section[data-own]').hidden && !document.querySelector('.own .main').disabled")
		if got := shown(); got != six.Title {
			t.Errorf("placed again, the page shows %q, want %q", got, six.Title)
		}
	}
	b.click(".play")
	b.until("document.querySelector('.play').textContent === 'Pause'")
}

// TestOwnInstrumentDescribed: a student describes an instrument that no list has and
// plays on it. Without gauges the tune is placed and nothing is said of tension; with
// gauges that are too heavy the usual caution stands there before any sheet, and above
// it afterwards. What is wrong is said at its field. The command reads the file.
func TestOwnInstrumentDescribed(t *testing.T) {
	further.Only(t)
	b, made := quietPage(t, phoneWidth, phoneHeight)
	b.click(".own summary")
	b.until("document.querySelector('#own-scale')")
	b.click(".own-describe summary")
	fill := func(name, text string) {
		t.Helper()
		value[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector('#own-%s'); f.value = %s; f.dispatchEvent(new Event('input', { bubbles: true })); f.dispatchEvent(new Event('change', { bubbles: true })); return true; })()`, name, quoted(text)))
	}
	fill("scale", "22 1/2")
	fill("tuning", "D A D E A")
	b.until("document.querySelector('#own-tuning-said').textContent.includes('the tuning names 5 pitches')")
	fill("tuning", "D A D E A D")
	fill("benders", "A palm 3+1\nB palm 9+1")
	b.until("document.querySelector('#own-benders-said').textContent.includes('Line 2')")
	if !value[bool](b, "document.querySelector('.own .main').disabled") {
		t.Error("a tune can be placed on an instrument whose form does not read")
	}
	fill("benders", "A palm 3+1")
	b.until("!document.querySelector('.own .main').disabled")
	said := b.text(".own-said")
	if !strings.Contains(said, "D2 A2 D3 E3 A3 D4") || !strings.Contains(said, "nothing is said of the tension") || strings.Contains(said, " N ") {
		t.Errorf("without gauges the page says %q", said)
	}
	b.accessible("the form for an instrument")
	b.unscrolled("the form for an instrument")
	b.click(".own .main")
	b.until("document.querySelector('section[data-own] .wide-sheet svg g.stroke') && !document.querySelector('section[data-own]').hidden")
	b.shot("own-described")
	g, err := rig.Parse([]byte(value[string](b, "JSON.parse(localStorage.getItem('lapwright own instrument')).value")), "mine.toml")
	if err != nil {
		t.Fatal(err)
	}
	if g.Scale != 571.5 || len(g.Benders) != 1 || !g.GaugesUnknown {
		t.Errorf("the device keeps %v mm, %+v, unknown gauges %v", g.Scale, g.Benders, g.GaugesUnknown)
	}
	res, err := arrange.Arrange(context.Background(), made.Tune, g, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b.drawn(len(res.Tab.Strokes))
	if got, want := value[int](b, "document.querySelectorAll('section[data-own] .wide-sheet g.stroke').length"), len(res.Tab.Strokes); got != want {
		t.Errorf("the sheet has %d strokes, want %d", got, want)
	}

	fill("gauges", "18 22 26w 34w 42w 70w") // heavy strings on a light body
	fill("body", string(rig.HollowNeckAcoustic))
	fill("scale", "26 in")
	b.until("document.querySelector('.own-said').textContent.includes('Do not tune it so.')")
	b.click(".own .main")
	b.until("document.querySelector('section[data-own] .alarm') && document.querySelector('section[data-own] svg')")
	order := value[bool](b, "!!(document.querySelector('section[data-own] .alarm').compareDocumentPosition(document.querySelector('section[data-own] svg')) & Node.DOCUMENT_POSITION_FOLLOWING)")
	if above := b.text("section[data-own]"); !order || !strings.Contains(above, rig.TensionCaution) {
		t.Error("the usual caution does not stand above the sheet")
	}
	// Another lesson, or the same one later, finds it again.
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled")
	b.click(".own summary")
	b.until("document.querySelector('#own-scale') && document.querySelector('#own-scale').value === '26 in' && !document.querySelector('.own .main').disabled")
}

// started keeps what the page hands to the audio clock: when, and the samples.
const started = `window.started = []; const was = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when, offset) {
	window.started.push({ when, offset: offset || 0, rate: this.context.sampleRate, channels: Array.from({ length: this.buffer.numberOfChannels }, (_, c) => this.buffer.getChannelData(c).slice()) });
	return was.call(this, when, offset);
}`

// TestSoundedFromTheNotes: a lesson without a recording sounds from its notes, at any
// speed from 30 to 150 %. The samples are the command's, and the pieces that they are
// handed over in join without a seam, as the browser itself plays them.
func TestSoundedFromTheNotes(t *testing.T) {
	b, made := quietPage(t, deskWidth, deskHeight)
	b.inject(started)
	b.open("/index.html")
	b.until("document.querySelector('#speed option[value=\"150\"]') && document.querySelector('#speed option[value=\"30\"]')")
	b.click(".play")
	b.until("window.started.length >= 4")
	b.click(".play")
	texts := value[[]report.Wished](b, "JSON.parse(document.querySelector('#carried').textContent).instruments")
	texts[0].Speed = 1
	l, err := new(living.Stage).Begin(&texts[0])
	if err != nil {
		t.Fatal(err)
	}
	joins := value[[]float64](b, `(async () => {
		const all = window.started.slice(0, 4);
		const total = all.reduce((n, s) => n + s.channels[0].length, 0);
		const rate = all[0].rate;
		let overlap = 0;
		for (let i = 1; i < all.length; i++) overlap = Math.max(overlap, all[i - 1].when + all[i - 1].channels[0].length / rate - all[i].when);
		const context = new OfflineAudioContext(2, total, rate);
		const whole = new Float32Array(total);
		let at = 0;
		for (const s of all) {
			const source = context.createBufferSource();
			source.buffer = context.createBuffer(s.channels.length, s.channels[0].length, rate);
			s.channels.forEach((c, k) => source.buffer.copyToChannel(c, k));
			source.connect(context.destination);
			source.start(at / rate);
			whole.set(s.channels[0], at);
			at += s.channels[0].length;
		}
		const played = (await context.startRendering()).getChannelData(0);
		let most = 0;
		let loud = 0;
		for (let i = 0; i < total; i++) { most = Math.max(most, Math.abs(played[i] - whole[i])); loud = Math.max(loud, Math.abs(whole[i])); }
		return [rate, overlap, most, loud, total];
	})()`)
	if joins[0] != sound.Rate || joins[1] > 0.5/sound.Rate || joins[2] > 1e-6 || joins[3] < 0.05 {
		t.Errorf("rate %v, pieces overlap by %v s, played they differ by %v, at most %v loud", joins[0], joins[1], joins[2], joins[3])
	}
	got := value[[]float64](b, "window.started.slice(0, 4).flatMap((s) => [...s.channels[0]])")
	for at := 0; at < len(got); {
		block := l.Next(len(got) - at)
		if block == nil {
			t.Fatalf("the page sounds %d samples, and there are %d", len(got), at)
		}
		for i, v := range block.Left {
			if math.Abs(got[at+i]-float64(v)) > 1e-6 {
				t.Fatalf("sample %d is %v on the page and %v here", at+i, got[at+i], v)
			}
		}
		at += block.Len()
	}
	t.Logf("%d samples of %s are the same, joined within %v", len(got), made.Title, joins[2])
	// Another speed takes over where the music is.
	value[string](b, "window.started.length = 0, ''")
	b.setSpeed(150)
	b.click(".loop")
	b.click(".play")
	b.until("window.started.length >= 2")
	b.nextMark()
	value[string](b, "window.started.length = 0, ''")
	b.setSpeed(30)
	b.until("window.started.length >= 2")
	b.nextMark()
}

// playsItself puts a stream that plays the page's tab as it sounds in the microphone's place, anew
// each time that it is asked for.
func playsItself(b *window) {
	b.t.Helper()
	texts := value[[]report.Wished](b, "JSON.parse(document.querySelector('#carried').textContent).instruments")
	texts[0].Speed = 1
	l, err := new(living.Stage).Begin(&texts[0])
	if err != nil {
		b.t.Fatal(err)
	}
	var played []float32
	for block := l.Next(living.MaxBlock); block != nil; block = l.Next(living.MaxBlock) {
		for _, v := range block.Left {
			played = append(played, float32(math.Round(float64(v)*1e5)/1e5))
		}
	}
	samples, err := json.Marshal(played)
	if err != nil {
		b.t.Fatal(err)
	}
	value[bool](b, fmt.Sprintf(`(() => { const samples = Float32Array.from(%s); navigator.mediaDevices.getUserMedia = async () => {
		const context = new AudioContext({ sampleRate: 48000 }); await context.resume();
		const source = context.createBufferSource(); source.buffer = context.createBuffer(1, samples.length, 48000); source.buffer.copyToChannel(samples, 0);
		const to = context.createMediaStreamDestination(); source.connect(to); window.wasPlayed = false; source.onended = () => (window.wasPlayed = true);
		source.start(context.currentTime + 0.5); return to.stream; }; return true; })()`, samples))
}

// TestPageShowsTheSteel: while somebody plays, the page tells string, fret and how far the steel
// lies off, of notes that the tab has, and ends when it is asked to.
func TestPageShowsTheSteel(t *testing.T) {
	t.Parallel()
	b, _ := quietPage(t, phoneWidth, phoneHeight)
	playsItself(b)
	b.click(".listening summary")
	value[string](b, `window.told = [], new MutationObserver(() => { const w = document.querySelector('.steel-words'); if (w) window.told.push(w.textContent); }).observe(document.querySelector('.listening'), {subtree: true, childList: true, characterData: true}), ''`)
	b.click(".listening .show-steel")
	b.until("window.wasPlayed === true && document.querySelector('.steel-now').dataset.took")
	b.shot("steel")
	b.accessible("where the steel is")
	b.unscrolled("where the steel is")
	told := value[[]string](b, "[...new Set(window.told.map((w) => /^String (\\d), (fret \\d+|open): .*/.exec(w)).filter(Boolean).map((m) => m[1] + ' ' + m[2]))]")
	want := value[[]string](b, "[...new Set(JSON.parse(document.querySelector('#lesson').textContent)[0].strokes.flatMap((s) => s.plucks.map((p) => p.string + ' ' + (p.fret ? 'fret ' + p.fret : 'open'))))]")
	found := 0
	for _, w := range want {
		if slices.Contains(told, w) {
			found++
		}
	}
	// A note that rings on under the next is no single line, and a machine under load tells fewer.
	if found < 3 {
		t.Errorf("told are %q, and %q are played", told, want)
	}
	for _, w := range told {
		if !slices.Contains(want, w) {
			t.Errorf("%q is told, and the tab has no such place", w)
		}
	}
	b.click(".listening .show-steel")
	b.until("document.querySelector('.steel-now').hidden")
}
