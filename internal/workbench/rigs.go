package workbench

import (
	"context"
	"errors"
	"fmt"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/retune/form"
	"lapwright/rig"
)

// FindRig returns a rig by its ref.
func FindRig(ctx context.Context, st *studio.Studio, ref string) (*rig.Rig, error) {
	if r, ok := rig.Builtin(ref); ok {
		return r, nil
	}
	it, err := st.Get(ctx, ref)
	if errors.Is(err, studio.ErrNone) || err == nil && it.Kind != studio.Rig {
		return nil, &fault.Fault{Msg: fmt.Sprintf("there is no instrument %q", ref)}
	}
	if err != nil {
		return nil, err
	}
	return rig.Parse([]byte(it.Body), it.Title)
}

// RigChoice is a rig that can be chosen.
type RigChoice struct {
	Ref      string
	Title    string // of its item, or of a built-in rig
	Own      bool   // one of the teacher's
	Revision int    // of its item, 0 for a built-in rig
	Rig      *rig.Rig
}

// RigChoices lists the rigs that can be chosen: those built in, then the
// teacher's own.
func RigChoices(own []RigChoice) []RigChoice {
	var out []RigChoice
	for _, r := range rig.Builtins() {
		out = append(out, RigChoice{Ref: r.Name, Title: r.Title, Rig: r})
	}
	return append(out, own...)
}

// FreeName returns a name for a rig that none of the teacher's own goes by: a
// lesson's folders are named by it.
func FreeName(own []RigChoice, name string) string {
	taken := map[string]bool{}
	for _, o := range own {
		taken[o.Rig.Name] = true
	}
	out := name
	for i := 2; taken[out]; i++ {
		out = fmt.Sprintf("%s-%d", name, i)
	}
	return out
}

// OwnCopy returns a rig of the teacher's own that begins as another.
func OwnCopy(base *rig.Rig, own []RigChoice) *rig.Rig {
	out := base.Clone()
	out.Title, out.Name = "My "+base.Title, FreeName(own, "my-"+base.Name)
	return out
}

// OwnRetuned returns a rig of the teacher's own that is another in another tuning,
// named by its pitches when the tuning has no name.
func OwnRetuned(base *rig.Rig, to string, own []RigChoice) (*rig.Rig, error) {
	plan, err := PlanTo(base, to)
	if err != nil {
		return nil, err
	}
	out := plan.To.Clone()
	out.Name = FreeName(own, "my-"+base.Name)
	out.Title = form.TitleOf(out)
	return out, nil
}

// RigContent returns a rig's text as an item: it goes by the title in it.
func RigContent(text string) (studio.Content, error) {
	parsed, err := rig.Parse([]byte(text), "rig")
	if err != nil {
		return studio.Content{}, err
	}
	return studio.Content{Title: parsed.Title, Body: text}, nil
}

// NamedRig returns the ref of the rig that goes by a name, built in or the
// teacher's own; "" when there is none.
func NamedRig(own []RigChoice, name string) string {
	if _, ok := rig.Builtin(name); ok {
		return name
	}
	for _, o := range own {
		if o.Rig.Name == name {
			return o.Ref
		}
	}
	return ""
}

// RigTitles returns rigs as a list to choose from shows them.
func RigTitles(choices []RigChoice) []report.RigTitle {
	out := []report.RigTitle{}
	for _, c := range choices {
		out = append(out, report.RigTitle{Ref: c.Ref, Title: c.Title + ", " + c.Rig.PrettyTuning()})
	}
	return out
}

// TrashedRig returns the title of a rig that is in the trash, "" when it is not.
func TrashedRig(ctx context.Context, st *studio.Studio, ref string) (string, error) {
	trash, err := st.Trash(ctx)
	for _, h := range trash {
		if h.ID == ref && h.Kind == studio.Rig {
			return h.Title, nil
		}
	}
	return "", err
}
