package web

import (
	"cmp"
	"context"
	"encoding/json"
	"io"
	"mime/multipart"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lapwright/feel"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
	"lapwright/sound"
)

// tunePages list tunes, show the workbench for one, and take new ones in.
type tunePages struct {
	studio *studio.Studio
	shelf  *shelf
	lists  *lists
	light  *queue
}

// tunesModel is the tunes, and what a new one can be begun in.
type tunesModel struct {
	Rows   []row
	Rigs   []rigOption
	Rig    string // its ref, to begin one on
	Came   int    // how many were brought just now
	Keys   []string
	Meters []string
}

func (p tunePages) list(r *http.Request) (page, error) {
	rows, err := p.lists.kind(r.Context(), studio.Tune)
	if err != nil {
		return page{}, err
	}
	rigs, err := p.shelf.options(r.Context())
	came, _ := strconv.Atoi(r.FormValue("came")) // else none is told
	return page{"tunes", "Tunes", tunesModel{rows, rigs, r.FormValue("rig"), came, workbench.BeginKeys, workbench.BeginMeters}}, err
}

// tuneModel is the workbench for one tune.
type tuneModel struct {
	Item  *studio.Item
	Rigs  []rigOption
	Extra report.TuneSettings
	Gone  *goneRig // nil when its rig can be chosen
	Left  []string // settings that can't be read
	Keys  []string
	Feels []string
	// Phrases are those that fit it: intros, turnarounds, endings.
	Phrases [3][]string
	Layouts []workbench.LayoutChoice
	Caution string
	State   report.Item // what the page's script starts from
}

var keyNames = []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

func (p tunePages) one(r *http.Request) (page, error) {
	it, err := askedItem(p.studio, r, studio.Tune)
	if err != nil {
		return page{}, err
	}
	x, left, err := workbench.ReadSettings(it)
	if err != nil {
		return page{}, err
	}
	rigs, err := p.shelf.options(r.Context())
	if err != nil {
		return page{}, err
	}
	m, err := p.model(r.Context(), it, x, rigs)
	m.Left = left
	return page{"tune", it.Title, m}, err
}

// model returns what a tune's page shows of it: on the first rig when it asks for
// none.
func (p tunePages) model(ctx context.Context, it *studio.Item, x report.TuneSettings, rigs []rigOption) (m tuneModel, err error) {
	x.Rig = cmp.Or(x.Rig, rigs[0].Ref)
	m = tuneModel{Item: it, Rigs: rigs, Extra: x, Keys: keyNames, Feels: feel.Names(), Layouts: workbench.LayoutChoices(), Caution: sound.Caution, State: stateOf(it)}
	m.Phrases = workbench.Phrases(it.Body)
	if !slices.ContainsFunc(rigs, func(c rigOption) bool { return c.Ref == x.Rig }) {
		m.Gone = &goneRig{ID: x.Rig, Instead: rigs[0].Title}
		m.Gone.Title, err = workbench.TrashedRig(ctx, p.studio, x.Rig)
	}
	if err != nil {
		return m, err
	}
	m.State.Extra, err = json.Marshal(x)
	return m, err
}

// goneRig is a rig that a tune asks for and that can't be chosen any more.
type goneRig struct {
	ID, Title string // Title is "" when it is not in the trash either
	Instead   string // the title of the one that is shown
}

// begin keeps a tune that has a head and no notes, and shows an empty neck to
// write it on.
func (p tunePages) begin(r *http.Request) (string, error) {
	g, err := p.shelf.asked(r)
	if err != nil {
		return "", err
	}
	c, err := workbench.Begin(r.FormValue("title"), r.FormValue("key"), r.FormValue("meter"), r.FormValue("rig"), g)
	if err != nil {
		return "", err
	}
	it, err := p.studio.Add(r.Context(), studio.Tune, c, false)
	if err != nil {
		return "", err
	}
	return "/tunes/" + it.ID + "?write=neck", nil
}

// bring takes the tunes of dropped files, or a new one that was typed. Of several, a
// script may ask what they are first and then take some.
func (p tunePages) bring(w http.ResponseWriter, r *http.Request) error {
	tunes, err := p.readTunes(r)
	if err != nil {
		return err
	}
	if r.FormValue("ask") != "" && len(tunes.Pieces) > 1 {
		writeJSON(w, http.StatusOK, tunes.Offer())
		return nil
	}
	if err := tunes.Choose(r.Form["take"]); err != nil {
		return err
	}
	kept, err := tunes.Keep(r.Context(), p.studio)
	if err == nil && wantsPage(r) {
		http.Redirect(w, r, kept.Go, http.StatusSeeOther)
	} else if err == nil {
		writeJSON(w, http.StatusCreated, kept)
	}
	return err
}

// readTunes reads the tunes that a form brings.
func (p tunePages) readTunes(r *http.Request) (*workbench.Import, error) {
	files, err := brought(r)
	if err != nil {
		return nil, err
	}
	tunes := &workbench.Import{Notes: []string{}}
	for _, f := range files {
		if err := p.light.do(r.Context(), func(context.Context) error { return tunes.Read(f.text, f.name) }); err != nil {
			return nil, err
		}
	}
	return tunes, tunes.Check()
}

// file is a file that a form brings, or a text that was typed into one.
type file struct {
	name string
	text []byte
}

// brought reads the files and the text of a form.
func brought(r *http.Request) ([]file, error) {
	out, err := filesOf(r)
	if err != nil {
		return nil, err
	}
	if text := r.FormValue("text"); text != "" {
		out = append(out, file{"typed.abc", []byte(text)})
	}
	if len(out) == 0 {
		return nil, errNoFile
	}
	return out, nil
}

// filesOf reads the files of a form, none when it can't hold any.
func filesOf(r *http.Request) ([]file, error) {
	if !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		return nil, nil
	}
	if err := readFiles(r, maxForm); err != nil {
		return nil, err
	}
	defer r.MultipartForm.RemoveAll()
	var out []file
	for _, h := range r.MultipartForm.File["file"] {
		b, err := readPart(h)
		if err != nil {
			return nil, err
		}
		out = append(out, file{h.Filename, b})
	}
	return out, nil
}

func readPart(h *multipart.FileHeader) ([]byte, error) {
	f, err := h.Open()
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}
