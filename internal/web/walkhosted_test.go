package web

import (
	"context"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"lapwright/internal/further"
	"lapwright/internal/lesson"
	"lapwright/notation/abc"
	"lapwright/rig"
)

// space is a web space of files alone: what was asked of it, and whether it is there.
type space struct {
	t       *testing.T
	dir     string
	address string
	server  *http.Server

	mu    sync.Mutex
	asked []string
}

// newSpace serves a folder.
func newSpace(t *testing.T) *space {
	t.Helper()
	s := &space{t: t, dir: t.TempDir(), address: "127.0.0.1:0"}
	s.start()
	t.Cleanup(s.stop)
	return s
}

func (s *space) start() {
	s.t.Helper()
	at, err := net.Listen("tcp", s.address)
	if err != nil {
		s.t.Fatal(err)
	}
	s.address = at.Addr().String()
	files := http.FileServer(http.Dir(s.dir))
	s.server = &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.mu.Lock()
		s.asked = append(s.asked, r.URL.Path)
		s.mu.Unlock()
		files.ServeHTTP(w, r)
	})}
	go s.server.Serve(at)
}

func (s *space) stop() { s.server.Close() }

// outside returns what was asked for outside a folder.
func (s *space) outside(folder string) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.asked) == 0 {
		s.t.Error("nothing was asked of the web space: the log is not being written")
	}
	return slices.DeleteFunc(slices.Clone(s.asked), func(p string) bool { return strings.HasPrefix(p, folder) })
}

// hostedLesson writes a short lesson for a web space into a folder.
func hostedLesson(t *testing.T, words, folder string) {
	t.Helper()
	tunes, _, err := abc.Read([]byte("X:1\nT:Low Tide\nM:3/4\nL:1/4\nQ:1/4=120\nK:G\nDGB|d2B|cAF|G3|]\n"), "low-tide.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	made, err := lesson.Make(context.Background(), lesson.Plan{Hosted: true, Tune: tunes[0], Rigs: []*rig.Rig{r}, Words: words}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := made.WriteFolder(folder); err != nil {
		t.Fatal(err)
	}
}

const (
	// sounding is when the page's program sounds; keptWhole when its host is needed no more.
	sounding  = "document.querySelector('#speed option[value=\"150\"]')"
	keptWhole = "navigator.serviceWorker.controller && !document.querySelector('.play').disabled"
)

// newerForm is the button of the offer to show a newer form; to go on from the last time may be offered beside it.
const newerForm = "[...document.querySelectorAll('.last-time button')].find((e) => e.textContent === 'Show it')"

// TestHostedLesson: a lesson on a web space, in a folder somewhere in it, brings all from
// that folder alone and lives on when its host is gone; a newer form is taken whole or
// not at all, and shown when it is asked for.
func TestHostedLesson(t *testing.T) {
	t.Parallel()
	walkHosted(t, newWindow(t, "", true))
}

// TestFirefoxHostedLesson is the same in Firefox.
func TestFirefoxHostedLesson(t *testing.T) {
	further.Only(t)
	t.Parallel()
	walkHosted(t, newFox(t, "", deskWidth, deskHeight))
}

func walkHosted(t *testing.T, b *window) {
	s := newSpace(t)
	const folder = "/evening/class%202/low-tide/"
	at := filepath.Join(s.dir, "evening", "class 2", "low-tide")
	hostedLesson(t, "Slowly, please.", at)
	b.base = "http://" + s.address
	b.open(folder + "index.html")
	b.until(sounding)
	b.until(keptWhole)
	own := strings.ReplaceAll(folder, "%20", " ")
	if out := s.outside(own); len(out) > 0 {
		t.Errorf("asked for outside the lesson's folder: %q", out)
	}
	if n := value[int](b, "performance.getEntriesByType('resource').filter((e) => !e.name.startsWith(new URL('.', location.href).href) && !/^(blob|data):/.test(e.name)).length"); n > 0 {
		t.Errorf("the page brought %d things from outside its folder", n)
	}
	s.stop()
	b.open(folder) // by the folder's own name
	b.until(sounding)
	b.until("!document.querySelector('.play').disabled")
	b.click(".play")
	b.nextMark()
	b.click(".play")
	if got := value[int](b, "fetch('handout.pdf').then((r) => r.arrayBuffer()).then((a) => a.byteLength)"); got < 5000 {
		t.Errorf("without its host the handout has %d bytes", got)
	}
	b.shot("host-gone")

	// A newer form of which a file is not what it should be: the old one stays, whole.
	hostedLesson(t, "Faster, please.", at)
	handout, err := os.ReadFile(filepath.Join(at, "handout.pdf"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(at, "handout.pdf"), handout[:len(handout)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	s.start()
	const comes = "navigator.serviceWorker.getRegistration().then((r) => r.update()).then(async (r) => { for (;;) { const w = r.installing; if (!w) break; await new Promise((go) => w.addEventListener('statechange', go)); } return r.waiting ? 'whole' : 'none'; }, (e) => 'none')"
	b.open(folder)
	b.until(sounding) // what a page is still bringing when it is left, Firefox complains of
	if got := value[string](b, comes); got != "none" {
		t.Errorf("of a lesson that came in part the device keeps %s", got)
	}
	b.quiet() // a browser may say that it took no part
	b.open(folder)
	b.until(sounding)
	if said := b.text(".words"); !strings.Contains(said, "Slowly") || value[bool](b, newerForm+" !== undefined") {
		t.Errorf("while a newer form is not whole the page says %q, or offers it", said)
	}
	// What the browser had begun by itself may still have to come to its bad end.
	const settled = "(async () => { let keys = await caches.keys(); for (let i = 0; keys.length !== 1 && i < 100; i++) { await new Promise((go) => setTimeout(go, 100)); keys = await caches.keys(); } return keys; })()"
	if keys := value[[]string](b, settled); len(keys) != 1 {
		t.Errorf("the device keeps %q, want the old form alone", keys)
	}
	// Now it is whole. The page stays open while it comes: with none open it would take
	// the old one's place at once.
	if err := os.WriteFile(filepath.Join(at, "handout.pdf"), handout, 0o600); err != nil {
		t.Fatal(err)
	}
	for try := 0; value[string](b, comes) != "whole"; try++ {
		if try == 5 { // one that began while a part was wrong may still have had to end
			t.Fatal("the device never keeps the newer form")
		}
	}
	b.until(newerForm)
	b.open(folder)
	b.until(sounding)
	b.until(newerForm)
	if said := b.text(".words"); !strings.Contains(said, "Slowly") {
		t.Errorf("before it is asked for the newer form is shown: %q", said)
	}
	b.shot("newer")
	value[bool](b, newerForm+".click() ?? true")
	b.until("document.querySelector('.words')?.textContent.includes('Faster')")
	b.until(sounding)
	b.until("caches.keys().then((k) => k.length === 1)")
	// Another lesson of the host has the program from the first.
	s.mu.Lock()
	s.asked = nil
	s.mu.Unlock()
	hostedLesson(t, "The other one.", filepath.Join(s.dir, "other"))
	b.open("/other/")
	b.until(keptWhole)
	if keys := value[[]string](b, "caches.keys()"); len(keys) != 2 {
		t.Errorf("the device keeps %q, want two lessons", keys)
	}
}

// TestHostedLessonFromDisk: a page that is made for a web space and is opened from disk
// shows its sheets and says why it does not sound.
func TestHostedLessonFromDisk(t *testing.T) {
	noBrowserInShort(t)
	dir := filepath.Join(t.TempDir(), "low-tide")
	hostedLesson(t, "Slowly, please.", dir)
	b := newWindow(t, "file://"+dir, false)
	b.size(phoneWidth, phoneHeight)
	b.open("/index.html")
	b.until("document.querySelector('.note')?.textContent.includes('made for the web') && !document.querySelector('.play').disabled")
	b.click(".play")
	b.nextMark()
	b.shot("from-disk")
}

// recordedBy counts what a page records by; its microphone is a tone. Nothing that loses anything may record.
const recordedBy = `window.by = { worklet: 0, script: 0, lossy: 0 };
	const node = window.AudioWorkletNode; window.AudioWorkletNode = class extends node { constructor(...a) { super(...a); window.by.worklet++; } };
	const script = AudioContext.prototype.createScriptProcessor; AudioContext.prototype.createScriptProcessor = function (...a) { window.by.script++; return script.apply(this, a); };
	window.MediaRecorder = class { constructor() { window.by.lossy++; } };
	navigator.mediaDevices.getUserMedia = async () => { const c = new AudioContext(); await c.resume(); const o = c.createOscillator(); const to = c.createMediaStreamDestination(); o.connect(to); o.start(); return to.stream; };`

// TestRecordedWithoutLoss: a hosted page records by a worklet, a page from disk by the script node, and neither
// by a recorder that packs with loss.
func TestRecordedWithoutLoss(t *testing.T) {
	further.Only(t)
	s := newSpace(t)
	hostedLesson(t, "", filepath.Join(s.dir, "some", "where"))
	_, folder := quietLesson(t)
	for _, c := range []struct{ base, want string }{
		{"http://" + s.address + "/some/where", `{"worklet":1,"script":0,"lossy":0}`},
		{"file://" + folder, `{"worklet":0,"script":1,"lossy":0}`},
	} {
		b := newWindow(t, c.base, true)
		b.inject(recordedBy)
		b.open("/index.html")
		b.until("!document.querySelector('.play').disabled")
		b.click(".listening summary")
		b.click(".listening .main")
		b.until("/Recording: 0:0[1-9]/.test(document.querySelector('.listening .own-said').textContent)")
		if got := value[string](b, "JSON.stringify(window.by)"); got != c.want {
			t.Errorf("%s records by %s, want %s", c.base, got, c.want)
		}
		b.click(".listening .main")
	}
}
