package web

import (
	"net/http"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/steel"
	"lapwright/tab"
)

// gripNeck gives what the page needs to touch a rig's neck: the neck and the
// benders, by mark and name.
func (s *Site) gripNeck(w http.ResponseWriter, r *http.Request) error {
	g, err := s.findRig(r.Context(), r.FormValue("rig"))
	if err != nil {
		return err
	}
	none := &sound.Timing{Bars: []sound.BarTime{}, Strokes: []sound.StrokeTime{}, Clicks: []sound.ClickTime{}, Steel: []sound.SteelTime{}}
	s.json(w, http.StatusOK, report.GripNeck{Shown: report.TabOf(&tab.Tab{Rig: g}, none), Benders: report.SetupOf(g).Benders})
	return nil
}

// nameGrip says what strings stopped at frets sound, and how the steel lies.
func (s *Site) nameGrip(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Rig     string        `json:"rig"`
		Stops   string        `json:"stops"` // "1:5, 2:5, 3:4"
		Benders rig.BenderSet `json:"benders"`
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	g, err := s.findRig(r.Context(), ask.Rig)
	if err != nil {
		return err
	}
	var out *report.TouchedGrip
	err = safely(func() error {
		if int(ask.Benders)>>len(g.Benders) != 0 {
			return &fault.Fault{Msg: "there is no such bender"}
		}
		stops, set, err := grip.ParseStops(g, ask.Stops)
		if err != nil {
			return &fault.Fault{Msg: err.Error()}
		}
		named, err := grip.Name(g, stops, set|ask.Benders)
		if err != nil {
			return &fault.Fault{Msg: err.Error()}
		}
		out, err = viewNamed(g, ask.Rig, named)
		return err
	})
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, out)
	return nil
}

func viewNamed(g *rig.Rig, ref string, n grip.Named) (*report.TouchedGrip, error) {
	p := n.Placement
	out := &report.TouchedGrip{
		Names: prettyChords(n.Chords), Within: prettyChords(n.Within), Missing: append([]string{}, n.Missing...), Words: lies(p),
		Steel: sound.SteelAt(steel.New(g), 0, p),
	}
	b := gripBody{Rig: ref, Placement: p, Benders: n.Benders}
	var low []pitch.Name
	for _, note := range n.Notes {
		b.Strings = append(b.Strings, note.String)
		low = append(low, note.Name)
		out.Notes = append(out.Notes, report.Tone{String: note.String, Sounds: note.Name.Pretty(), Label: note.Label})
		out.Stops = append(out.Stops, [2]int{note.String, int(note.Fret + 0.5)})
	}
	for i, bend := range g.Benders {
		if n.Benders.Has(i) {
			out.Words += ", " + bend.Name
		}
	}
	// A grip that makes no chord goes by its notes, low to high.
	slices.SortFunc(low, func(x, y pitch.Name) int { return x.Key() - y.Key() })
	var texts []string
	for _, name := range low {
		texts = append(texts, name.String())
	}
	b.Want = strings.Join(texts, " ")
	if len(n.Chords) > 0 {
		b.Want = n.Chords[0].String()
	}
	var err error
	out.Body, err = b.text(g)
	return out, err
}

func prettyChords(list []pitch.Chord) []string {
	out := []string{}
	for _, c := range list {
		out = append(out, c.Pretty())
	}
	return out
}
