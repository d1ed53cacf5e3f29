package workbench

import (
	"context"

	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/report"
)

// DroppedTab is a dropped file of tab text.
type DroppedTab struct{ report.AskedFile }

// Bring keeps a dropped tab for its rig, one of those that can be chosen, when it can
// be read and nothing was guessed or is to be kept all the same; else it says what is
// to be asked first.
func (d *DroppedTab) Bring(ctx context.Context, st *studio.Studio, rigs []RigChoice) (*report.BroughtTab, error) {
	out := &report.BroughtTab{Rigs: RigTitles(rigs), Rig: d.Rig, Said: []report.Fault{}}
	if name, ok := notation.NamedRig([]byte(d.Text)); ok && out.Rig == "" {
		out.Rig = NamedRig(rigs, name)
	}
	if out.Rig == "" {
		return out, nil
	}
	g, err := FindRig(ctx, st, out.Rig)
	if err != nil {
		return nil, err
	}
	c, said, err := BringTab(d.Text, d.Name, out.Rig, g)
	switch {
	case err != nil:
		out.Said = report.Errors(err)
		return out, nil
	case len(said) > 0 && !d.Keep:
		out.Said, out.Readable = report.Faults(said), true
		return out, nil
	}
	it, err := st.Add(ctx, studio.Tune, c, false)
	if err != nil {
		return nil, err
	}
	out.Go = "/tunes/" + it.ID
	return out, nil
}
