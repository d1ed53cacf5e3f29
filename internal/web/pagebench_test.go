package web

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"lapwright/internal/studio"
)

// steady is the lesson of the students' page with its tune at its own speed.
var steady sharedLesson

// onAPhone opens it on a phone: sounded from its notes, once the page's program is
// ready, or as it was recorded.
func onAPhone(b *testing.B, sounded bool) *window {
	b.Helper()
	noBrowserInShort(b)
	folder := steady.folder(b, 1)
	b.Cleanup(func() { os.RemoveAll(steady.dir); steady = sharedLesson{} })
	w := newWindow(b, "file://"+folder, false)
	if !sounded {
		w.inject(withoutProgram)
	}
	readyToPlay(w)
	if sounded {
		w.until("document.querySelector('#speed option[value=\"150\"]')")
	}
	return w
}

// bothWays measures the page sounded from its notes and stretched from its recording.
func bothWays(b *testing.B, measure func(b *testing.B, w *window)) {
	b.Run("sounded", func(b *testing.B) { measure(b, onAPhone(b, true)) })
	b.Run("stretched", func(b *testing.B) { measure(b, onAPhone(b, false)) })
}

// slowed makes the processor so many times slower for a window's page.
func (b *window) slowed(times float64) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: times})
		return err
	}))
}

// BenchmarkFirstPage: the workbench's first page at a quarter of the processor's
// speed; the connection and the browser are warm.
func BenchmarkFirstPage(b *testing.B) {
	_, server := serve(b)
	w := newWindow(b, server.URL, true)
	w.open("/trash")
	w.slowed(4)
	total, n := 0.0, 0
	for b.Loop() {
		n++
		w.open("/")
		total += value[float64](w, "performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd")
	}
	b.ReportMetric(total/float64(n), "ms-to-the-page")
	b.ReportMetric(0, "ns/op")
}

// BenchmarkStudentsPageReady: from opening the students' page, from disk and at a
// quarter of the processor's speed, until it can play.
func BenchmarkStudentsPageReady(b *testing.B) {
	w := onAPhone(b, true)
	w.slowed(4)
	total, busy := 0.0, 0.0
	n := 0
	for b.Loop() {
		n++
		before := w.busy()
		w.open(fmt.Sprintf("/index.html?%d", n))
		total += value[float64](w, "(async () => { while (!document.querySelector('.play') || document.querySelector('.play').disabled) await new Promise(go => setTimeout(go, 5)); return performance.now(); })()")
		busy += w.busy() - before
	}
	b.ReportMetric(total/float64(n), "ms-to-play")
	b.ReportMetric(busy/float64(n), "busy-ms-to-play")
	b.ReportMetric(0, "ns/op")
}

// busy gives the milliseconds of processor time that the page's own thread has been
// at work, slowed as it is: what the machine does besides does not count.
func (b *window) busy() float64 {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks})
		return err
	}))
	got, err := chromedp.Run(b.ctx, func(ctx context.Context, _ *chromedp.Target) (performance.GetMetricsResult, error) {
		return chromedp.Call(ctx, performance.GetMetrics, cdp.Empty{})
	})
	if err != nil {
		b.t.Fatal(err)
	}
	for _, m := range got.Metrics {
		if m.Name == "TaskDuration" {
			return m.Value * 1000
		}
	}
	b.t.Fatal("the browser does not say how long its tasks took")
	return 0
}

// BenchmarkSpeedChange: the longest time without a picture while another speed is
// made and the music plays, at a quarter of the processor's speed, and how long it takes.
func BenchmarkSpeedChange(b *testing.B) {
	bothWays(b, func(b *testing.B, w *window) {
		w.slowed(4)
		w.click(".play")
		w.nextMark()
		longest, took := 0.0, 0.0
		n := 0
		for b.Loop() {
			n++
			got := value[[]float64](w, fmt.Sprintf(`(async () => { const s = document.querySelector('#speed'); let longest = 0, last = performance.now(), made = 0; const began = last;
			const slower = new Promise(done => { const start = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (...a) {
				// What is played before goes on being handed over, seconds ahead of its time.
				if (a[0] - this.context.currentTime < 0.5) { AudioBufferSourceNode.prototype.start = start; done(made = performance.now()); } return start.apply(this, a); }; });
			s.value = '%d'; s.dispatchEvent(new Event('change'));
			while (!made || performance.now() - made < 500) { await new Promise(requestAnimationFrame); const now = performance.now(); longest = Math.max(longest, now - last); last = now; }
			return [longest, made - began]; })()`, 95-5*(n%2)))
			longest, took = max(longest, got[0]), took+got[1]
		}
		b.ReportMetric(longest, "ms-longest-frame")
		b.ReportMetric(took/float64(n), "ms-to-the-speed")
		b.ReportMetric(0, "ns/op")
	})
}

// BenchmarkThreeSpeeds: the memory of all of the browser's processes after three
// speeds, as a multiple of what it was when the page could play. Linux counts it.
func BenchmarkThreeSpeeds(b *testing.B) {
	bothWays(b, func(b *testing.B, w *window) {
		w.click(".play")
		w.nextMark()
		w.click(".play")
		most := 0.0
		for b.Loop() {
			before := w.memory()
			w.click(".play")
			for _, speed := range []int{60, 70, 80} {
				w.setSpeed(speed)
				w.nextMark()
				w.nextMark()
			}
			w.click(".play")
			most = max(most, w.memory()/before)
		}
		b.ReportMetric(most, "times-the-memory")
		b.ReportMetric(0, "ns/op")
	})
}

// memory gives the bytes that the browser and its children hold, each shared page
// counted once (PSS, proc(5)), after its rubbish has been collected.
func (b *window) memory() float64 {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, heapprofiler.CollectGarbage, cdp.Empty{})
		return err
	}))
	total := 0.0
	for _, pid := range processes() {
		raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps_rollup", pid))
		if err != nil {
			continue
		}
		for line := range strings.Lines(string(raw)) {
			if f := strings.Fields(line); len(f) > 1 && f[0] == "Pss:" {
				kb, _ := strconv.ParseFloat(f[1], 64)
				total += kb * 1024
			}
		}
	}
	if total == 0 {
		b.t.Fatal("the browser's memory can't be read from /proc")
	}
	return total
}

// processes returns the browser's process and all that come from it; Linux lists them.
func processes() []int {
	root := chromedp.FromContext(chrome.ctx).Browser.Process().Pid
	parents := map[int]int{}
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, s := range stats {
		raw, err := os.ReadFile(s)
		if err != nil {
			continue // it has ended
		}
		pid, _ := strconv.Atoi(filepath.Base(filepath.Dir(s)))
		if fields := strings.Fields(string(raw[strings.LastIndexByte(string(raw), ')')+1:])); len(fields) > 1 {
			parents[pid], _ = strconv.Atoi(fields[1])
		}
	}
	var out []int
	for pid := range parents {
		up := pid
		for up > 1 && up != root {
			up = parents[up]
		}
		if up == root {
			out = append(out, pid)
		}
	}
	return out
}

// BenchmarkSteelDrawn: on the students' page and in the workbench, from the moment a block of the microphone's samples
// has come until the frame in which the figure made of it is drawn. The
// block itself lasts 512 samples more, 10.7 ms at 48 kHz.
func BenchmarkSteelDrawn(b *testing.B) {
	b.Run("students", func(b *testing.B) {
		w, _ := quietPage(b, phoneWidth, phoneHeight)
		playsItself(w)
		w.click(".listening summary")
		w.click(".listening .show-steel")
		steelDrawn(b, w, "window.wasPlayed === true")
	})
	b.Run("workbench", func(b *testing.B) {
		st, server := serve(b)
		it, err := st.Add(context.Background(), studio.Tune, studio.Content{Title: "Harbour Steps", Body: playedTune, Extra: []byte(`{"rig":"lap6-c6"}`)}, false)
		if err != nil {
			b.Fatal(err)
		}
		w := soundingWindow(b, server.URL)
		w.open("/tunes/" + it.ID)
		w.until("document.querySelector('.shown-tab svg')")
		w.click("#steel-panel summary")
		w.click("#steel-panel .show-steel")
		steelDrawn(b, w, "window.took.length >= 400")
	})
}

// steelDrawn reports how long each figure took until it was drawn, from now until done holds.
func steelDrawn(b *testing.B, w *window, done string) {
	w.until("document.querySelector('.steel-now')?.dataset.took")
	value[string](w, `window.took = [], new MutationObserver(() => window.took.push(Number(document.querySelector('.steel-now').dataset.took))).observe(document.querySelector('.steel-now'), {attributes: true, attributeFilter: ['data-took']}), ''`)
	var all []float64
	for b.Loop() {
		w.until(done)
		all = append(all, value[[]float64](w, "window.took.splice(0)")...)
	}
	if len(all) == 0 {
		b.Fatal("nothing was drawn")
	}
	slices.Sort(all)
	b.ReportMetric(all[len(all)/2], "ms-median")
	b.ReportMetric(all[len(all)*95/100], "ms-95%")
	b.ReportMetric(float64(len(all)), "drawn")
	b.ReportMetric(0, "ns/op")
}
