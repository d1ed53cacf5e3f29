package web

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"strconv"

	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/rig"
)

// home is the first page: recent work and one obvious thing to do.
func (s *Site) home(w http.ResponseWriter, r *http.Request) error {
	recent, err := s.studio.Recent(r.Context(), 8)
	if err != nil {
		return err
	}
	rows, err := s.rows(r.Context(), recent)
	if err != nil {
		return err
	}
	var demos, work []row
	furnished := false
	for _, it := range rows {
		furnished = furnished || it.Demo
		if it.Demo && it.Kind == studio.Tune && it.Revision == 1 {
			demos = append(demos, it)
		} else {
			work = append(work, it)
		}
	}
	s.page(w, r, http.StatusOK, "home", "Lapwright", map[string]any{"Demos": demos, "Recent": work, "HasDemo": furnished, "Endings": notation.Endings() + ", .txt"})
	return nil
}

// save keeps a new revision of an item.
func (s *Site) save(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Base  int             `json:"base"`
		Title *string         `json:"title"`
		Body  *string         `json:"body"`
		Extra json.RawMessage `json:"extra"`
		Why   string          `json:"why"`
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	id := r.PathValue("id")
	it, err := s.studio.Get(r.Context(), id)
	if err != nil {
		return err
	}
	c := it.Content
	if ask.Title != nil {
		c.Title = *ask.Title
	}
	if ask.Body != nil {
		c.Body = *ask.Body
	}
	if len(ask.Extra) > 0 {
		c.Extra = ask.Extra
	}
	// A rig goes by the title in its own text.
	if it.Kind == studio.Rig && ask.Body != nil {
		if parsed, err := rig.Parse([]byte(c.Body), "rig"); err == nil {
			c.Title = parsed.Title
		}
	}
	if err := keepable(it.Kind, c); err != nil {
		return err
	}
	why := ask.Why
	if why == "" || len(why) > 200 {
		why = "written"
	}
	if it, err = s.studio.Save(r.Context(), id, ask.Base, c, why); err != nil {
		return err
	}
	s.json(w, http.StatusOK, stateOf(it))
	return nil
}

// stateOf is what a page's script needs to go on from a revision.
func stateOf(it *studio.Item) report.Item {
	return report.Item{
		ID: it.ID, Revision: it.Revision, Title: it.Title, Body: it.Body, Extra: it.Extra,
		CanUndo: it.Parent > 0, CanRedo: it.CanRedo, Why: it.Why,
	}
}

// move is undo, redo, restore, discard, recover and forget.
func (s *Site) move(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Base   int `json:"base"`
		Number int `json:"number"`
	}
	page := r.Header.Get("Content-Type") != "application/json"
	if !page {
		if err := readJSON(r, &ask); err != nil {
			return err
		}
	} else {
		for name, to := range map[string]*int{"base": &ask.Base, "number": &ask.Number} {
			if r.FormValue(name) == "" {
				continue
			}
			n, err := readNumber(r, name)
			if err != nil {
				return err
			}
			*to = n
		}
	}
	ctx, id := r.Context(), r.PathValue("id")
	var it *studio.Item
	var err error
	to := ""
	switch r.PathValue("move") {
	case "undo":
		it, err = s.studio.Undo(ctx, id, ask.Base)
	case "redo":
		it, err = s.studio.Redo(ctx, id, ask.Base)
	case "restore":
		if it, err = s.studio.Restore(ctx, id, ask.Base, ask.Number); err == nil {
			to = "/" + string(it.Kind) + "s/" + id
		}
	case "discard":
		if it, err = s.studio.Get(ctx, id); err == nil {
			to = "/" + string(it.Kind) + "s"
			err = s.studio.Discard(ctx, id)
		}
	case "recover":
		if err = s.studio.Recover(ctx, id); err == nil {
			it, err = s.studio.Get(ctx, id)
			to = "/trash"
			if tune := r.FormValue("tune"); page && tune != "" { // it was missed there
				to = "/tunes/" + url.PathEscape(tune)
			}
		}
	case "forget":
		err, to = s.studio.Forget(ctx, id), "/trash"
	default:
		return errNowhere
	}
	if err != nil {
		return err
	}
	if page && to != "" {
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	if it == nil {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	s.json(w, http.StatusOK, stateOf(it))
	return nil
}

func (s *Site) revisionsPage(w http.ResponseWriter, r *http.Request) error {
	list, err := s.studio.Revisions(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	it, err := s.studio.Get(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	s.page(w, r, http.StatusOK, "revisions", "Revisions of "+it.Title, map[string]any{"Item": it, "Revisions": list})
	return nil
}

func (s *Site) trashPage(w http.ResponseWriter, r *http.Request) error {
	list, err := s.studio.Trash(r.Context())
	if err != nil {
		return err
	}
	s.page(w, r, http.StatusOK, "trash", "Trash", list)
	return nil
}

func (s *Site) removeDemo(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.studio.DiscardDemo(r.Context()); err != nil {
		return err
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// exportStudio gives the whole studio. It is written to disk first: whoever
// fetches it slowly must not hold the database open meanwhile.
func (s *Site) exportStudio(w http.ResponseWriter, r *http.Request) error {
	return s.moves.do(r.Context(), func(ctx context.Context) error {
		f, err := os.CreateTemp(s.jobs.dir, "studio-*")
		if err != nil {
			return errNoRoom
		}
		defer os.Remove(f.Name())
		defer f.Close()
		if err := s.heavy.do(ctx, func(ctx context.Context) error { return s.studio.Export(ctx, f) }); err != nil {
			return err
		}
		size, err := f.Seek(0, io.SeekCurrent)
		if err == nil {
			_, err = f.Seek(0, io.SeekStart)
		}
		if err != nil {
			return errNoRoom
		}
		attachment(w, "lapwright-"+s.options.Now().Format("2006-01-02")+".zip", "application/zip")
		w.Header().Set("Content-Length", strconv.FormatInt(size, 10))
		io.Copy(w, f) // what does not arrive is seen to be broken off by its length
		return nil
	})
}

func (s *Site) importStudio(w http.ResponseWriter, r *http.Request) error {
	return s.moves.do(r.Context(), func(ctx context.Context) error {
		if err := readFiles(r, 8<<20); err != nil {
			return err
		}
		defer r.MultipartForm.RemoveAll()
		f, h, err := r.FormFile("file")
		if err != nil {
			return errNoFile
		}
		defer f.Close()
		if _, err := s.studio.Import(ctx, f, h.Size); err != nil {
			return err
		}
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	})
}
