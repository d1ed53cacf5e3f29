package web

import (
	"context"
	"errors"
	"fmt"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
)

// lists say of items what they are.
type lists struct {
	studio *studio.Studio
	abouts *cache[string]
}

// maxAbouts is how many bytes of words about items are kept: those of 100,000 items, the
// most that a studio takes in at once. When fewer were kept, a list of more would be
// read anew each time, since it drops what it needs next.
const maxAbouts = 100_000 * aboutBytes

// aboutBytes is what the words about one item take as a rule, with what the cache
// itself needs.
const aboutBytes = 300

func newLists(st *studio.Studio) *lists { return &lists{st, newCache[string](maxAbouts)} }

// row is an item in a list, with a line about it.
type row struct {
	*studio.Heading
	About string
}

// kind lists the items of a kind that are not in the trash.
func (l *lists) kind(ctx context.Context, kind studio.Kind) ([]row, error) {
	list, err := l.studio.List(ctx, kind)
	if err != nil {
		return nil, err
	}
	return l.rows(ctx, list)
}

func (l *lists) rows(ctx context.Context, list []*studio.Heading) ([]row, error) {
	out := make([]row, len(list))
	for i, h := range list {
		about, err := l.about(ctx, h)
		if err != nil && !errors.Is(err, studio.ErrNone) { // it may have gone meanwhile
			return nil, err
		}
		out[i] = row{h, about}
	}
	return out, nil
}

// maxRead is the largest item that a list reads to say what it is, in bytes. A
// tune of 32 bars takes about 500.
const maxRead = 16 << 10

// about says in a few words what an item is. A revision never changes, so the
// words are kept.
func (l *lists) about(ctx context.Context, h *studio.Heading) (string, error) {
	switch {
	case h.Kind == studio.Grip:
		return "", nil
	case h.Size > maxRead:
		return fmt.Sprintf("long, %d KB of text", h.Size>>10), nil
	}
	return l.abouts.get(ctx, fmt.Sprintf("%s %d", h.ID, h.Revision), func(ctx context.Context) (string, int64, error) {
		it, err := l.studio.GetRevision(ctx, h.ID, h.Revision)
		if err != nil {
			return "", 0, err
		}
		about := workbench.About(it)
		return about, max(aboutBytes, int64(len(about))+200), nil
	})
}
