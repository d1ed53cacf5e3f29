package web

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/studio"
	"lapwright/report"
)

// reaches are ways by which a script in the students' page would come by the workbench's
// pages, each true when it got there.
const reaches = `(async () => {
	const got = [];
	const tries = async (name, what) => { try { if (await what()) got.push(name); } catch { } };
	const wait = (ms) => new Promise((go) => setTimeout(go, ms));
	await tries('fetch', async () => (await fetch('/tunes')).ok);
	await tries('request', () => new Promise((is) => { const r = new XMLHttpRequest(); r.onload = () => is(true); r.onerror = () => is(false); r.open('GET', '/lessons'); r.send(); }));
	await tries('events', () => new Promise((is) => { const e = new EventSource('/tunes'); e.onopen = () => is(true); e.onerror = () => { e.close(); is(false); }; }));
	await tries('worker', () => new Promise((is) => { const w = new Worker(URL.createObjectURL(new Blob(["fetch('" + location.origin + "/tunes').then((r) => postMessage(r.ok), () => postMessage(false))"]))); w.onmessage = (e) => is(e.data); w.onerror = () => is(false); }));
	await tries('window', () => window.open('/tunes') !== null);
	await tries('beacon', () => { navigator.sendBeacon('/tunes', 'x'); return false; });
	for (const [name, of] of [['frame', { src: '/tunes' }], ['frame', { srcdoc: "<script>parent.went = true</scr" + "ipt>" }], ['image', { src: '/tunes' }], ['script', { src: '/assets/app.js' }], ['embed', { src: '/tunes' }]]) {
		const e = document.createElement(name === 'frame' ? 'iframe' : name === 'image' ? 'img' : name);
		Object.assign(e, of);
		document.body.append(e);
		await wait(100);
		await tries(name, () => name === 'frame' && (e.contentDocument?.querySelector('main') !== null && e.contentDocument !== null || window.went === true));
		e.remove();
	}
	const form = document.createElement('form');
	form.action = '/tunes'; form.method = 'post';
	document.body.append(form);
	form.submit();
	await wait(300);
	return got;
})()`

// TestStudentsPageIsPenned: in the workbench the students' page keeps things and has the
// microphone as elsewhere, and neither hostile words and titles nor a script that ran in
// it would reach the workbench, whose session the browser has.
func TestStudentsPageIsPenned(t *testing.T) {
	noBrowserInShort(t)
	st, server := serve(t)
	const evil = `"><script>went = true</script><img src=x onerror="went = true">`
	tune, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: evil, Body: "X:1\nT:" + evil + "\nC:" + evil + "\nM:4/4\nL:1/4\nQ:1/4=160\nK:G\n\"" + evil + "\"GABd|d2G2|]\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	words := evil + "\n\n[here](javascript:went=true)\n\n<iframe src=\"/tunes\"></iframe><form action=\"/tunes\" method=post><button>Go</button></form>\n\n<base href=\"/\"><meta http-equiv=refresh content=\"0;/tunes\">\n\n![x](/tunes)"
	body, err := json.Marshal(report.LessonPlan{Tune: tune.ID, Rigs: []string{"reso-open-g"}, Words: words})
	if err != nil {
		t.Fatal(err)
	}
	it, err := st.Add(t.Context(), studio.Lesson, studio.Content{Title: evil, Body: string(body)}, false)
	if err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var asked []string
	inner := server.Config.Handler
	server.Config.Handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		mu.Lock()
		asked = append(asked, r.Method+" "+r.URL.Path)
		mu.Unlock()
		inner.ServeHTTP(w, r)
	})
	browser, end, err := newChrome(chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(end)
	b := newWindowIn(browser, t, server.URL, true)
	page := "/lessons/" + it.ID + "/page"
	b.open(page)
	b.until("!document.querySelector('.play').disabled")
	if n := value[int](b, "document.querySelectorAll('.words :is(script, img, iframe, form, base, meta), [onerror], a[href^=\"javascript\"]').length"); n > 0 || value[bool](b, "window.went === true") {
		t.Errorf("words or a title became %d pieces of markup, or ran", n)
	}
	if got := value[string](b, "localStorage.setItem('x', 'kept'), localStorage.getItem('x')"); got != "kept" {
		t.Errorf("what the page keeps is %q", got)
	}
	if n := value[int](b, "navigator.mediaDevices.getUserMedia({ audio: true }).then((s) => s.getAudioTracks().length, (e) => { throw new Error(e.name); })"); n != 1 {
		t.Errorf("the microphone has %d tracks", n)
	}
	if got := value[[]string](b, reaches); len(got) > 0 {
		t.Errorf("a script in the page would reach the workbench by %s", strings.Join(got, ", "))
	}
	b.quiet() // the browser tells what it refused
	mu.Lock()
	defer mu.Unlock()
	if !slices.Equal(asked, []string{"GET " + page}) {
		t.Errorf("the workbench was asked for %q, want the page alone", asked)
	}
}
