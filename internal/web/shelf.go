package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/rig"
)

// shelf is where rigs are found: those built in and the teacher's own.
type shelf struct {
	studio *studio.Studio
	read   *cache[*rig.Rig]
}

// own returns the rigs in the studio that can be read; one that can't says on its
// own page what is wrong. A revision never changes, so it is read once.
func (s *shelf) own(ctx context.Context) ([]workbench.RigChoice, error) {
	list, err := s.studio.List(ctx, studio.Rig)
	if err != nil {
		return nil, err
	}
	var out []workbench.RigChoice
	for _, h := range list {
		r, err := s.read.get(ctx, fmt.Sprintf("%s %d", h.ID, h.Revision), func(ctx context.Context) (*rig.Rig, int64, error) {
			it, err := s.studio.GetRevision(ctx, h.ID, h.Revision)
			if err != nil {
				return nil, 0, err
			}
			r, err := rig.Parse([]byte(it.Body), "rig.toml")
			if err != nil {
				r = nil
			}
			return r, int64(len(it.Body)) + 4<<10, nil // about what a rig takes, parsed
		})
		switch {
		case errors.Is(err, studio.ErrNone):
			continue // it has gone meanwhile
		case err != nil:
			return nil, err
		case r != nil:
			out = append(out, workbench.RigChoice{Ref: h.ID, Title: h.Title, Own: true, Revision: h.Revision, Rig: r})
		}
	}
	return out, nil
}

// all returns all rigs that can be chosen.
func (s *shelf) all(ctx context.Context) ([]workbench.RigChoice, error) {
	own, err := s.own(ctx)
	return workbench.RigChoices(own), err
}

// rigOption is a rig in a list to choose from.
type rigOption struct {
	Ref, Title, Tuning, Body string
	Own                      bool
	Revision                 int    // of the teacher's own
	Name                     string // that its tabs go by
	Capo                     int    // the highest fret of its capo, 0 for none
}

// options lists the rigs that can be chosen.
func (s *shelf) options(ctx context.Context) ([]rigOption, error) {
	all, err := s.all(ctx)
	var out []rigOption
	for _, c := range all {
		out = append(out, rigOption{c.Ref, c.Title, c.Rig.PrettyTuning(), string(c.Rig.Body), c.Own, c.Revision, c.Rig.Name, c.Rig.Capo.Highest})
	}
	return out, err
}

// find returns a rig by its ref.
func (s *shelf) find(ctx context.Context, ref string) (*rig.Rig, error) {
	return workbench.FindRig(ctx, s.studio, ref)
}

// named is the rig in a request's path, with how pages refer to it.
func (s *shelf) named(r *http.Request) (*rig.Rig, string, error) {
	ref := r.PathValue("id")
	g, err := s.find(r.Context(), ref)
	return g, ref, err
}

// asked is the rig that a request's form names.
func (s *shelf) asked(r *http.Request) (*rig.Rig, error) {
	return s.find(r.Context(), r.FormValue("rig"))
}
