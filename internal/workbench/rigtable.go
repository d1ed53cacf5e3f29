package workbench

import (
	"fmt"

	"lapwright/fault"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/wire"
)

// RigTable is a rig's strings and load as a page shows them.
type RigTable struct {
	Strings []report.StringRow
	Load    string
	Reasons []string
}

// TableOf returns a rig's table.
func TableOf(r *rig.Rig) RigTable {
	load, tuned := r.Load(), r.TunedNames()
	out := RigTable{Load: newtons(load.Total) + " of " + newtons(load.Limit), Reasons: load.Reasons}
	for i, l := range load.Strings {
		w := r.Strings[i].Wire
		out.Strings = append(out.Strings, report.StringRow{
			Number: i + 1, Open: tuned[i].Pretty(), Gauge: gauge(w.Diameter), Short: retune.GaugeText(w), Wire: kindOf(w),
			Tension: newtons(l.Pull), Share: fmt.Sprintf("%.0f %%", 100*l.BentShare), Finding: string(l.Finding),
		})
	}
	return out
}

func newtons(n wire.Newtons) string {
	return fmt.Sprintf("%.0f N (%.0f lb)", float64(n), float64(n/wire.PoundForce))
}

func gauge(d wire.MM) string {
	return fmt.Sprintf(".%03.0f in (%.2f mm)", float64(d/wire.Inch)*1000, float64(d))
}

func kindOf(w wire.String) string {
	if w.Wound {
		return "wound, " + string(w.Material)
	}
	return "plain, " + string(w.Material)
}

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
	t := TableOf(r)
	return &report.CheckedRig{Said: report.Said{Said: report.Faults(doubts)}, Strings: t.Strings, Load: t.Load, Reasons: t.Reasons, Title: r.Title, Setup: report.SetupOf(r)}
}
