package workbench

import (
	"cmp"
	"encoding/json"
	"path"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/notation/abc"
	"lapwright/report"
	"lapwright/rig"
)

// ReadTyped reads a tab that was typed for a rig, and says how to keep it: the
// tune that it plays as text, and the wishes that make the arranger play it so.
func ReadTyped(text string, g *rig.Rig) *report.TypedTab {
	t, guesses, err := notation.ReadTab([]byte(text), "tab", g)
	said := report.Faults(guesses)
	if err != nil {
		said = append(said, report.Errors(err)...)
		return &report.TypedTab{Said: report.Said{Said: said}}
	}
	body, lost := abc.Write(t.Tune)
	for _, f := range lost {
		said = append(said, report.Fault{Line: 1, Column: 1, Text: f.Error()})
	}
	wishes := wishesOf(t)
	return &report.TypedTab{Said: report.Said{Said: said}, Body: string(body), Wishes: &wishes, Name: g.Name}
}

// BringTab returns the tune to keep for a file of tab text, for the rig that ref
// names, with what was guessed in reading it or is lost in keeping it.
func BringTab(text, name, ref string, g *rig.Rig) (studio.Content, fault.List, error) {
	var none studio.Content
	t, said, err := notation.ReadTab([]byte(text), name, g)
	if err != nil {
		return none, nil, err
	}
	t.Tune.Title = cmp.Or(strings.TrimSpace(t.Tune.Title), strings.TrimSuffix(path.Base(name), path.Ext(name)), untitled)
	body, lost := abc.Write(t.Tune)
	extra, err := json.Marshal(report.TuneSettings{Rig: ref, Wishes: map[string]report.Wishes{g.Name: wishesOf(t)}})
	return studio.Content{Title: TitleOf(t.Tune.Title), Body: string(body), Extra: extra}, append(said, lost...), err
}
