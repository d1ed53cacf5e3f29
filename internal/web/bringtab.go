package web

import (
	"cmp"
	"context"
	"encoding/json"
	"net/http"
	"path"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/notation/abc"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/tab"
)

// bringTab takes a dropped file of tab text. It asks for the rig when the text
// names none that is here, and tells its guesses before anything is kept.
func (s *Site) bringTab(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Name string `json:"name"` // of the file
		Text string `json:"text"`
		Rig  string `json:"rig"`  // "" for the one that the text names
		Keep bool   `json:"keep"` // although there are guesses
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	rigs, err := s.rigChoices(r.Context())
	if err != nil {
		return err
	}
	ref := ask.Rig
	if ref == "" {
		ref = s.rigNamed(r.Context(), rigs, ask.Text)
	}
	out := report.BroughtTab{Rigs: choiceTitles(rigs), Rig: ref, Said: []report.Fault{}}
	if ref == "" {
		s.json(w, http.StatusOK, out)
		return nil
	}
	g, err := s.findRig(r.Context(), ref)
	if err != nil {
		return err
	}
	var t *tab.Tab
	var body []byte
	said := []report.Fault{}
	err = s.light.do(r.Context(), func(context.Context) error {
		var faults fault.List
		var err error
		if t, faults, err = notation.ReadTab([]byte(ask.Text), ask.Name, g); err != nil {
			return err
		}
		said = append(said, remarks(faults)...)
		t.Tune.Title = cmp.Or(strings.TrimSpace(t.Tune.Title), strings.TrimSuffix(path.Base(ask.Name), path.Ext(ask.Name)), "Untitled")
		var lost fault.List
		body, lost = abc.Write(t.Tune)
		said = append(said, remarks(lost)...)
		return nil
	})
	if notTheirs(err) {
		return err
	}
	if err != nil {
		out.Said = append(said, errorsOf(err)...)
		s.json(w, http.StatusOK, out)
		return nil
	}
	if len(said) > 0 && !ask.Keep {
		out.Said, out.Readable = said, true
		s.json(w, http.StatusOK, out)
		return nil
	}
	extra, err := json.Marshal(report.TuneSettings{Rig: ref, Wishes: map[string]report.Wishes{g.Name: wishesOf(t)}})
	if err != nil {
		return err
	}
	title := t.Tune.Title
	if len(title) > studio.MaxTitle {
		title = strings.ToValidUTF8(title[:studio.MaxTitle], "")
	}
	it, err := s.studio.Add(r.Context(), studio.Tune, studio.Content{Title: title, Body: string(body), Extra: extra}, false)
	if err != nil {
		return err
	}
	out.Go = "/tunes/" + it.ID
	s.json(w, http.StatusCreated, out)
	return nil
}

// rigNamed gives the Ref of the rig that a tab names at its head, built in or
// the teacher's own; "" when it names none that is here.
func (s *Site) rigNamed(ctx context.Context, rigs []rigChoice, text string) string {
	name, ok := notation.NamedRig([]byte(text))
	if !ok {
		return ""
	}
	if _, ok := rig.Builtin(name); ok {
		return name
	}
	for _, c := range rigs {
		if g, err := s.findRig(ctx, c.Ref); err == nil && g.Name == name {
			return c.Ref
		}
	}
	return ""
}

func choiceTitles(rigs []rigChoice) []report.RigTitle {
	out := []report.RigTitle{}
	for _, c := range rigs {
		out = append(out, report.RigTitle{Ref: c.Ref, Title: c.Title + ", " + c.Tuning})
	}
	return out
}

// remarks gives what was guessed in reading a tab, or left out in writing it.
func remarks(list fault.List) []report.Fault {
	out := []report.Fault{}
	for _, f := range list {
		out = append(out, faultOf(f))
	}
	return out
}
