package web

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/internal/studio"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/sound"
	"lapwright/sound/opus"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// maxGrips is how many grips a page shows.
const maxGrips = 24

// gripBody is a grip on its rig; keptGrip is how it is kept.
type gripBody struct {
	Rig       string
	Want      string
	Placement steel.Placement
	Benders   rig.BenderSet
	Strings   []int
}

// gripView is one grip as a page shows it.
type gripView struct {
	Words   string
	Notes   string
	Picture template.HTML
	Body    string // as it is kept
}

// gripsPage asks for a chord, an interval or notes on a rig, and lists what was
// kept.
func (s *Site) gripsPage(w http.ResponseWriter, r *http.Request) error {
	rigs, err := s.rigChoices(r.Context())
	if err != nil {
		return err
	}
	kept, err := s.studio.List(r.Context(), studio.Grip)
	if err != nil {
		return err
	}
	rows, err := s.rows(r.Context(), kept)
	if err != nil {
		return err
	}
	ref, want := r.FormValue("rig"), strings.TrimSpace(r.FormValue("want"))
	if ref == "" {
		ref = rigs[0].Ref
	}
	model := map[string]any{"Rigs": rigs, "Rig": ref, "Want": want, "Kept": rows}
	if want != "" {
		g, err := s.findRig(r.Context(), ref)
		if err != nil {
			return err
		}
		var found []gripView
		var whole template.HTML
		err = s.light.do(r.Context(), func(context.Context) error {
			var err error
			found, whole, err = findGrips(g, ref, want)
			return err
		})
		if notTheirs(err) {
			return err
		}
		if err != nil {
			model["Problem"] = sentence(err.Error())
		}
		model["Found"], model["Whole"], model["Title"] = found, whole, g.Title
	}
	s.page(w, r, http.StatusOK, "grips", "Grips", model)
	return nil
}

// findGrips gives the grips for what is wanted, and, for a chord, a picture of
// all its places on the neck.
func findGrips(g *rig.Rig, ref, want string) ([]gripView, template.HTML, error) {
	asked, err := grip.ParseWant(want)
	if err != nil {
		return nil, "", err
	}
	found := grip.Find(g, asked, grip.Options{})
	if len(found) == 0 {
		return nil, "", fmt.Errorf("no grip on %s sounds %s", g.Title, want)
	}
	var out []gripView
	for _, f := range found[:min(len(found), maxGrips)] {
		v, err := viewGrip(g, ref, want, f, asked.Chord)
		if err != nil {
			return nil, "", err
		}
		out = append(out, v)
	}
	var whole template.HTML
	if asked.Chord != nil {
		whole = picture(neck.Chord(g, *asked.Chord), 210)
	}
	return out, whole, nil
}

func viewGrip(g *rig.Rig, ref, want string, f grip.Way, c *pitch.Chord) (gripView, error) {
	b := gripBody{Rig: ref, Want: want, Placement: f.Placement, Benders: f.Benders}
	var notes []string
	for _, n := range f.Notes {
		b.Strings = append(b.Strings, n.String)
		notes = append(notes, n.Name.Pretty())
	}
	body, err := b.text(g)
	if err != nil {
		return gripView{}, err
	}
	words := lies(f.Placement)
	for i, bend := range g.Benders {
		if f.Benders.Has(i) {
			words += ", " + bend.Name
		}
	}
	if len(f.Missing) > 0 {
		words += ", without the " + strings.Join(f.Missing, " and the ")
	}
	return gripView{words, strings.Join(notes, " "), picture(neck.Grip(g, f.Placement, f.Benders, b.Strings, c), 90), body}, nil
}

// lies says where the bar lies: "straight at 5", "forward slant from 4 to 5".
func lies(p steel.Placement) string {
	switch {
	case p.Kind == steel.Lifted:
		return "open"
	case p.FirstFret == p.LastFret:
		return fmt.Sprintf("%s at %g", p.Kind, p.FirstFret)
	}
	return fmt.Sprintf("%s from %g to %g", p.Kind, min(p.FirstFret, p.LastFret), max(p.FirstFret, p.LastFret))
}

// picture draws a neck as SVG, so many millimetres wide.
func picture(n neck.View, width float64) template.HTML {
	group, height := n.Picture(width)
	d := &draw.Drawing{Title: n.Caption, Description: n.Describe(), Pages: []*draw.Page{{W: width, H: height, Items: []draw.Item{group}}}}
	if d.Title == "" {
		d.Title = "Neck"
	}
	return template.HTML(draw.SVG(d, 0))
}

// readGrip reads a grip that a page sends or that was kept.
func (s *Site) readGrip(ctx context.Context, text string) (gripBody, *rig.Rig, error) {
	var kept keptGrip
	if err := json.Unmarshal([]byte(text), &kept); err != nil {
		return gripBody{}, nil, &fault.Fault{Msg: "this is no grip"}
	}
	g, err := s.findRig(ctx, kept.Rig)
	if err != nil {
		return gripBody{}, nil, err
	}
	b, err := kept.on(g)
	if err != nil {
		return b, nil, err
	}
	if err := steel.New(g).Check(b.Placement); err != nil {
		return b, nil, &fault.Fault{Msg: err.Error()}
	}
	for _, str := range b.Strings {
		if str < 1 || str > len(g.Strings) {
			return b, nil, &fault.Fault{Msg: fmt.Sprintf("%s has no string %d", g.Title, str)}
		}
	}
	if len(b.Strings) == 0 {
		return b, nil, &fault.Fault{Msg: "this is no grip of that rig"}
	}
	return b, g, nil
}

// hearGrip sounds a grip: its strings one after another, then together.
func (s *Site) hearGrip(w http.ResponseWriter, r *http.Request) error {
	b, g, err := s.readGrip(r.Context(), r.FormValue("grip"))
	if err != nil {
		return err
	}
	key := "grip " + r.FormValue("grip") + string(rig.Format(g))
	out, err := s.sounds.get(r.Context(), key, func(ctx context.Context) ([]byte, int64, error) {
		var out []byte
		err := s.heavy.do(ctx, func(context.Context) error {
			a, err := sound.Render(gripTab(g, b), sound.Options{})
			if err == nil {
				out, err = opus.Write(a)
			}
			return err
		})
		return out, int64(len(out)), err
	})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "audio/ogg")
	w.Header().Set("Cache-Control", "no-store")
	w.Write(out)
	return nil
}

// gripTab writes a grip down as a tab of one bar: its strings one after another
// from the lowest up, an eighth each, then all of them for a half.
func gripTab(g *rig.Rig, b gripBody) *tab.Tab {
	geo := steel.New(g)
	strs := slices.Clone(b.Strings)
	key := func(str int) float64 { return geo.Key(b.Placement, str, b.Benders) }
	slices.SortFunc(strs, func(x, y int) int { return cmp.Compare(key(x), key(y)) })
	t := &tab.Tab{Rig: g}
	var line []tune.Event
	at := tune.Ticks(0)
	add := func(length tune.Ticks, log2 int8, strs []int) {
		e := tune.Event{At: at, Len: length, Value: tune.Value{Log2: log2}}
		st := tab.Stroke{At: at, Len: length, Placement: b.Placement, Benders: b.Benders}
		for i, str := range strs {
			e.Notes = append(e.Notes, tune.Note{Name: pitch.SpellKey(int(math.Round(key(str))), 0)})
			ref := tune.Ref{Event: len(line), Note: i, Grace: -1}
			st.Plucks = append(st.Plucks, tab.Pluck{Ref: ref, String: str, Fret: geo.Contact(b.Placement, str), Len: length})
		}
		slices.SortFunc(st.Plucks, func(x, y tab.Pluck) int { return cmp.Compare(x.String, y.String) })
		line = append(line, e)
		t.Strokes = append(t.Strokes, st)
		at += length
	}
	for i := range strs {
		add(tune.Whole/8, 3, strs[i:i+1])
	}
	add(tune.Whole/2, 1, strs)
	t.Tune = &tune.Tune{Title: b.Want, Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{
		Number: 1, Meter: tune.Meter{Beats: len(strs) + 4, Unit: 8}, Len: at, Lines: [][]tune.Event{line},
	}}}
	return t
}

// keepGrip keeps a grip in the studio.
func (s *Site) keepGrip(w http.ResponseWriter, r *http.Request) error {
	b, g, err := s.readGrip(r.Context(), r.FormValue("grip"))
	if err != nil {
		return err
	}
	body, err := b.text(g)
	if err != nil {
		return err
	}
	title := b.Want + " on " + g.Title
	if _, err := s.studio.Add(r.Context(), studio.Grip, studio.Content{Title: title, Body: body}, false); err != nil {
		return err
	}
	http.Redirect(w, r, "/grips?rig="+b.Rig, http.StatusSeeOther)
	return nil
}

// gripPage shows one kept grip.
func (s *Site) gripPage(w http.ResponseWriter, r *http.Request) error {
	it, err := s.askedItem(r, studio.Grip)
	if err != nil {
		return err
	}
	b, g, err := s.readGrip(r.Context(), it.Body)
	if err != nil {
		return err
	}
	var c *pitch.Chord
	if w, err := grip.ParseWant(b.Want); err == nil {
		c = w.Chord
	}
	s.page(w, r, http.StatusOK, "grip", it.Title, map[string]any{"Item": it, "Body": b, "Rig": g, "Picture": picture(neck.Grip(g, b.Placement, b.Benders, b.Strings, c), 150)})
	return nil
}
