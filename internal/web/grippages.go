package web

import (
	"cmp"
	"context"
	"net/http"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
	"lapwright/rig"
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
	Rigs    []rigOption
	Rig     *rig.Rig
	Wish    *workbench.GripWish
	Found   *workbench.GripsFound // nil when nothing is wanted, or with a problem
	Neck    string                // along which they are found, as SVG
	Kept    []row
	Now     *studio.Item // what was kept just now; nil for nothing
	Problem string
}

func (p gripPages) list(r *http.Request) (page, error) {
	rigs, err := p.shelf.options(r.Context())
	if err != nil {
		return page{}, err
	}
	m := gripsModel{Rigs: rigs, Wish: workbench.ReadGripWish(r.URL.Query())}
	m.Wish.Rig = cmp.Or(m.Wish.Rig, rigs[0].Ref)
	if m.Kept, err = p.lists.kind(r.Context(), studio.Grip); err != nil {
		return page{}, err
	}
	if id := r.FormValue("kept"); id != "" {
		m.Now, _ = p.studio.Get(r.Context(), id) // gone meanwhile, it is only not told
	}
	err = p.find(r.Context(), &m)
	return page{"grips", "Grips", m}, err
}

// find fills in the rig, and the grips for what a page asks for.
func (p gripPages) find(ctx context.Context, m *gripsModel) (err error) {
	if m.Rig, err = p.shelf.find(ctx, m.Wish.Rig); err != nil {
		return err
	}
	if m.Wish.On(m.Rig); m.Wish.Want == "" {
		return nil
	}
	m.Found, err = queued(ctx, p.light, func(context.Context) (*workbench.GripsFound, error) { return m.Wish.Find(m.Rig) })
	if notTheirs(err) {
		return err
	}
	if m.Problem = problem(err); err == nil {
		m.Neck = m.Wish.Neck(m.Rig, m.Found)
		if m.Now != nil {
			m.Found.MarkKept(m.Now.Body)
		}
	}
	return nil
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

// keep keeps a grip in the studio and goes back to the search that it came from.
func (p gripPages) keep(r *http.Request) (string, error) {
	b, err := p.read(r.Context(), r.FormValue("grip"))
	if err != nil {
		return "", err
	}
	body, err := b.Text()
	if err != nil {
		return "", err
	}
	it, err := p.studio.Add(r.Context(), studio.Grip, studio.Content{Title: b.Title(), Body: body}, false)
	if err != nil {
		return "", err
	}
	return "/grips?" + b.Back(r.FormValue("back")) + "&kept=" + it.ID, nil
}

// keptModel is one kept grip.
type keptModel struct {
	Item *studio.Item
	Grip *workbench.Grip
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
	return page{"grip", it.Title, keptModel{it, b}}, nil
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

// name says what strings stopped at frets sound, and how the steel lies.
func (p gripPages) name(r *http.Request) (any, error) {
	ask, err := readJSON[report.AskedGrip](r)
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
