package web

import (
	"context"
	"net/http"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
)

// writingAnswers read what is being written, typed, touched or dropped.
type writingAnswers struct {
	studio *studio.Studio
	shelf  *shelf
	light  *queue
}

// note adds the note under a touch of the neck to a tune's text.
func (a writingAnswers) note(r *http.Request) (any, error) {
	ask, err := readJSON[workbench.Touch](r)
	if err != nil {
		return nil, err
	}
	g, err := a.shelf.find(r.Context(), ask.Rig)
	if err != nil {
		return nil, err
	}
	text, err := queued(r.Context(), a.light, func(context.Context) (string, error) { return ask.On(g) })
	return report.Text{Text: text}, err
}

// tab reads a tab that was typed, and says how to keep it.
func (a writingAnswers) tab(r *http.Request) (any, error) {
	ask, err := readJSON[report.AskedText](r)
	if err != nil {
		return nil, err
	}
	g, err := a.shelf.find(r.Context(), ask.Rig)
	if err != nil {
		return nil, err
	}
	out, err := queued(r.Context(), a.light, func(context.Context) (*report.TypedTab, error) { return workbench.ReadTyped(ask.Text, g), nil })
	if err != nil {
		return nil, err
	}
	sentences(out.Said.Said)
	return out, nil
}

// check reads a tune's text and says what is wrong in it, without keeping it.
func (a writingAnswers) check(r *http.Request) (any, error) {
	ask, err := readJSON[report.AskedText](r)
	if err != nil {
		return nil, err
	}
	doubts, err := queued(r.Context(), a.light, func(context.Context) (list fault.List, err error) {
		_, list, err = workbench.ReadTune(ask.Text)
		return list, err
	})
	if notTheirs(err) {
		return nil, err
	}
	out := report.Said{Said: report.Faults(doubts)}
	if err != nil {
		out.Said = append(out.Said, report.Errors(err)...)
	}
	sentences(out.Said)
	return out, nil
}

// file takes a dropped file of tab text. It asks for the rig when the text names
// none that is here, and tells its guesses before anything is kept.
func (a writingAnswers) file(w http.ResponseWriter, r *http.Request) error {
	ask, err := readJSON[workbench.DroppedTab](r)
	if err != nil {
		return err
	}
	rigs, err := a.shelf.all(r.Context())
	if err != nil {
		return err
	}
	out, err := queued(r.Context(), a.light, func(ctx context.Context) (*report.BroughtTab, error) { return ask.Bring(ctx, a.studio, rigs) })
	if err != nil {
		return err
	}
	sentences(out.Said)
	status := http.StatusOK
	if out.Go != "" {
		status = http.StatusCreated
	}
	writeJSON(w, status, out)
	return nil
}
