package web

import (
	"context"
	"fmt"
	"net/http"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/wire"
)

// askedRig is the rig in a request's path, with how pages refer to it.
func (s *Site) askedRig(r *http.Request) (*rig.Rig, string, error) {
	ref := r.PathValue("id")
	g, err := s.findRig(r.Context(), ref)
	return g, ref, err
}

// retunePage lists the tunings that a rig's strings reach, and the way to one.
func (s *Site) retunePage(w http.ResponseWriter, r *http.Request) error {
	g, ref, err := s.askedRig(r)
	if err != nil {
		return err
	}
	reached, err := retune.Reach(g)
	if err != nil {
		return err
	}
	model := map[string]any{"Ref": ref, "Rig": g, "Reach": report.ReachOf(g, reached), "To": r.FormValue("to"), "Caution": rig.TensionCaution}
	if to := r.FormValue("to"); to != "" {
		plan, err := planTo(g, to)
		if err != nil {
			return err
		}
		model["Plan"] = report.PlanOf(plan)
	}
	s.page(w, r, http.StatusOK, "retune", "Retune "+g.Title, model)
	return nil
}

// planTo plans the way to a tuning by its name or its pitches, low to high.
func planTo(g *rig.Rig, to string) (*retune.Plan, error) {
	if t, ok := retune.FindTuning(to); ok {
		return retune.NewPlan(g, t.Pitches, t.Title, 0)
	}
	pitches, err := retune.ParseTuning(to)
	if err != nil {
		return nil, &fault.Fault{Msg: err.Error()}
	}
	if len(pitches) != len(g.Strings) {
		return nil, &fault.Fault{Msg: fmt.Sprintf("%q names %d pitches, and the rig has %d strings", to, len(pitches), len(g.Strings))}
	}
	return retune.NewPlan(g, pitches, "", 0)
}

// keepRetuned keeps a rig in another tuning as one of the teacher's own.
func (s *Site) keepRetuned(w http.ResponseWriter, r *http.Request) error {
	g, _, err := s.askedRig(r)
	if err != nil {
		return err
	}
	plan, err := planTo(g, r.FormValue("to"))
	if err != nil {
		return err
	}
	own := plan.To.Clone()
	if own.Name, err = s.freeName(r.Context(), "my-"+g.Name); err != nil {
		return err
	}
	if own.Tuning != "" {
		own.Title = capitalise(string(own.Body)) + " in " + own.Tuning
	} else {
		own.Title = capitalise(string(own.Body)) + " in " + own.PrettyTuning()
	}
	return s.keepRig(w, r, string(rig.Format(own)))
}

// comparePage says what two rigs share.
func (s *Site) comparePage(w http.ResponseWriter, r *http.Request) error {
	g, ref, err := s.askedRig(r)
	if err != nil {
		return err
	}
	rigs, err := s.rigChoices(r.Context())
	if err != nil {
		return err
	}
	with := r.FormValue("with")
	model := map[string]any{"Ref": ref, "Rig": g, "Rigs": rigs, "With": with}
	if with != "" {
		other, err := s.findRig(r.Context(), with)
		if err != nil {
			return err
		}
		err = s.light.do(r.Context(), func(context.Context) error {
			model["Report"] = report.ComparisonOf(retune.Compare(g, other))
			return nil
		})
		if err != nil {
			return err
		}
	}
	s.page(w, r, http.StatusOK, "compare", "Compare "+g.Title, model)
	return nil
}

// stringsPage finds the best strings for a rig's tuning, and for another with
// it.
func (s *Site) stringsPage(w http.ResponseWriter, r *http.Request) error {
	g, ref, err := s.askedRig(r)
	if err != nil {
		return err
	}
	model := map[string]any{"Ref": ref, "Rig": g, "Tunings": sameStrings(g), "Also": r.FormValue("also"), "Caution": rig.TensionCaution, "Materials": wire.Wraps(), "Wrap": r.FormValue("wrap")}
	if wrap := r.FormValue("wrap"); wrap != "" {
		limit, _ := g.Limit()
		wish := retune.Wish{Tunings: [][]pitch.Name{g.TunedNames()}, Scale: g.Scale, Reference: g.Reference, Pull: retune.DefaultPull, Limit: limit, Body: g.Body, Sold: wire.Sold(wire.Material(wrap))}
		if t, ok := retune.FindTuning(r.FormValue("also")); ok {
			wish.Tunings = append(wish.Tunings, t.Pitches)
		}
		err := s.light.do(r.Context(), func(context.Context) error {
			design, err := retune.NewDesign(wish)
			if err != nil {
				model["Problem"] = sentence(err.Error())
			} else {
				model["Report"] = report.DesignOf(design, wish)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	s.page(w, r, http.StatusOK, "strings", "Strings for "+g.Title, model)
	return nil
}

// sameStrings lists the known tunings for as many strings as a rig has.
func sameStrings(g *rig.Rig) []retune.Tuning {
	var out []retune.Tuning
	for _, t := range retune.Catalogue() {
		if len(t.Pitches) == len(g.Strings) {
			out = append(out, t)
		}
	}
	return out
}
