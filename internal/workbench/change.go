package workbench

import (
	"encoding/json"

	"lapwright/internal/studio"
)

// Change is what a page's script asks to be kept; what is absent stays.
type Change struct {
	Base  int             `json:"base"`
	Title *string         `json:"title"`
	Body  *string         `json:"body"`
	Extra json.RawMessage `json:"extra"`
	Why   string          `json:"why"`
}

// Of returns an item's content with the change.
func (c *Change) Of(it *studio.Item) (studio.Content, error) {
	out := it.Content
	if c.Title != nil {
		out.Title = *c.Title
	}
	if c.Body != nil {
		out.Body = *c.Body
	}
	if len(c.Extra) > 0 {
		out.Extra = c.Extra
	}
	// A rig goes by the title in its own text.
	if it.Kind == studio.Rig && c.Body != nil {
		if own, err := RigContent(out.Body); err == nil {
			out.Title = own.Title
		}
	}
	return out, Keepable(it.Kind, out)
}

// Reason says why a revision is kept.
func (c *Change) Reason() string {
	if c.Why == "" || len(c.Why) > 200 {
		return "written"
	}
	return c.Why
}
