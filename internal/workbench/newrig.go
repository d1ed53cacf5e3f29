package workbench

import (
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/retune/form"
	"lapwright/rig"
)

// MakeRig returns the instrument that a form describes as an item, named apart from
// the teacher's own. The error is a fault.List whose parts are the form's fields.
func MakeRig(f *form.Instrument, own []RigChoice) (studio.Content, error) {
	g, err := f.Rig()
	if err != nil {
		return studio.Content{}, err
	}
	g.Name = FreeName(own, g.Name)
	return RigContent(string(rig.Format(g)))
}

// DraftRig says what a form makes as it stands: the table of strings with their
// tension, or what is still wanted, by the form's fields.
func DraftRig(f *form.Instrument) *report.CheckedRig {
	g, err := f.Rig()
	if err != nil {
		return &report.CheckedRig{Said: report.Said{Said: report.Errors(err)}}
	}
	return checked(g, nil)
}
