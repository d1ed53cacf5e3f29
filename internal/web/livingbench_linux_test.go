package web

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/tracing"
	"github.com/chromedp/chromedp"

	"lapwright/arrange"
	"lapwright/internal/lesson"
	"lapwright/internal/lesson/module"
	"lapwright/internal/take"
	"lapwright/notation/abc"
	living "lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/wav"
)

// BenchmarkLivingPage visits a lesson's page as a student does, from disk: opens it, has its 32 bars
// on an instrument of their own, plays alone and with the band, and has a take of three minutes reviewed. The same is
// done natively beside it; the figures that begin with a letter x say how many times as
// long the page took, or how many times as slow it sounds.
func BenchmarkLivingPage(b *testing.B) {
	v := newVisit(b)
	b.Run("full", func(b *testing.B) { v.bench(b, 1) })
	b.Run("slowed", func(b *testing.B) { v.bench(b, 4) })
}

// visit is what a student brings along.
type visit struct {
	folder, take string // of files
	own          *rig.Rig
	carried      []byte
	placed       report.OnInstrument // the tune on it
	samples      []float32           // of the take
}

// watched keeps what happens in a page and when, in milliseconds since it was opened: the frame behind
// the one with the first sheet in it, when the program first answered, and what it sounded.
const watched = `window.seen = { sheet: 0, ready: 0, sounded: [] };
(() => {
	const seen = window.seen;
	const frame = () => new Promise(requestAnimationFrame);
	seen.painted = async (css) => { while (![...document.querySelectorAll(css)].some((e) => e.getClientRects().length)) await frame(); return frame(); };
	seen.painted('section svg').then((now) => (seen.sheet = now));
	performance.mark('phase ready');
	window.Worker = class extends Worker {
		constructor(...a) {
			super(...a);
			this.addEventListener('message', ({ data }) => {
				if (data.ready) seen.ready ||= performance.now();
				if (data.parts?.[0]?.channels[0]?.length) seen.sounded.push({ parts: data.parts.length, samples: data.parts[0].channels[0].length, took: data.took });
			});
		}
	};
	const start = AudioBufferSourceNode.prototype.start;
	AudioBufferSourceNode.prototype.start = function (when, ...rest) { seen.started?.(this.context, when); return start.call(this, when, ...rest); };
})();`

// pressed presses play and tells how many milliseconds later the audio clock is where the first sound begins.
const pressed = `(async () => { const began = performance.now();
	const first = new Promise((go) => (window.seen.started = (context, when) => { window.seen.started = null; go([context, when]); }));
	document.querySelector('.play').click();
	const [context, when] = await first;
	while (context.currentTime < when) await new Promise((go) => setTimeout(go, 1));
	return performance.now() - began; })()`

func newVisit(b *testing.B) *visit {
	b.Helper()
	noBrowserInShort(b)
	text := "X:1\nT:Thirty-two bars\nM:4/4\nL:1/8\nQ:1/4=84\nK:G\n|:"
	for range 8 {
		text += `"G"G2BG d2BG|"D7"c2A2 F2A2|"Em"G2BG d2ed|"D7"c2A2 "G"G4|` + "\n"
	}
	tunes, _, err := abc.Read([]byte(strings.TrimSuffix(text, "|\n")+":|\n"), "bars.abc")
	if err != nil {
		b.Fatal(err)
	}
	teachers, _ := rig.Builtin("reso-open-g")
	made, err := lesson.Make(b.Context(), lesson.Plan{Tune: tunes[0], Rigs: []*rig.Rig{teachers}}, nil)
	if err != nil {
		b.Fatal(err)
	}
	dir := b.TempDir()
	v := &visit{folder: filepath.Join(dir, "lesson"), take: filepath.Join(dir, "take.wav")}
	if err := made.WriteFolder(v.folder); err != nil {
		b.Fatal(err)
	}
	v.own, _ = rig.Builtin("lap6-c6")
	if v.carried, err = living.Carry(made.Tune, arrange.Options{}, nil, take.Digest); err != nil {
		b.Fatal(err)
	}
	v.placed = v.place(b)
	l := v.sound(b, false)
	for block := l.Next(living.MaxBlock); block != nil; block = l.Next(living.MaxBlock) {
		v.samples = append(v.samples, block.Left...)
	}
	if err := os.WriteFile(v.take, wav.Write(&sound.Audio{Channels: [][]float32{v.samples}}), 0o600); err != nil {
		b.Fatal(err)
	}
	b.Logf("a take of %.0f seconds of %d bars", float64(len(v.samples))/sound.Rate, len(made.Tune.Bars))
	return v
}

// bench makes visits at so many times less than the processor's speed.
func (v *visit) bench(b *testing.B, slower float64) {
	w := newWindow(b, "file://"+v.folder, false)
	w.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, network.Disable, cdp.Empty{}) // what it keeps of a file is decoded again, in the page's thread
		return err
	}))
	w.inject(watched)
	sum := map[string]float64{}
	tasks := trace(w)
	n, most, long := 0.0, 0.0, 0
	for b.Loop() {
		n++
		tasks.begin()
		once := v.visit(b, w, slower, int(n))
		for name, v := range once {
			sum[name] += v
		}
		for phase, of := range tasks.end(b, slower) {
			long += len(of)
			most = max(most, slices.Max(of))
			b.Logf("%s: tasks of %.0f ms", phase, of)
		}
	}
	for name, v := range sum {
		b.ReportMetric(v/n, name)
	}
	b.ReportMetric(float64(long)/n, "long-tasks")
	b.ReportMetric(most, "ms-longest-task")
	b.ReportMetric(0, "ns/op")
}

// visit makes one visit, and gives its figures by their names.
func (v *visit) visit(b *testing.B, w *window, slower float64, n int) map[string]float64 {
	b.Helper()
	if n > 1 { // takes that were kept would be shown too
		value[bool](w, "new Promise((go) => { const d = indexedDB.deleteDatabase('lapwright takes'); d.onsuccess = d.onblocked = () => go(true); })")
	}
	end := slowed(b, slower)
	defer func() { end() }()
	phase := func(name string) { value[string](w, fmt.Sprintf("performance.mark('phase %s'), ''", name)) }
	w.open(fmt.Sprintf("/index.html?%d", n))
	w.until("window.seen.ready && window.seen.sheet && document.querySelector('#speed option[value=\"150\"]') && !document.querySelector('.play').disabled")
	out := map[string]float64{"ms-ready": value[float64](w, "window.seen.ready - window.seen.sheet")}

	phase("sound")
	out["ms-first-sound"] = value[float64](w, pressed)
	out["x-realtime"] = sounded(w, 1)

	phase("band")
	const band = "([...document.querySelectorAll('.transport label')].find((l) => l.textContent === 'Band').querySelector('input').click(), '')"
	value[string](w, band)
	w.click(".play")
	out["x-realtime-band"] = sounded(w, 2)
	value[string](w, band)

	phase("place")
	w.click(".own summary")
	w.until("document.querySelectorAll('#own-choice option').length > 5")
	value[bool](w, fmt.Sprintf("(() => { const c = document.querySelector('#own-choice'); c.selectedIndex = [...c.options].findIndex((o) => o.text.startsWith(%q)); c.dispatchEvent(new Event('change')); return true; })()", v.own.Title))
	w.until("!document.querySelector('.own .main').disabled")
	out["ms-placed"] = value[float64](w, "(async () => { const began = performance.now(); document.querySelector('.own .main').click(); await window.seen.painted('section[data-own]:not([aria-busy]) svg'); return performance.now() - began; })()")

	phase("review")
	w.click(".listening summary")
	value[bool](w, "(() => { document.querySelector('.listening').addEventListener('change', () => (window.seen.given = performance.now()), true); return true; })()")
	w.do(chromedp.SetUploadFiles(chromedp.CSS(".listening input[type=file]"), []string{v.take}))
	out["ms-reviewed"] = value[float64](w, "window.seen.painted('.take-view:not([aria-busy]) svg').then(() => performance.now() - window.seen.given)")
	end()
	end = func() {}
	native := v.beside(b)
	for _, with := range []string{"", "-band"} {
		out["x-native-sounding"+with] = native["x-realtime"+with] / out["x-realtime"+with]
	}
	for _, name := range []string{"ready", "first-sound", "placed", "reviewed"} {
		out["x-native-"+name] = out["ms-"+name] / native["ms-"+name]
	}
	return out
}

// sounded waits until what plays has been sounded for a while in so many parts, ends it, and tells how many
// times as fast as it plays that was, but for its beginning.
func sounded(w *window, parts int) float64 {
	w.t.Helper()
	whole := fmt.Sprintf("window.seen.sounded.filter((s) => s.parts === %d)", parts)
	w.until(whole + ".length >= 8")
	w.click(".play")
	return value[float64](w, "(() => { const whole = "+whole+".slice(1); return whole.reduce((n, s) => n + s.samples, 0) / 48 / whole.reduce((n, s) => n + s.took, 0); })()")
}

// asked has the program's question answered natively.
func (v *visit) asked(b *testing.B, q report.Asked, take []float32) []byte {
	b.Helper()
	text, err := json.Marshal(q)
	if err != nil {
		b.Fatal(err)
	}
	l, err := living.Open(v.carried)
	if err != nil {
		b.Fatal(err)
	}
	return l.Answer(text, living.Whole(take, sound.Rate))
}

func (v *visit) place(b *testing.B) (made report.OnInstrument) {
	b.Helper()
	if err := json.Unmarshal(v.asked(b, report.Asked{What: "place", Rig: string(rig.Format(v.own))}, nil), &made); err != nil || made.Tab == "" {
		b.Fatalf("the tune is not placed: %v", err)
	}
	return made
}

func (v *visit) sound(b *testing.B, band bool) *living.Live {
	b.Helper()
	gain := 0.0
	l, err := new(living.Stage).Begin(&report.Wished{Rig: v.placed.Rig, Tab: v.placed.Tab, Speed: 1, Gain: &gain, Band: band})
	if err != nil {
		b.Fatal(err)
	}
	return l
}

// beside does natively what the page has done: unpacks the program, which stands in for its coming, since
// a native one is there already; the rest is the same.
func (v *visit) beside(b *testing.B) map[string]float64 {
	b.Helper()
	out := map[string]float64{}
	timed := func(name string, do func()) {
		began := time.Now()
		do()
		out["ms-"+name] = float64(time.Since(began)) / float64(time.Millisecond)
	}
	timed("ready", func() {
		plain, err := gzip.NewReader(bytes.NewReader(module.Packed()))
		if err == nil {
			_, err = io.Copy(io.Discard, plain)
		}
		if err == nil {
			_, err = living.Open(v.carried)
		}
		if err != nil {
			b.Fatal(err)
		}
	})
	timed("placed", func() { v.place(b) })
	var l *living.Live
	made := 0
	sounds := func(seconds float64) {
		for block := l.Next(living.MaxBlock); block != nil && float64(made) < seconds*sound.Rate; block = l.Next(living.MaxBlock) {
			made += block.Len()
		}
	}
	timed("first-sound", func() { l = v.sound(b, false); sounds(0.5) })
	ten := func() float64 {
		timed("ten seconds", func() { made = 0; sounds(10) })
		return 1000 * float64(made) / sound.Rate / out["ms-ten seconds"]
	}
	out["x-realtime"] = ten()
	l = v.sound(b, true)
	out["x-realtime-band"] = ten()
	timed("reviewed", func() {
		var heard report.HeardTake
		if err := json.Unmarshal(v.asked(b, report.Asked{What: "review", Rig: v.placed.Rig, Tab: v.placed.Tab, Tuned: "equal"}, v.samples), &heard); err != nil || heard.Refused != "" || heard.Sheet == nil {
			b.Fatalf("the take is not reviewed: %v %s", err, heard.Refused)
		}
	})
	return out
}

// slowed makes the processor so many times slower for all that pages do, their workers and the compiling
// of their program too, which the browser's own slowing leaves as fast as they are: its processes that
// run pages are let work for a share of the time. It returns what ends it.
func slowed(b *testing.B, times float64) (end func()) {
	b.Helper()
	if times == 1 {
		return func() {}
	}
	var pids []int
	for _, pid := range processes() {
		line, err := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", pid))
		if err == nil && strings.Contains(string(line), "--type=renderer") {
			pids = append(pids, pid)
		}
	}
	if len(pids) == 0 {
		b.Fatal("no process of the browser runs a page")
	}
	tell := func(s syscall.Signal) {
		for _, pid := range pids {
			_ = syscall.Kill(pid, s) // one may have ended
		}
	}
	const turn = 4 * time.Millisecond
	over, ended := make(chan bool), make(chan bool)
	go func() {
		defer close(ended)
		for {
			began := time.Now()
			select {
			case <-over:
				return
			case <-time.After(turn):
			}
			tell(syscall.SIGSTOP)
			time.Sleep(time.Duration((times - 1) * float64(time.Since(began))))
			tell(syscall.SIGCONT)
		}
	}()
	return func() {
		close(over)
		<-ended
	}
}

// longTask is how long a page may be kept from all else at once, in milliseconds.
const longTask = 50

// traced is what a browser tells of its tasks.
type traced struct {
	w    *window
	mu   sync.Mutex
	all  []traceEvent
	over chan bool
}

// traceEvent is one thing that a browser did: its process and thread, when it began and how long its thread
// was at work on it, in microseconds (Trace Event Format).
type traceEvent struct {
	Name     string
	Pid, Tid int
	Ts       float64
	Tdur     float64
}

// trace listens to what a window's browser tells of its tasks. It tells for how long each one's thread was
// at work: what the machine does besides does not count, which the page itself can't part.
func trace(w *window) *traced {
	t := &traced{w: w, over: make(chan bool, 1)}
	chromedp.Listen(w.ctx, func(ev any) {
		switch ev := ev.(type) {
		case *tracing.EventDataCollected:
			t.mu.Lock()
			defer t.mu.Unlock()
			for _, raw := range ev.Value {
				var e traceEvent
				if err := json.Unmarshal(raw, &e); err == nil && (e.Name == "RunTask" || strings.HasPrefix(e.Name, "phase ")) {
					t.all = append(t.all, e)
				}
			}
		case *tracing.EventTracingComplete:
			t.over <- true
		}
	})
	return t
}

// begin has the browser tell from now on.
func (t *traced) begin() {
	t.all = nil
	t.w.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, tracing.Start, tracing.StartParams{TransferMode: tracing.StartTransferModeReportEvents, TraceConfig: &tracing.TraceConfig{
			IncludedCategories: []string{"disabled-by-default-devtools.timeline", "blink.user_timing"}, ExcludedCategories: []string{"*"}}})
		return err
	}))
}

// end gives what took the page's own thread longer than a long task may, so many times
// slowed, by what was done meanwhile.
func (t *traced) end(b *testing.B, slower float64) map[string][]float64 {
	b.Helper()
	t.w.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, tracing.End, cdp.Empty{})
		return err
	}))
	<-t.over
	t.mu.Lock()
	defer t.mu.Unlock()
	slices.SortFunc(t.all, func(x, y traceEvent) int { return cmp.Compare(x.Ts, y.Ts) })
	out := map[string][]float64{}
	phase, pid, seen := "ready", 0, 0
	for _, e := range t.all {
		if strings.HasPrefix(e.Name, "phase ") {
			pid = e.Pid
		}
	}
	for _, e := range t.all {
		switch name, is := strings.CutPrefix(e.Name, "phase "); {
		case is:
			phase = name
		case e.Pid == pid && e.Tid == pid: // a process's first thread is the page's own
			seen++
			if took := slower * e.Tdur / 1000; took > longTask {
				out[phase] = append(out[phase], took)
			}
		}
	}
	if seen < 100 {
		b.Fatalf("%d tasks of the page are told", seen)
	}
	return out
}
