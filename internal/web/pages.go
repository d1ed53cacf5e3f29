package web

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"

	"lapwright/internal/review"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/retune"
	"lapwright/say"
)

//go:embed templates/*.html
var templateFiles embed.FS

// pages makes answers of what handlers give: pages, JSON, the way on, or what
// went wrong.
type pages struct {
	templates map[string]*template.Template
	away      bool // visitors sign in
	log       *slog.Logger
}

// page is what a handler wants shown: a template with its model.
type page struct {
	name  string
	title string
	model any
}

func newPages(files assets, o Options) (*pages, error) {
	p := &pages{map[string]*template.Template{}, o.Password, o.Log}
	funcs := template.FuncMap{
		"asset":   files.address,
		"when":    func(t time.Time) string { return when(t, o.Now()) },
		"stamp":   func(t time.Time) string { return t.UTC().Format(time.RFC3339) },
		"link":    func(kind studio.Kind, id string) string { return "/" + string(kind) + "s/" + id },
		"upper":   say.Capital,
		"kind":    workbench.KindName,
		"drawing": func(svg string) template.HTML { return template.HTML(svg) }, // our own, in which every word is escaped
		"count":   say.Count,
		"inc":     func(i int) int { return i + 1 },
		"numbers": retune.Numbers,
		"signed":  retune.Signed,
		"cents":   cents,
		"notes":   notes,
	}
	layout, err := template.New("layout.html").Funcs(funcs).ParseFS(templateFiles, "templates/layout.html", "templates/rows.html")
	if err == nil {
		layout, err = layout.Parse(review.Parts)
	}
	if err != nil {
		return nil, err
	}
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		base := strings.TrimSuffix(path.Base(name), ".html")
		if base == "layout" || base == "rows" { // parts of every page
			continue
		}
		t, err := layout.Clone()
		if err == nil {
			t, err = t.ParseFS(templateFiles, name)
		}
		if err != nil {
			return nil, err
		}
		p.templates[base] = t
	}
	return p, nil
}

// frame is what the layout is given.
type frame struct {
	Title   string
	Section string // "rigs", "grips", "tunes", "lessons", "takes" or ""
	Look    string // "light", "dark" or "" for the system's
	Nonce   string
	Signed  bool // visitors sign in, so a way out is shown
	Main    any
}

// listens names the pages that hear somebody play, by the core in a worker.
var listens = map[string]bool{"tune": true, "rig": true, "pegs": true, "takes": true}

// show answers with a page.
func (p *pages) show(w http.ResponseWriter, r *http.Request, status int, v page) {
	section, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	f := frame{Title: v.title, Section: section, Look: lookOf(r), Nonce: nonce(r.Context()), Main: v.model, Signed: p.away && v.name != "signin"}
	var b bytes.Buffer
	if err := p.templates[v.name].Execute(&b, f); err != nil {
		p.log.Error("page", "name", v.name, "error", err)
		http.Error(w, "This page could not be made, and that is our own fault.", http.StatusInternalServerError)
		return
	}
	if listens[v.name] {
		w.Header().Set("Content-Security-Policy", fmt.Sprintf(policy, runsProgram, f.Nonce))
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(b.Bytes())
}

// shows makes a handler of one that gives a page.
func (p *pages) shows(h func(*http.Request) (page, error)) http.HandlerFunc {
	return p.answer(func(w http.ResponseWriter, r *http.Request) error {
		v, err := h(r)
		if err == nil {
			p.show(w, r, http.StatusOK, v)
		}
		return err
	})
}

// answers makes a handler of one that gives what is to be told a script.
func (p *pages) answers(h func(*http.Request) (any, error)) http.HandlerFunc {
	return p.answer(func(w http.ResponseWriter, r *http.Request) error {
		v, err := h(r)
		if err == nil {
			writeJSON(w, http.StatusOK, v)
		}
		return err
	})
}

// leads makes a handler of one that does something and gives the address of the
// page to go on to.
func (p *pages) leads(h func(*http.Request) (string, error)) http.HandlerFunc {
	return p.answer(func(w http.ResponseWriter, r *http.Request) error {
		to, err := h(r)
		if err == nil {
			http.Redirect(w, r, to, http.StatusSeeOther)
		}
		return err
	})
}

// answer makes a handler of one that gives back what went wrong, before it has
// answered anything itself: it is answered here.
func (p *pages) answer(h func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := readForm(r)
		if err == nil {
			err = h(w, r)
		}
		if err != nil {
			p.trouble(w, r, err)
		}
	}
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	b, err := json.Marshal(v)
	if err != nil {
		http.Error(w, "our own fault: "+err.Error(), http.StatusInternalServerError)
		return
	}
	writeBytes(w, status, "application/json", b)
}

// writeBytes answers with what is made anew each time.
func writeBytes(w http.ResponseWriter, status int, kind string, b []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(b)
}

// attachment names a file that the browser should keep rather than show.
func attachment(w http.ResponseWriter, name, kind string) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	w.Header().Set("Cache-Control", "no-store")
}

// lookOf returns how a visitor wants pages: "light", "dark" or "" as the system
// has it.
func lookOf(r *http.Request) string {
	if c, err := r.Cookie("look"); err == nil && (c.Value == "light" || c.Value == "dark") {
		return c.Value
	}
	return ""
}

// keepLook keeps whether pages are light or dark.
func keepLook(w http.ResponseWriter, r *http.Request) error {
	c := &http.Cookie{Name: "look", Value: r.FormValue("look"), Path: "/", MaxAge: 365 * 24 * 3600, HttpOnly: true, SameSite: http.SameSiteStrictMode}
	if c.Value != "light" && c.Value != "dark" {
		c.Value, c.MaxAge = "", -1
	}
	http.SetCookie(w, c)
	w.WriteHeader(http.StatusNoContent)
	return nil
}
