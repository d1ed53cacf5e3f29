package web

import (
	"context"
	"net/http"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/wav"
	"lapwright/wire"
)

// tuningPages tell what can be done with a rig's tuning and strings.
type tuningPages struct {
	studio *studio.Studio
	shelf  *shelf
	light  *queue
}

// retuneModel is the tunings that a rig's strings reach, and the way to one.
type retuneModel struct {
	Ref     string
	Rig     *rig.Rig
	Reach   *report.Reach
	To      string       // what is asked for
	Plan    *report.Plan // nil when nothing is
	Caution string
}

func (p tuningPages) retune(r *http.Request) (page, error) {
	g, ref, err := p.shelf.named(r)
	if err != nil {
		return page{}, err
	}
	reached, err := retune.Reach(g)
	if err != nil {
		return page{}, err
	}
	m := retuneModel{Ref: ref, Rig: g, Reach: report.ReachOf(g, reached), To: r.FormValue("to"), Caution: rig.TensionCaution}
	if m.To != "" {
		plan, err := workbench.PlanTo(g, m.To)
		if err != nil {
			return page{}, err
		}
		m.Plan = report.PlanOf(plan)
	}
	return page{"retune", "Retune " + g.Title, m}, nil
}

// keep keeps a rig in another tuning as one of the teacher's own.
func (p tuningPages) keep(r *http.Request) (string, error) {
	g, _, err := p.shelf.named(r)
	if err != nil {
		return "", err
	}
	own, err := p.shelf.own(r.Context())
	if err != nil {
		return "", err
	}
	retuned, err := workbench.OwnRetuned(g, r.FormValue("to"), own)
	if err != nil {
		return "", err
	}
	return keepRig(r.Context(), p.studio, string(rig.Format(retuned)))
}

// compareModel is what two rigs share.
type compareModel struct {
	Ref    string
	Rig    *rig.Rig
	Rigs   []rigOption
	With   string
	Report *report.Comparison // nil when nothing is asked for
}

func (p tuningPages) compare(r *http.Request) (page, error) {
	g, ref, err := p.shelf.named(r)
	if err != nil {
		return page{}, err
	}
	rigs, err := p.shelf.options(r.Context())
	if err != nil {
		return page{}, err
	}
	m := compareModel{Ref: ref, Rig: g, Rigs: rigs, With: r.FormValue("with")}
	if m.With != "" {
		m.Report, err = p.comparison(r.Context(), g, m.With)
	}
	return page{"compare", "Compare " + g.Title, m}, err
}

// comparison compares a rig with the one that with names.
func (p tuningPages) comparison(ctx context.Context, g *rig.Rig, with string) (*report.Comparison, error) {
	other, err := p.shelf.find(ctx, with)
	if err != nil {
		return nil, err
	}
	return queued(ctx, p.light, func(context.Context) (*report.Comparison, error) {
		return report.ComparisonOf(retune.Compare(g, other)), nil
	})
}

// stringsModel is the best strings for a rig's tuning, and for another with it.
type stringsModel struct {
	Ref       string
	Rig       *rig.Rig
	Tunings   []retune.Tuning
	Also      string
	Wrap      string
	Materials []wire.Material
	Problem   string
	Report    *report.Design // nil when nothing is asked for, or with a problem
	Caution   string
}

func (p tuningPages) strings(r *http.Request) (page, error) {
	g, ref, err := p.shelf.named(r)
	if err != nil {
		return page{}, err
	}
	m := stringsModel{Ref: ref, Rig: g, Tunings: workbench.SameStrings(g), Also: r.FormValue("also"), Wrap: r.FormValue("wrap"), Materials: wire.Wraps(), Caution: rig.TensionCaution}
	if m.Wrap != "" {
		m.Report, err = queued(r.Context(), p.light, func(context.Context) (*report.Design, error) { return workbench.StringsFor(g, m.Also, m.Wrap) })
		if notTheirs(err) {
			return page{}, err
		}
		m.Problem = problem(err)
	}
	return page{"strings", "Strings for " + g.Title, m}, nil
}

// problem says an error beside the form that it comes from; "" for none.
func problem(err error) string {
	if err == nil {
		return ""
	}
	return sentence(err.Error())
}

// pegsModel is what to tune a rig's strings to.
type pegsModel struct {
	Ref             string
	Rig             *rig.Rig
	Asked           workbench.TuneTo
	Lowest, Highest float64 // hertz that A4 may have
	Problem         string
	Report          *report.Targets // nil with a problem
	Tuner           *report.Tuner   // then too
	Caution, Loud   string
}

func (p tuningPages) pegs(r *http.Request) (page, error) {
	g, ref, err := p.shelf.named(r)
	if err != nil {
		return page{}, err
	}
	asked, t, err := workbench.ReadTuneTo(g, r.FormValue)
	m := pegsModel{Ref: ref, Rig: g, Asked: asked, Lowest: float64(pitch.MinReference), Highest: float64(pitch.MaxReference), Problem: problem(err), Caution: rig.TensionCaution, Loud: sound.Caution}
	if err == nil {
		m.Report = report.TargetsOf(t, g)
		m.Tuner = workbench.TunerOf(t, g)
	}
	return page{"pegs", "What to tune " + g.Title + " to", m}, nil
}

// tone sounds what one string is tuned to.
func (p tuningPages) tone(w http.ResponseWriter, r *http.Request) error {
	g, _, err := p.shelf.named(r)
	if err != nil {
		return err
	}
	_, t, err := workbench.ReadTuneTo(g, r.FormValue)
	if err != nil {
		return err
	}
	n, err := readNumber(r, "string")
	if err != nil {
		return err
	}
	tone, err := workbench.ToneOf(t, g, r.FormValue("way"), n)
	if err != nil {
		return err
	}
	writeBytes(w, http.StatusOK, "audio/wav", wav.Write(sound.Tones([]pitch.Hz{tone})))
	return nil
}
