package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// Keys and meters that a new tune can be begun in; its text can say any other.
var (
	beginKeys   = []string{"C", "G", "D", "A", "E", "B", "F", "Bb", "Eb", "Ab", "Am", "Em", "Bm", "F#m", "Dm", "Gm", "Cm", "Fm"}
	beginMeters = []string{"4/4", "3/4", "2/4", "2/2", "6/8", "9/8", "12/8"}
)

// beginTune keeps a tune that has a head and no notes, and shows an empty neck
// to write it on.
func (s *Site) beginTune(w http.ResponseWriter, r *http.Request) error {
	title, key, meter := strings.Join(strings.Fields(r.FormValue("title")), " "), r.FormValue("key"), r.FormValue("meter")
	g, err := s.findRig(r.Context(), r.FormValue("rig"))
	if err == nil {
		switch {
		case title == "" || len(title) > studio.MaxTitle:
			err = &fault.Fault{Msg: fmt.Sprintf("a title of 1 to %d letters is needed", studio.MaxTitle)}
		case !slices.Contains(beginKeys, key):
			err = &fault.Fault{Msg: fmt.Sprintf("%q is not one of the keys to begin in", key)}
		case !slices.Contains(beginMeters, meter):
			err = &fault.Fault{Msg: fmt.Sprintf("%q is not one of the meters to begin in", meter)}
		}
	}
	if err != nil {
		return err
	}
	// A per cent sign begins a comment in ABC, a backslash names a sign (ABC 2.1,
	// sections 3.2 and 8.2).
	text := strings.NewReplacer(`\`, `\\`, `%`, `\%`, `&`, `\&`).Replace(title)
	body := "X:1\nT:" + text + "\nM:" + meter + "\nL:1/8\nK:" + key + "\n"
	if t := blankTune(body); t == nil || t.Title != title {
		return &fault.Fault{Msg: fmt.Sprintf("the title %q can't be written in a tune", title)}
	}
	// What is touched should sound as it was touched: the tune is not moved.
	as := 0
	extra, err := json.Marshal(report.TuneSettings{Rig: r.FormValue("rig"), Wishes: map[string]report.Wishes{g.Name: {Octave: &as}}})
	if err != nil {
		return err
	}
	it, err := s.studio.Add(r.Context(), studio.Tune, studio.Content{Title: title, Body: body, Extra: extra}, false)
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/tunes/"+it.ID+"?write=neck", http.StatusSeeOther)
	return nil
}

// blankTune reads a text that has a head and no notes yet: the tune with one
// bar of rest, or nil when the text has notes or can't be read.
func blankTune(body string) *tune.Tune {
	t, _, err := readTune(strings.TrimRight(body, " \t\n") + "\nz\n")
	if err != nil {
		return nil
	}
	for i := range t.Bars {
		for _, line := range t.Bars[i].Lines {
			for j := range line {
				if line[j].Kind == tune.Sounding {
					return nil
				}
			}
		}
	}
	return t
}

// showBlank gives what a page is shown of a tune that has no notes yet.
func showBlank(t *tune.Tune, g *rig.Rig) report.Placed {
	none := &sound.Timing{Bars: []sound.BarTime{}, Strokes: []sound.StrokeTime{}, Clicks: []sound.ClickTime{}, Steel: []sound.SteelTime{}}
	return report.Placed{
		Blank: true, Pages: []string{}, Shown: report.TabOf(&tab.Tab{Tune: t, Rig: g}, none),
		About: report.Summary{Rig: g.Name, Title: g.Title, Tuning: g.TuningText(), Key: t.Bars[0].Key.Pretty(), Capo: g.Capo.At, Compromises: []report.Compromise{}},
	}
}
