package web

import (
	"context"
	"net/http"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/opus"
)

// placer gives tunes placed on rigs, each worked out once.
type placer struct {
	studio *studio.Studio
	shelf  *shelf
	tabs   *cache[*workbench.Tab]
	light  *queue
}

// place returns an item's tune on a rig.
func (p *placer) place(ctx context.Context, it *studio.Item, g *rig.Rig) (*workbench.Tab, error) {
	return p.tabs.get(ctx, workbench.TabKey(it, g), func(ctx context.Context) (*workbench.Tab, int64, error) {
		t, err := queued(ctx, p.light, func(ctx context.Context) (*workbench.Tab, error) { return workbench.Place(ctx, it, g) })
		if err != nil {
			return nil, 0, err
		}
		return t, t.Size(), nil
	})
}

// asked is what a request names: /tunes/{id}/…?rig=…&revision=….
func (p *placer) asked(r *http.Request) (*studio.Item, *rig.Rig, error) {
	it, err := askedItem(p.studio, r, studio.Tune)
	if err != nil {
		return nil, nil, err
	}
	g, err := p.shelf.asked(r)
	return it, g, err
}

// askedTab is the tab that a request names.
func (p *placer) askedTab(r *http.Request) (*studio.Item, *workbench.Tab, error) {
	it, g, err := p.asked(r)
	if err != nil {
		return nil, nil, err
	}
	t, err := p.place(r.Context(), it, g)
	return it, t, err
}

// maxBack is how many revisions are looked back for one that can be shown.
const maxBack = 8

// lastGood returns the tab of the nearest revision before an item that can be
// played, nil when there is none.
func (p *placer) lastGood(ctx context.Context, it *studio.Item, g *rig.Rig) *report.Placed {
	for range maxBack {
		if it.Parent == 0 {
			return nil
		}
		before, err := p.studio.GetRevision(ctx, it.ID, it.Parent)
		if err != nil {
			return nil
		}
		it = before
		t, err := p.place(ctx, it, g)
		switch {
		case err == nil:
			return t.At(it.Revision)
		case notTheirs(err):
			return nil
		}
	}
	return nil
}

// sounds gives recordings, each made once.
type sounds struct {
	kept  *cache[[]byte]
	heavy *queue
}

// opus returns the compressed recording that goes by a key, made by render when it
// isn't kept.
func (s *sounds) opus(ctx context.Context, key string, render func(ctx context.Context) (*sound.Audio, error)) ([]byte, error) {
	return s.kept.get(ctx, key, func(ctx context.Context) ([]byte, int64, error) {
		out, err := queued(ctx, s.heavy, func(ctx context.Context) ([]byte, error) {
			a, err := render(ctx)
			if err != nil {
				return nil, err
			}
			return opus.Write(a)
		})
		return out, int64(len(out)), err
	})
}
