package workbench

import (
	"encoding/json"
	"math"
	"slices"

	"lapwright/arrange"
	"lapwright/internal/studio"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/tab"
)

// ReadSettings reads a tune's settings. Those of a wrong kind, which no save
// takes but an archive may have brought, are left out, and their names given.
func ReadSettings(it *studio.Item) (report.TuneSettings, []string, error) {
	var x report.TuneSettings
	if json.Unmarshal(it.Extra, &x) == nil {
		return x, nil, nil
	}
	var all map[string]json.RawMessage
	if err := readKept(it.Extra, "this tune's settings", &all); err != nil {
		return x, nil, err
	}
	x = report.TuneSettings{Wishes: map[string]report.Wishes{}}
	var left []string
	read := func(name string, raw json.RawMessage, to any) bool {
		if len(raw) == 0 || json.Unmarshal(raw, to) == nil {
			return true
		}
		left = append(left, name)
		return false
	}
	if !read("rig", all["rig"], &x.Rig) {
		x.Rig = ""
	}
	if !read("beside", all["beside"], &x.Beside) {
		x.Beside = ""
	}
	if !read("tempo", all["tempo"], &x.Tempo) {
		x.Tempo = 0
	}
	if !read("touch", all["touch"], &x.Touch) {
		x.Touch = ""
	}
	var wishes map[string]json.RawMessage
	read("wishes", all["wishes"], &wishes)
	for name, raw := range wishes {
		var w report.Wishes
		if read("wishes for "+name, raw, &w) {
			x.Wishes[name] = w
		}
	}
	slices.Sort(left)
	return x, left, nil
}

// wishesFor returns what is asked of a tune's tab on a rig, the tune's touch where the
// rig's wishes name none.
func wishesFor(x *report.TuneSettings, name string) report.Wishes {
	w := x.Wishes[name]
	switch w.Touch {
	case "":
		w.Touch = x.Touch
	case "graded":
		w.Touch = ""
	}
	return w
}

// optionsOf returns wishes as the arranger takes them for a rig, their pins moved behind an
// intro that makes bars' numbers so much higher. Pins that sleep on the rig are left out.
func optionsOf(w report.Wishes, g *rig.Rig, before int) (arrange.Options, error) {
	o, err := page.Options(w)
	if err != nil {
		return o, told(err)
	}
	o.Capo = w.Capo
	for i := range w.Pins {
		a, gone, err := arrangedPin(&w.Pins[i], g)
		if err != nil {
			return o, err
		}
		if a.FromBarNumber += before; len(gone) == 0 {
			o.Pins = append(o.Pins, a)
		}
	}
	return o, nil
}

// wishesOf returns the wishes under which the arranger plays a tab's tune exactly
// as the tab does: its key, no change of octave, and every stroke pinned.
func wishesOf(t *tab.Tab) report.Wishes {
	as := 0
	out := report.Wishes{Octave: &as}
	if len(t.Tune.Bars) > 0 {
		out.Key = t.Tune.Bars[0].Key.Tonic.String()
	}
	for i := range t.Strokes {
		st := &t.Strokes[i]
		bar, at := t.Tune.Place(st.BarIndex, st.At)
		letters := report.Marks(t.Rig, st.Benders)
		p := report.Pin{Bar: bar, At: at.String(), Benders: &letters, Words: "as typed"}
		for j := range st.Plucks {
			// A harmonic's place on the neck is found by the arranger.
			if st.Plucks[j].Node == 0 {
				p.Grip = append(p.Grip, [2]int{st.Plucks[j].String, int(math.Round(st.Plucks[j].Fret))})
			}
		}
		if len(p.Grip) > 0 && !st.Grace {
			out.Pins = append(out.Pins, p)
		}
	}
	return out
}
