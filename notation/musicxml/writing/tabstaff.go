package writing

import (
	"math"
	"strconv"

	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tab"
	"lapwright/tune"
)

// tabStaff writes the tablature of a part.
type tabStaff struct {
	staff
	*plucked
}

// line writes one voice of one bar on the tablature staff.
func (w *tabStaff) line(bar, v int) {
	b := &w.tab.Tune.Bars[bar]
	voice := v + 1 + max(4, len(b.Lines))
	for i := range b.Lines[v] {
		e := &b.Lines[v][i]
		for g := range e.Graces {
			first := true
			for j := range e.Graces[g].Notes {
				p, ok := w.of[tune.Ref{Bar: bar, Voice: v, Event: i, Grace: g, Note: j}]
				if !ok {
					continue
				}
				w.openGrace(&e.Graces[g])
				w.openNote(&tune.Note{Name: w.sounds(p, e.Graces[g].Notes[j].Name), Chop: w.pluck(p).Attack == tab.Chopped}, !first, true)
				w.voice(voice)
				w.plainValue(e.Graces[g].Value)
				w.text("stem", "none")
				w.cross(w.pluck(p).Attack == tab.Chopped)
				w.place()
				w.open("notations")
				w.technical(p)
				if len(e.Graces) > 1 {
					w.own(terms.WordGrace + " " + strconv.Itoa(g+1))
				}
				w.close()
				w.close()
				first = false
			}
		}
		first := true
		for j := range e.Notes {
			ref := tune.Ref{Bar: bar, Voice: v, Event: i, Grace: -1, Note: j}
			p, ok := w.of[ref]
			if !ok {
				continue
			}
			n := &e.Notes[j]
			stop, start := w.pluck(p).Attack == tab.Tied, w.tiedOn(bar, v, i, j)
			w.openNote(&tune.Note{Name: w.sounds(p, n.Name), Chop: w.pluck(p).Attack == tab.Chopped}, !first, false)
			w.duration(e.Len)
			w.ties(stop, start)
			w.voice(voice)
			w.value(e)
			w.timeModification(e)
			w.text("stem", "none")
			w.cross(w.pluck(p).Attack == tab.Chopped)
			w.place()
			w.open("notations")
			if stop {
				w.empty("tied", "type", "stop")
			}
			if start {
				w.empty("tied", "type", "start")
			}
			if first {
				w.tuplets(e)
			}
			w.technical(p)
			w.close()
			w.close()
			first = false
		}
		if first {
			w.silence(e, voice)
		}
	}
}

// silence writes a rest where the tablature has no pluck; what is no rest of the tune is
// not printed.
func (w *tabStaff) silence(e *tune.Event, voice int) {
	w.openRest(e, voice, e.Kind != tune.Rest)
	if edgeOfTuplet(e) {
		w.open("notations")
		w.tuplets(e)
		w.close()
	}
	w.close()
}

// technical writes string, fret and everything else of a pluck.
func (w *tabStaff) technical(p place) {
	pl := w.pluck(p)
	st := &w.tab.Strokes[p.stroke]
	number := strconv.Itoa(pl.String)
	from, hasFrom := w.before[p]
	if pl.Attack.Carried() && hasFrom && w.bendsOn(from) == 0 {
		w.empty("slide", "type", "stop", "number", number, "line-type", "solid")
	}
	bend := w.bendsOn(p)
	if pl.Glide && bend == 0 {
		w.empty("slide", "type", "start", "number", number, "line-type", "solid")
	}
	w.open("technical")
	w.number("string", int64(pl.String))
	w.number("fret", int64(math.Round(pl.Fret)))
	if f := pl.Finger.String(); f != "" {
		// The letters of the plucking hand as MusicXML has them: p i m a.
		w.text("pluck", map[string]string{"T": "p", "I": "i", "M": "m"}[f])
	}
	switch pl.Attack {
	case tab.Hammered:
		w.text("hammer-on", "", "type", "stop", "number", number)
	case tab.PulledOff:
		w.text("pull-off", "", "type", "stop", "number", number)
	case tab.Harmonic:
		w.open("harmonic")
		w.empty("natural")
		w.close()
	case tab.PalmHarmonic:
		w.open("harmonic")
		w.empty("artificial")
		w.close()
	}
	if next, ok := w.next[p]; ok {
		switch w.pluck(next).Attack {
		case tab.Hammered:
			w.text("hammer-on", "H", "type", "start", "number", number)
		case tab.PulledOff:
			w.text("pull-off", "P", "type", "start", "number", number)
		}
	}
	if n := w.bent(p); n != 0 {
		w.open("bend")
		w.number("bend-alter", int64(n))
		w.empty("pre-bend")
		w.close()
	}
	if bend != 0 {
		w.open("bend")
		w.number("bend-alter", int64(bend))
		if bend < 0 {
			w.empty("release")
		}
		w.close()
	}
	w.close()
	if pl.Vibrato {
		w.open("ornaments")
		w.empty("wavy-line", "type", "start", "number", "1")
		w.empty("wavy-line", "type", "stop", "number", "1")
		w.close()
	}
	if pl.Scoop != 0 {
		w.open("articulations")
		w.empty(map[bool]string{true: "scoop", false: "plop"}[pl.Scoop < 0])
		w.close()
		w.own(terms.WordScoopFret + " " + terms.FormatNumber(pl.Scoop))
	}
	if pl.Fret != math.Round(pl.Fret) {
		w.own(terms.WordContact + " " + terms.FormatNumber(pl.Fret))
	}
	if pl.Attack == tab.Chopped {
		w.own(terms.WordChop + " " + w.sounds(p, pitch.Name{}).String())
	}
	if pl.Node > 0 {
		w.own(terms.WordNode + " " + strconv.Itoa(int(pl.Node)))
	}
	if pl.Damp {
		w.own(terms.WordDamp)
	}
	if bend != 0 {
		w.own(terms.WordCarry)
	}
	if p.pluck == 0 {
		w.own(terms.FormatPlacement(st.Placement))
		if s := terms.FormatBenders(w.tab.Rig, st.Benders); s != "" {
			w.own(s)
		}
	}
}
