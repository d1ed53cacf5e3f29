package workbench

import (
	"lapwright/fault"
	"lapwright/report"
	"lapwright/rig"
)

// CheckRig reads a rig's text: its table, or only what is wrong in it.
func CheckRig(text string) *report.CheckedRig {
	r, doubts, err := rig.Read([]byte(text), "rig")
	if err != nil {
		return &report.CheckedRig{Said: report.Said{Said: report.Errors(err)}}
	}
	return checked(r, doubts)
}

// checked returns what is shown of a rig that could be read.
func checked(r *rig.Rig, doubts fault.List) *report.CheckedRig {
	t := report.RigTableOf(r)
	return &report.CheckedRig{Said: report.Said{Said: report.Faults(doubts)}, Strings: t.Strings, Load: t.Load, Reasons: t.Reasons, Title: r.Title, Setup: report.SetupOf(r)}
}
