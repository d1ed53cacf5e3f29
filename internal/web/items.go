package web

import (
	"context"
	"net/http"
	"net/url"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
)

// itemPages keep any item's revisions and move along them.
type itemPages struct{ studio *studio.Studio }

// stateOf is what a page's script needs to go on from a revision.
func stateOf(it *studio.Item) report.Item {
	return report.Item{
		ID: it.ID, Revision: it.Revision, Title: it.Title, Body: it.Body, Extra: it.Extra,
		CanUndo: it.Parent > 0, CanRedo: it.CanRedo, Why: it.Why,
	}
}

// save keeps a new revision of an item.
func (p itemPages) save(r *http.Request) (any, error) {
	ask, err := readJSON[workbench.Change](r)
	if err != nil {
		return nil, err
	}
	id := r.PathValue("id")
	it, err := p.studio.Get(r.Context(), id)
	if err != nil {
		return nil, err
	}
	c, err := ask.Of(it)
	if err != nil {
		return nil, err
	}
	it, err = p.studio.Save(r.Context(), id, ask.Base, c, ask.Reason())
	if err != nil {
		return nil, err
	}
	return stateOf(it), nil
}

// step is a move along an item's revisions, or into the trash and out of it.
type step struct {
	report.AskedStep
	Tune string `json:"-"` // where what is recovered was missed; the form goes on there
}

// askedStep reads a step from a page's form or its script.
func askedStep(r *http.Request) (s step, fromForm bool, err error) {
	if r.Header.Get("Content-Type") == "application/json" {
		s, err = readJSON[step](r)
		return s, false, err
	}
	s.Tune = r.FormValue("tune")
	for name, to := range map[string]*int{"base": &s.Base, "number": &s.Number} {
		if r.FormValue(name) != "" {
			if *to, err = readNumber(r, name); err != nil {
				return s, true, err
			}
		}
	}
	return s, true, nil
}

// move is undo, redo, restore, discard, recover and forget. A form goes on to
// the page where its step leads, a script is told where the item is now.
func (p itemPages) move(w http.ResponseWriter, r *http.Request) error {
	ask, fromForm, err := askedStep(r)
	if err != nil {
		return err
	}
	it, to, err := p.take(r.Context(), r.PathValue("move"), r.PathValue("id"), ask)
	switch {
	case err != nil:
		return err
	case fromForm && to != "":
		http.Redirect(w, r, to, http.StatusSeeOther)
	case it == nil:
		w.WriteHeader(http.StatusNoContent)
	default:
		writeJSON(w, http.StatusOK, stateOf(it))
	}
	return nil
}

// take takes a step. It gives the item, nil when it is gone for good, and the
// page to go on to, "" to stay.
func (p itemPages) take(ctx context.Context, move, id string, s step) (it *studio.Item, to string, err error) {
	switch move {
	case "undo":
		it, err = p.studio.Undo(ctx, id, s.Base)
	case "redo":
		it, err = p.studio.Redo(ctx, id, s.Base)
	case "restore":
		if it, err = p.studio.Restore(ctx, id, s.Base, s.Number); err == nil {
			to = "/" + string(it.Kind) + "s/" + id
		}
	case "discard":
		if it, err = p.studio.Get(ctx, id); err == nil {
			to = "/" + string(it.Kind) + "s"
			err = p.studio.Discard(ctx, id)
		}
	case "recover":
		if err = p.studio.Recover(ctx, id); err == nil {
			it, err = p.studio.Get(ctx, id)
			to = "/trash"
			if s.Tune != "" {
				to = "/tunes/" + url.PathEscape(s.Tune)
			}
		}
	case "forget":
		err, to = p.studio.Forget(ctx, id), "/trash"
	default:
		err = errNowhere
	}
	return it, to, err
}

// revisionsModel is an item with all its revisions, newest first.
type revisionsModel struct {
	Item      *studio.Item
	Revisions []*studio.Heading
}

func (p itemPages) revisions(r *http.Request) (page, error) {
	list, err := p.studio.Revisions(r.Context(), r.PathValue("id"))
	if err != nil {
		return page{}, err
	}
	it, err := p.studio.Get(r.Context(), r.PathValue("id"))
	if err != nil {
		return page{}, err
	}
	return page{"revisions", "Revisions of " + it.Title, revisionsModel{it, list}}, nil
}

func (p itemPages) trash(r *http.Request) (page, error) {
	list, err := p.studio.Trash(r.Context())
	return page{"trash", "Trash", list}, err
}
