package outline

import (
	"lapwright/tab"
	"lapwright/tune"
)

// write leaves of a line of the outline what stays, and lists the rest.
func (o *outliner) write(b, v int) {
	line := o.t.Bars[b].Lines[v]
	if v != o.melody {
		o.silence(b, v)
		return
	}
	out := make([]tune.Event, 0, len(line))
	changed := false
	for i := range line {
		e := o.out.Tune.Bars[b].Lines[v][i]
		if e.Kind != tune.Sounding {
			out = append(out, e)
			continue
		}
		o.leaveGraces(b, v, &line[i])
		e.Graces = nil
		if o.keeps(place{b, v, i}) {
			e.Slurs, e.SlurEnds = o.begun[place{b, v, i}], o.ended[place{b, v, i}]
			e.Notes = o.thin(b, v, &line[i])
			out = append(out, e)
			continue
		}
		changed = true
		o.leave(b, v, &line[i], len(line[i].Notes), false)
		last := &out[len(out)-1] // it sounds: what follows a rest stays
		last.Len += e.Len
		last.BeamEnd = e.BeamEnd
		sing(last, e.Lyrics)
	}
	if changed {
		// What lengths a bar has, its longer ones have too, so they can be written.
		if written, err := tune.Notate(&o.out.Tune.Bars[b], out); err == nil {
			out = written
		}
	}
	o.out.Tune.Bars[b].Lines[v] = out
}

// silence leaves a voice out.
func (o *outliner) silence(b, v int) {
	sounded := false
	for i := range o.t.Bars[b].Lines[v] {
		if e := &o.t.Bars[b].Lines[v][i]; e.Kind == tune.Sounding {
			o.leaveGraces(b, v, e)
			o.leave(b, v, e, len(e.Notes), false)
			sounded = true
		}
	}
	if sounded {
		o.out.Tune.Bars[b].Lines[v] = []tune.Event{{Len: o.t.Bars[b].Len, Kind: tune.Skip}}
	}
}

// leave lists the lowest notes of an event as left out; beside says that others of it
// stay.
func (o *outliner) leave(b, v int, e *tune.Event, lowest int, beside bool) {
	for _, n := range e.Notes[:lowest] {
		o.out.LeftOut = append(o.out.LeftOut, tab.LeftOut{BarIndex: b, Voice: v, At: e.At, Len: e.Len, Grace: -1, Name: n.Name, Tie: n.Tie, Glide: n.Glide, Scoop: n.Scoop, Chop: n.Chop, Beside: beside})
	}
}

func (o *outliner) leaveGraces(b, v int, e *tune.Event) {
	for g := range e.Graces {
		for _, n := range e.Graces[g].Notes {
			o.out.LeftOut = append(o.out.LeftOut, tab.LeftOut{BarIndex: b, Voice: v, At: e.At, Len: e.Len, Grace: g, Name: n.Name})
		}
	}
}

// thin keeps the highest note of an event, and strokes without pitch.
func (o *outliner) thin(b, v int, e *tune.Event) []tune.Note {
	top := len(e.Notes) - 1
	if e.Notes[top].Chop {
		return e.Notes
	}
	o.leave(b, v, e, top, true)
	return []tune.Note{e.Notes[top]}
}

// sing gives the syllables of a note that is left out to the note that sounds there.
func sing(e *tune.Event, more []tune.Lyric) {
	for _, l := range more {
		found := false
		for i := range e.Lyrics {
			have := &e.Lyrics[i]
			if have.Verse != l.Verse {
				continue
			}
			found = true
			if l.Text == "" {
				have.Extend = have.Extend || l.Extend
				continue
			}
			between := " "
			if have.Hyphen {
				between = "-"
			}
			have.Text += between + l.Text
			have.Hyphen, have.Extend = l.Hyphen, l.Extend
		}
		if !found {
			e.Lyrics = append(e.Lyrics, l)
		}
	}
}

// findSlurs counts for every event of the melody how many slurs begin and end there
// when only those are left under which nothing is left out.
func (o *outliner) findSlurs() {
	type slur struct {
		from place
		gone int // notes left out before it
	}
	var open []slur
	gone := 0
	for b := range o.t.Bars {
		for i := range o.t.Bars[b].Lines[o.melody] {
			e := &o.t.Bars[b].Lines[o.melody][i]
			here, before := place{b, o.melody, i}, gone
			if e.Kind == tune.Sounding && !o.keeps(here) {
				gone++
			}
			for range e.SlurEnds {
				last := len(open) - 1
				if open[last].gone == gone {
					o.begun[open[last].from]++
					o.ended[here]++
				}
				open = open[:last]
			}
			for range e.Slurs {
				open = append(open, slur{here, before})
			}
		}
	}
}
