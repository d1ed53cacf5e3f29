package web

import (
	"context"
	"net/http"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/retune/form"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/sheet/pdf"
)

// rigPages show rigs and change the teacher's own.
type rigPages struct {
	pages  *pages
	studio *studio.Studio
	shelf  *shelf
}

func (p rigPages) list(r *http.Request) (page, error) {
	list, err := p.shelf.options(r.Context())
	return page{"rigs", "Instruments", list}, err
}

// rigModel is what a rig's page shows.
type rigModel struct {
	Ref  string
	Own  bool
	Item *studio.Item // nil for a built-in rig
	Rig  *rig.Rig     // nil when its text can't be read
	report.RigTable
	Setup   *report.Setup
	Bodies  []rig.Body
	Caution string
	HowTo   []string // how to record it; nil when its text can't be read
	State   rigState
}

// rigState is what a rig's page's script starts from.
type rigState struct {
	ID       string `json:"id"`
	Revision int    `json:"revision"`
	Body     string `json:"body"`
	Kind     string `json:"kind"`
}

// one is a rig's page. A rig that can't be read is still shown, as text to be
// put right.
func (p rigPages) one(r *http.Request) (page, error) {
	ref := r.PathValue("id")
	m := rigModel{Ref: ref, Bodies: rig.Bodies(), Caution: rig.TensionCaution, State: rigState{Kind: "rig"}}
	title := ref
	if b, ok := rig.Builtin(ref); ok {
		title, m.Rig, m.State.Body = b.Title, b, string(rig.Format(b))
	} else {
		it, err := askedItem(p.studio, r, studio.Rig)
		if err != nil {
			return page{}, err
		}
		m.Own, m.Item, title = true, it, it.Title
		m.Rig, _ = rig.Parse([]byte(it.Body), "rig.toml")
		m.State = rigState{it.ID, it.Revision, it.Body, "rig"}
	}
	if m.Rig != nil {
		m.RigTable, m.Setup, m.HowTo = report.RigTableOf(m.Rig), report.SetupOf(m.Rig), workbench.HowToRecord(m.Rig.Body)
	}
	return page{"rig", title, m}, nil
}

// newRigModel is a form for an instrument from nothing, as it was filled in.
type newRigModel struct {
	Asked   *form.Instrument
	Bodies  []rig.Body
	Tunings []retune.Tuning
	Problem []report.Fault
	Caution string
}

func (p rigPages) fresh(*http.Request) (page, error) {
	return newRigPage(&form.Instrument{Body: string(rig.LapSteel), Strings: "6"}, nil), nil
}

func newRigPage(asked *form.Instrument, problem []report.Fault) page {
	return page{"newrig", "New instrument", newRigModel{asked, rig.Bodies(), retune.Catalogue(), problem, rig.TensionCaution}}
}

// make keeps an instrument that a form describes, or shows the form again with
// what is wrong in it.
func (p rigPages) make(w http.ResponseWriter, r *http.Request) error {
	asked := form.Read(r.FormValue)
	if draft := workbench.DraftRig(asked); len(draft.Said.Said) > 0 {
		p.pages.show(w, r, http.StatusUnprocessableEntity, newRigPage(asked, sentences(draft.Said.Said)))
		return nil
	}
	own, err := p.shelf.own(r.Context())
	if err != nil {
		return err
	}
	c, err := workbench.MakeRig(asked, own)
	if err != nil {
		return err
	}
	it, err := p.studio.Add(r.Context(), studio.Rig, c, false)
	if err == nil {
		http.Redirect(w, r, "/rigs/"+it.ID+"?new=1", http.StatusSeeOther)
	}
	return err
}

// draft says what a form for an instrument makes as it stands.
func (p rigPages) draft(r *http.Request) (any, error) {
	ask, err := readJSON[report.AskedInstrument](r)
	if err != nil {
		return nil, err
	}
	var out *report.CheckedRig
	err = safely(func() error { out = workbench.DraftRig(ask.Form()); sentences(out.Said.Said); return nil })
	return out, err
}

// check reads a rig's text and gives its table of strings or what is wrong.
func (p rigPages) check(r *http.Request) (any, error) {
	ask, err := readJSON[report.AskedText](r)
	if err != nil {
		return nil, err
	}
	var out *report.CheckedRig
	err = safely(func() error { out = workbench.CheckRig(ask.Text); return nil })
	if err != nil {
		return nil, err
	}
	sentences(out.Said.Said)
	return out, nil
}

// edit changes a rig's text and gives the new one.
func (p rigPages) edit(r *http.Request) (any, error) {
	ask, err := readJSON[workbench.RigEdit](r)
	if err != nil {
		return nil, err
	}
	var out report.Text
	err = safely(func() (err error) { out.Text, err = ask.Apply(); return err })
	return out, err
}

// add keeps a new rig: one that was written, or another as the teacher's own.
func (p rigPages) add(r *http.Request) (string, error) {
	text := r.FormValue("text")
	if from := r.FormValue("from"); text == "" && from != "" {
		base, err := p.shelf.find(r.Context(), from)
		if err != nil {
			return "", err
		}
		own, err := p.shelf.own(r.Context())
		if err != nil {
			return "", err
		}
		text = string(rig.Format(workbench.OwnCopy(base, own)))
	}
	return keepRig(r.Context(), p.studio, text)
}

// keepRig keeps a rig's text as a new item and gives its page.
func keepRig(ctx context.Context, st *studio.Studio, text string) (string, error) {
	c, err := workbench.RigContent(text)
	if err != nil {
		return "", err
	}
	it, err := st.Add(ctx, studio.Rig, c, false)
	if err != nil {
		return "", err
	}
	return "/rigs/" + it.ID, nil
}

// card returns a rig's postcard to print.
func (p rigPages) card(w http.ResponseWriter, r *http.Request) error {
	g, _, err := p.shelf.named(r)
	if err != nil {
		return err
	}
	var b []byte
	name := r.PathValue("name")
	switch name {
	case "tuning.svg":
		b = draw.SVG(neck.TuningCard(g), 0)
	case "tuning.pdf":
		b, err = pdf.Write(neck.TuningCard(g))
	default:
		err = errNowhere
	}
	if err != nil {
		return err
	}
	attachment(w, say.Slug(g.Title)+"-"+name, fileTypes["sheet"+name[len("tuning"):]])
	w.Write(b)
	return nil
}
