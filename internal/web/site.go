package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"html/template"
	"io/fs"
	"log/slog"
	"mime"
	"net/http"
	"path"
	"runtime"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
)

//go:embed templates/*.html
var templateFiles embed.FS

//go:embed assets
var assetFiles embed.FS

// Options says how the site is served.
type Options struct {
	Names     []string // further host names that requests may use
	Password  bool     // served beyond this machine: visitors must sign in
	Encrypted bool     // over TLS
	Now       func() time.Time
	Log       *slog.Logger
}

// Site is the workbench.
type Site struct {
	studio   *studio.Studio
	options  Options
	sessions *sessions
	crowd    crowd
	pace     pace
	pages    map[string]*template.Template
	assets   map[string]asset
	light    *queue // arranging and drawing: a person waits
	heavy    *queue // sounding and whole lessons
	doors    *queue // passwords
	moves    *queue // whole studios, coming and going, which takes as long as the line does
	jobs     *jobs
	tabs     *cache[*shownTab]
	sounds   *cache[[]byte]
	abouts   *cache[string]
	readRigs *cache[*rig.Rig]
}

type asset struct {
	bytes  []byte
	packed []byte // with gzip; nil when that saves nothing
	mark   string // of the content, for the address
	mime   string
}

// New makes the site over a studio. Its background work ends with ctx.
func New(ctx context.Context, st *studio.Studio, o Options) (*Site, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	// Long work must not stand in the way of short: each kind has a queue. At
	// least two slots, so that one visitor never has all.
	s := &Site{
		studio: st, options: o, crowd: crowd{under: map[string]int{}}, pace: usualPace,
		sessions: newSessions(o.Now, func(ctx context.Context) (string, error) { return st.Setting(ctx, passwordSetting) }),
		light:    newQueue(max(2, runtime.NumCPU()), 200), heavy: newQueue(max(2, runtime.NumCPU()-1), 200), doors: newQueue(2, 200), moves: newQueue(16, 32),
		tabs: newCache[*shownTab](64 << 20), sounds: newCache[[]byte](192 << 20), abouts: newCache[string](1 << 20), readRigs: newCache[*rig.Rig](8 << 20),
		pages: map[string]*template.Template{}, assets: map[string]asset{},
	}
	var err error
	if s.jobs, err = newJobs(ctx, s.heavy, o.Now, o.Log); err != nil {
		return nil, err
	}
	if err := s.readAssets(); err != nil {
		return nil, err
	}
	return s, s.readTemplates()
}

func (s *Site) readAssets() error {
	types := map[string]string{".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8", ".svg": "image/svg+xml"}
	return fs.WalkDir(assetFiles, "assets", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := assetFiles.ReadFile(name)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(b)
		a := asset{bytes: b, mark: hex.EncodeToString(sum[:6]), mime: types[path.Ext(name)]}
		if path.Ext(name) != ".woff2" {
			if a.packed, err = pack(b); err != nil {
				return err
			}
		}
		s.assets[strings.TrimPrefix(name, "assets/")] = a
		return nil
	})
}

func (s *Site) readTemplates() error {
	funcs := template.FuncMap{
		"asset":   func(name string) string { return "/assets/" + name + "?v=" + s.assets[name].mark },
		"when":    func(t time.Time) string { return when(t, s.options.Now()) },
		"stamp":   func(t time.Time) string { return t.UTC().Format(time.RFC3339) },
		"link":    func(kind studio.Kind, id string) string { return "/" + string(kind) + "s/" + id },
		"upper":   capitalise,
		"numbers": retune.Numbers,
		"signed":  retune.Signed,
		"cents":   cents,
	}
	layout, err := template.New("layout.html").Funcs(funcs).ParseFS(templateFiles, "templates/layout.html")
	if err != nil {
		return err
	}
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return err
	}
	for _, name := range names {
		base := strings.TrimSuffix(path.Base(name), ".html")
		if base == "layout" {
			continue
		}
		t, err := layout.Clone()
		if err == nil {
			t, err = t.ParseFS(templateFiles, name)
		}
		if err != nil {
			return err
		}
		s.pages[base] = t
	}
	return nil
}

// Handler gives the site.
func (s *Site) Handler() http.Handler {
	m := http.NewServeMux()
	m.HandleFunc("GET /{$}", s.answer(s.home))
	m.HandleFunc("GET /assets/{file...}", s.asset)
	m.HandleFunc("GET /signin", s.signInPage)
	m.HandleFunc("POST /signin", s.answer(s.signIn))
	m.HandleFunc("POST /signout", s.signOut)
	m.HandleFunc("POST /look", s.look)

	m.HandleFunc("GET /rigs", s.answer(s.rigsPage))
	m.HandleFunc("GET /rigs/{id}", s.answer(s.rigPage))
	m.HandleFunc("GET /rigs/{id}/retune", s.answer(s.retunePage))
	m.HandleFunc("POST /rigs/{id}/retune", s.answer(s.keepRetuned))
	m.HandleFunc("GET /rigs/{id}/compare", s.answer(s.comparePage))
	m.HandleFunc("GET /rigs/{id}/strings", s.answer(s.stringsPage))
	m.HandleFunc("GET /rigs/{id}/pegs", s.answer(s.pegsPage))
	m.HandleFunc("GET /rigs/{id}/tone", s.answer(s.tone))
	m.HandleFunc("GET /rigs/{id}/card/{name}", s.answer(s.tuningCard))
	m.HandleFunc("POST /rigs/check", s.answer(s.checkRig))
	m.HandleFunc("POST /rigs/edit", s.answer(s.editRig))
	m.HandleFunc("POST /rigs", s.answer(s.addRig))

	m.HandleFunc("GET /grips", s.answer(s.gripsPage))
	m.HandleFunc("POST /grips", s.answer(s.keepGrip))
	m.HandleFunc("POST /grips/name", s.answer(s.nameGrip))
	m.HandleFunc("GET /grips/neck", s.answer(s.gripNeck))
	m.HandleFunc("GET /grips/sound", s.answer(s.hearGrip))
	m.HandleFunc("GET /grips/{id}", s.answer(s.gripPage))

	m.HandleFunc("GET /tunes", s.answer(s.tunesPage))
	m.HandleFunc("POST /tunes", s.answer(s.importTunes))
	m.HandleFunc("GET /tunes/{id}", s.answer(s.tunePage))
	m.HandleFunc("GET /tunes/{id}/shown", s.answer(s.shown))
	m.HandleFunc("GET /tunes/{id}/choices", s.answer(s.choices))
	m.HandleFunc("GET /tunes/{id}/sound", s.answer(s.sound))
	m.HandleFunc("GET /tunes/{id}/words", s.answer(s.words))
	m.HandleFunc("GET /tunes/{id}/rank", s.answer(s.rank))
	m.HandleFunc("POST /tunes/begin", s.answer(s.beginTune))
	m.HandleFunc("POST /tunes/note", s.answer(s.addNote))
	m.HandleFunc("POST /tunes/file", s.answer(s.bringTab))
	m.HandleFunc("POST /tunes/tab", s.answer(s.readTab))
	m.HandleFunc("GET /tunes/{id}/file/{name}", s.answer(s.tuneFile))
	m.HandleFunc("POST /tunes/check", s.answer(s.checkTune))

	m.HandleFunc("GET /lessons", s.answer(s.lessonsPage))
	m.HandleFunc("POST /lessons", s.answer(s.addLesson))
	m.HandleFunc("GET /lessons/{id}", s.answer(s.lessonPage))
	m.HandleFunc("POST /lessons/{id}/make", s.answer(s.makeLesson))
	m.HandleFunc("GET /lessons/{id}/page", s.answer(s.lessonPreview))

	m.HandleFunc("POST /items/{id}/save", s.answer(s.save))
	m.HandleFunc("POST /items/{id}/{move}", s.answer(s.move))
	m.HandleFunc("GET /items/{id}/revisions", s.answer(s.revisionsPage))
	m.HandleFunc("GET /trash", s.answer(s.trashPage))
	m.HandleFunc("GET /licences", s.licencesPage)
	m.HandleFunc("POST /demo/remove", s.answer(s.removeDemo))
	m.HandleFunc("GET /studio/export", s.answer(s.exportStudio))
	m.HandleFunc("POST /studio/import", s.answer(s.importStudio))

	m.HandleFunc("GET /jobs/{id}/progress", s.answer(s.follow))
	m.HandleFunc("GET /jobs/{id}/file", s.answer(s.fetchJob))
	m.HandleFunc("POST /jobs/{id}/cancel", s.answer(s.cancelJob))
	m.HandleFunc("/", s.elsewhere(m))
	return s.recovered(s.paced(s.guarded(s.named(s.signedIn(m)))))
}

// frame is what the layout is given.
type frame struct {
	Title   string
	Section string // "rigs", "grips", "tunes", "lessons" or ""
	Look    string // "light", "dark" or "" for the system's
	Nonce   string
	Signed  bool // visitors sign in, so a way out is shown
	Main    any
}

func (s *Site) page(w http.ResponseWriter, r *http.Request, status int, name, title string, main any) {
	section, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	f := frame{Title: title, Section: section, Nonce: nonce(r.Context()), Main: main, Signed: s.options.Password && name != "signin"}
	if c, err := r.Cookie("look"); err == nil && (c.Value == "light" || c.Value == "dark") {
		f.Look = c.Value
	}
	var b bytes.Buffer
	if err := s.pages[name].Execute(&b, f); err != nil {
		s.options.Log.Error("page", "name", name, "error", err)
		http.Error(w, "This page could not be made, and that is our own fault.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(b.Bytes())
}

func (s *Site) json(w http.ResponseWriter, status int, v any) {
	b, err := json.Marshal(v)
	if err != nil {
		http.Error(w, "our own fault: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(b)
}

// asset serves a built file; its address changes when it does.
func (s *Site) asset(w http.ResponseWriter, r *http.Request) {
	a, ok := s.assets[r.PathValue("file")]
	if !ok {
		s.missing(w, r)
		return
	}
	w.Header().Set("Content-Type", a.mime)
	w.Header().Set("ETag", `"`+a.mark+`"`)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	if a.packed != nil && takesGzip(r) {
		w.Header().Set("Vary", "Accept-Encoding")
		w.Header().Set("Content-Encoding", "gzip")
		w.Header().Set("ETag", `"`+a.mark+`-gzip"`)
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(a.packed))
		return
	}
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(a.bytes))
}

func pack(b []byte) ([]byte, error) {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(b); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func takesGzip(r *http.Request) bool {
	for _, e := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		if strings.TrimSpace(e) == "gzip" {
			return true
		}
	}
	return false
}

// look keeps whether pages are light or dark.
func (s *Site) look(w http.ResponseWriter, r *http.Request) {
	c := &http.Cookie{Name: "look", Value: r.FormValue("look"), Path: "/", MaxAge: 365 * 24 * 3600, HttpOnly: true, SameSite: http.SameSiteStrictMode}
	if c.Value != "light" && c.Value != "dark" {
		c.Value, c.MaxAge = "", -1
	}
	http.SetCookie(w, c)
	w.WriteHeader(http.StatusNoContent)
}

// attachment names a file that the browser should keep rather than show.
func attachment(w http.ResponseWriter, name, kind string) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	w.Header().Set("Cache-Control", "no-store")
}

// sentence makes a message of ours into one for a page.
func sentence(s string) string {
	// A file's name at the head stays as the file is called.
	if head, _, _ := strings.Cut(s, " "); !strings.ContainsAny(head, ".:") {
		s = capitalise(s)
	}
	if s != "" && !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

func capitalise(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// when says a time as people do.
func when(t, now time.Time) string {
	t, now = t.Local(), now.Local()
	days := int(midnight(now).Sub(midnight(t)).Hours()/24 + 0.5)
	switch {
	case now.Sub(t) < time.Minute:
		return "just now"
	case days == 0:
		return "today at " + t.Format("15:04")
	case days == 1:
		return "yesterday at " + t.Format("15:04")
	case days < 7:
		return t.Format("Monday at 15:04")
	}
	return t.Format("2 January 2006")
}

func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}

// Furnish puts what comes with the program into a studio that has never had it.
func Furnish(ctx context.Context, st *studio.Studio) error {
	done, err := st.Setting(ctx, "furnished")
	if err != nil || done != "" {
		return err
	}
	demos, err := lesson.Demos()
	if err != nil {
		return err
	}
	var first *studio.Item
	// The last added is shown first, so the list is walked backwards.
	for i := len(demos) - 1; i >= 0; i-- {
		d := demos[i]
		first, err = st.Add(ctx, studio.Tune, studio.Content{Title: d.Tune.Title, Body: d.ABC}, true)
		if err != nil {
			return err
		}
	}
	body, err := json.Marshal(report.LessonPlan{Tune: first.ID, Rigs: []string{"reso-open-g", "tricone-open-d", "lap6-c6"}, Words: demoWords})
	if err != nil {
		return err
	}
	if _, err := st.Add(ctx, studio.Lesson, studio.Content{Title: first.Title + ", for the evening class", Body: string(body)}, true); err != nil {
		return err
	}
	return st.PutSetting(ctx, "furnished", "1")
}

const demoWords = `Harbour Street evening class, week one.

Read the tune through once without the instrument and tap the beat. Then play the first part slowly, with the bar straight across and your eyes over the fret line; speed comes later by itself.

Everyone has the same tune on their own instrument, so we can play together at the end.`
