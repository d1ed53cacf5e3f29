package web

import (
	"context"
	"html/template"
	"net/http"
	"strings"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/sound"
)

// gripPages find, name, sound and keep grips.
type gripPages struct {
	studio *studio.Studio
	shelf  *shelf
	lists  *lists
	sounds *sounds
	light  *queue
}

// gripsModel asks for a chord, an interval or notes on a rig, and lists what was
// found and what was kept.
type gripsModel struct {
	Rigs []rigOption
	Rig  string // its ref
	Want string
	Kept []row
	foundModel
	Problem string
}

// foundModel is what was found on a rig.
type foundModel struct {
	Title string // of the rig
	Found []gripModel
	Whole template.HTML // all places of a chord on the neck
}

// gripModel is one grip as a page shows it.
type gripModel struct {
	Words   string
	Notes   string
	Picture template.HTML
	Body    string // as it is kept
}

func (p gripPages) list(r *http.Request) (page, error) {
	rigs, err := p.shelf.options(r.Context())
	if err != nil {
		return page{}, err
	}
	kept, err := p.lists.kind(r.Context(), studio.Grip)
	if err != nil {
		return page{}, err
	}
	m := gripsModel{Rigs: rigs, Rig: r.FormValue("rig"), Want: strings.TrimSpace(r.FormValue("want")), Kept: kept}
	if m.Rig == "" {
		m.Rig = rigs[0].Ref
	}
	if m.Want != "" {
		err = p.find(r.Context(), &m)
	}
	return page{"grips", "Grips", m}, err
}

// find fills in the grips for what a page asks for.
func (p gripPages) find(ctx context.Context, m *gripsModel) error {
	g, err := p.shelf.find(ctx, m.Rig)
	if err != nil {
		return err
	}
	found, err := queued(ctx, p.light, func(context.Context) (foundModel, error) { return findGrips(g, m.Rig, m.Want) })
	if notTheirs(err) {
		return err
	}
	m.foundModel, m.Problem = found, problem(err)
	m.Title = g.Title
	return nil
}

// findGrips returns the grips for what is wanted, drawn.
func findGrips(g *rig.Rig, ref, want string) (foundModel, error) {
	var out foundModel
	list, err := workbench.FindGrips(g, ref, want)
	if err != nil {
		return out, err
	}
	chord := list[0].Chord()
	for _, f := range list {
		body, err := f.Text()
		if err != nil {
			return foundModel{}, err
		}
		out.Found = append(out.Found, gripModel{f.Words, f.Notes, gripPicture(&f.Grip, chord, 90), body})
	}
	if chord != nil {
		out.Whole = picture(neck.Chord(g, *chord), 210)
	}
	return out, nil
}

func gripPicture(b *workbench.Grip, c *pitch.Chord, width float64) template.HTML {
	return picture(neck.Grip(b.Rig, b.Placement, b.Benders, b.Strings, c), width)
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

// read reads a grip that a page sends or that was kept.
func (p gripPages) read(ctx context.Context, text string) (*workbench.Grip, error) {
	return workbench.ReadGrip(text, func(ref string) (*rig.Rig, error) { return p.shelf.find(ctx, ref) })
}

// hear sounds a grip: its strings one after another, then together.
func (p gripPages) hear(w http.ResponseWriter, r *http.Request) error {
	b, err := p.read(r.Context(), r.FormValue("grip"))
	if err != nil {
		return err
	}
	key := "grip " + r.FormValue("grip") + string(rig.Format(b.Rig))
	out, err := p.sounds.opus(r.Context(), key, func(context.Context) (*sound.Audio, error) { return sound.Render(b.Tab(), sound.Options{}) })
	if err != nil {
		return err
	}
	writeBytes(w, http.StatusOK, "audio/ogg", out)
	return nil
}

// keep keeps a grip in the studio.
func (p gripPages) keep(r *http.Request) (string, error) {
	b, err := p.read(r.Context(), r.FormValue("grip"))
	if err != nil {
		return "", err
	}
	body, err := b.Text()
	if err != nil {
		return "", err
	}
	_, err = p.studio.Add(r.Context(), studio.Grip, studio.Content{Title: b.Title(), Body: body}, false)
	return "/grips?rig=" + b.Ref, err
}

// keptModel is one kept grip.
type keptModel struct {
	Item    *studio.Item
	Grip    *workbench.Grip
	Picture template.HTML
}

func (p gripPages) one(r *http.Request) (page, error) {
	it, err := askedItem(p.studio, r, studio.Grip)
	if err != nil {
		return page{}, err
	}
	b, err := p.read(r.Context(), it.Body)
	if err != nil {
		return page{}, err
	}
	return page{"grip", it.Title, keptModel{it, b, gripPicture(b, b.Chord(), 150)}}, nil
}

// neck returns what the page needs to touch a rig's neck: the neck and the
// benders, by mark and name.
func (p gripPages) neck(r *http.Request) (any, error) {
	g, err := p.shelf.asked(r)
	if err != nil {
		return nil, err
	}
	return report.GripNeck{Shown: workbench.Neck(g), Benders: report.SetupOf(g).Benders}, nil
}

// touched is a grip that was touched on a rig's neck.
type touched struct {
	Rig     string        `json:"rig"`
	Stops   string        `json:"stops"` // "1:5, 2:5, 3:4"
	Benders rig.BenderSet `json:"benders"`
}

// name says what strings stopped at frets sound, and how the steel lies.
func (p gripPages) name(r *http.Request) (any, error) {
	ask, err := readJSON[touched](r)
	if err != nil {
		return nil, err
	}
	g, err := p.shelf.find(r.Context(), ask.Rig)
	if err != nil {
		return nil, err
	}
	var out *report.TouchedGrip
	err = safely(func() (err error) { out, err = workbench.NameGrip(g, ask.Rig, ask.Stops, ask.Benders); return err })
	return out, err
}
