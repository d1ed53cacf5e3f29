package report

import (
	"fmt"

	"lapwright/retune"
	"lapwright/rig"
	"lapwright/wire"
)

// RigTable is a rig's strings and load as people read them.
type RigTable struct {
	Strings []StringRow
	Load    string
	Reasons []string
}

// RigTableOf returns a rig's table.
func RigTableOf(r *rig.Rig) RigTable {
	load, tuned := r.Load(), r.TunedNames()
	out := RigTable{Load: newtonsText(load.Total) + " of " + newtonsText(load.Limit), Reasons: load.Reasons}
	for i, l := range load.Strings {
		w := r.Strings[i].Wire
		out.Strings = append(out.Strings, StringRow{
			Number: i + 1, Open: tuned[i].Pretty(), Gauge: gaugeText(w.Diameter), Short: retune.GaugeText(w), Wire: wireText(w),
			Tension: newtonsText(l.Pull), Share: fmt.Sprintf("%.0f %%", 100*l.BentShare), Finding: string(l.Finding),
		})
	}
	return out
}

func newtonsText(n wire.Newtons) string {
	return fmt.Sprintf("%.0f N (%.0f lb)", float64(n), float64(n/wire.PoundForce))
}

func gaugeText(d wire.MM) string {
	return fmt.Sprintf(".%03.0f in (%.2f mm)", float64(d/wire.Inch)*1000, float64(d))
}

func wireText(w wire.String) string {
	if w.Wound {
		return "wound, " + string(w.Material)
	}
	return "plain, " + string(w.Material)
}
