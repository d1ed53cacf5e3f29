package web

import (
	"context"
	"net/http"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/rig"
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

// typedText is a text of a page's editor.
type typedText struct {
	Text string `json:"text"`
	Rig  string `json:"rig"` // a ref, of a tab's rig
}

// tab reads a tab that was typed, and says how to keep it.
func (a writingAnswers) tab(r *http.Request) (any, error) {
	ask, err := readJSON[typedText](r)
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
	ask, err := readJSON[typedText](r)
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

// droppedTab is a dropped file of tab text.
type droppedTab struct {
	Name string `json:"name"` // of the file
	Text string `json:"text"`
	Rig  string `json:"rig"`  // a ref; "" for the rig that the text names
	Keep bool   `json:"keep"` // although there are guesses
}

// file takes a dropped file of tab text. It asks for the rig when the text names
// none that is here, and tells its guesses before anything is kept.
func (a writingAnswers) file(w http.ResponseWriter, r *http.Request) error {
	ask, err := readJSON[droppedTab](r)
	if err != nil {
		return err
	}
	out, err := a.bring(r.Context(), ask)
	if err != nil {
		return err
	}
	status := http.StatusOK
	if out.Go != "" {
		status = http.StatusCreated
	}
	writeJSON(w, status, out)
	return nil
}

// bring keeps a dropped tab, or says what is to be asked first.
func (a writingAnswers) bring(ctx context.Context, ask droppedTab) (*report.BroughtTab, error) {
	rigs, err := a.shelf.all(ctx)
	if err != nil {
		return nil, err
	}
	out := &report.BroughtTab{Rigs: workbench.RigTitles(rigs), Rig: ask.Rig, Said: []report.Fault{}}
	if name, ok := notation.NamedRig([]byte(ask.Text)); ok && out.Rig == "" {
		out.Rig = workbench.NamedRig(rigs, name)
	}
	if out.Rig == "" {
		return out, nil
	}
	g, err := a.shelf.find(ctx, out.Rig)
	if err != nil {
		return nil, err
	}
	return out, a.keep(ctx, ask, g, out)
}

// keep keeps a dropped tab for its rig when it can be read and nothing was
// guessed, or is to be kept all the same; out tells what came of it.
func (a writingAnswers) keep(ctx context.Context, ask droppedTab, g *rig.Rig, out *report.BroughtTab) error {
	var said fault.List
	c, err := queued(ctx, a.light, func(context.Context) (c studio.Content, err error) {
		c, said, err = workbench.BringTab(ask.Text, ask.Name, out.Rig, g)
		return c, err
	})
	switch {
	case notTheirs(err):
		return err
	case err != nil:
		out.Said = sentences(report.Errors(err))
		return nil
	case len(said) > 0 && !ask.Keep:
		out.Said, out.Readable = sentences(report.Faults(said)), true
		return nil
	}
	it, err := a.studio.Add(ctx, studio.Tune, c, false)
	if err == nil {
		out.Go = "/tunes/" + it.ID
	}
	return err
}
