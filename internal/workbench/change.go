package workbench

import (
	"strings"

	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/rig"
)

// Change is what a page's script asks to be kept; what is absent stays.
type Change struct{ report.AskedChange }

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
	if err := c.matchTitles(it, &out); err != nil {
		return out, err
	}
	return out, Keepable(it.Kind, out)
}

// matchTitles makes an item's title and the one in its text the same: a tune's and a
// rig's text hold their title, which the sheet shows. A change of the text leads;
// a text that can't be read keeps the title that there is.
func (c *Change) matchTitles(it *studio.Item, out *studio.Content) error {
	renamed := c.Title != nil && c.Body == nil && *c.Title != it.Title
	switch {
	case it.Kind == studio.Rig && renamed:
		g, err := rig.Parse([]byte(out.Body), "rig")
		if err != nil {
			return nil
		}
		g.Title = strings.Join(strings.Fields(out.Title), " ")
		if l := g.Check(); len(l) > 0 {
			return l
		}
		out.Title, out.Body = g.Title, string(rig.Format(g))
	case it.Kind == studio.Rig:
		if own, err := RigContent(out.Body); err == nil {
			out.Title = own.Title
		}
	case it.Kind == studio.Tune && renamed:
		title := strings.Join(strings.Fields(out.Title), " ")
		if text, err := notation.Retitle(out.Body, title); err == nil {
			out.Title, out.Body = title, text
		}
	case it.Kind == studio.Tune && c.Body != nil:
		if t, _, err := ReadTune(out.Body); err == nil && strings.TrimSpace(t.Title) != "" {
			out.Title = TitleOf(t.Title)
		}
	}
	return nil
}

// Reason says why a revision is kept.
func (c *Change) Reason() string {
	if c.Why == "" || len(c.Why) > 200 {
		return "written"
	}
	return c.Why
}
