package score

import (
	"lapwright/pitch"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// setAccidentals decides which heads of a bar show an accidental. An
// accidental holds for its own line or space until the barline; a tied note
// does not repeat it. After a bar in which a letter was altered, and in
// another octave of the same bar, its return to the signature is shown in
// brackets (common practice; Gould, Behind Bars, chapter 3).
func (s *setter) setAccidentals(m *Measure) {
	now := map[int]int{}                 // by letter and octave
	elsewhere := map[pitch.Letter]bool{} // letters altered in this bar, whatever the octave
	before := s.alteredIn(m.Index - 1)   // letters altered in the bar before
	told := map[pitch.Letter]bool{}      // letters already reminded of
	key := func(l pitch.Letter) int { return m.Bar.Key.Alter(l) }
	for _, nd := range m.Nodes {
		for _, n := range nd.Notes {
			for _, h := range n.Heads {
				if h.Note.Chop {
					continue
				}
				name := h.Note.Name
				step, alter := name.Step(), int(name.Alter)
				held, ok := now[step]
				if !ok {
					held = key(name.Letter)
				}
				if s.tiedInto(h) && alter != held {
					continue // the tie carries it across the barline
				}
				switch {
				case alter != held:
					h.Accidental = sign.Accidental(alter)
					now[step] = alter
				case h.Note.Show || h.Note.Courtesy:
					h.Accidental = sign.Accidental(alter)
					h.Brackets = h.Note.Courtesy
				case !ok && alter == key(name.Letter) && !told[name.Letter] && !s.tiedInto(h):
					a, was := before[name.Letter]
					if elsewhere[name.Letter] || was && a != alter {
						h.Accidental, h.Brackets = sign.Accidental(alter), true
						told[name.Letter] = true
					}
				}
				if alter != key(name.Letter) {
					elsewhere[name.Letter] = true
				} else if a, was := before[name.Letter]; was && a != alter {
					told[name.Letter] = true
				}
			}
		}
	}
}

// alteredIn lists the letters that a bar leaves altered against its signature,
// by the last alteration that each has. A chop shows none.
func (s *setter) alteredIn(i int) map[pitch.Letter]int {
	out := map[pitch.Letter]int{}
	if i < 0 {
		return out
	}
	m := s.Bars[i]
	for _, nd := range m.Nodes {
		for _, n := range nd.Notes {
			for _, h := range n.Heads {
				if h.Note.Chop {
					continue
				}
				if a := int(h.Note.Name.Alter); a != m.Bar.Key.Alter(h.Note.Name.Letter) {
					out[h.Note.Name.Letter] = a
				} else {
					delete(out, h.Note.Name.Letter)
				}
			}
		}
	}
	return out
}

// tiedInto reports whether a head is held over from the event before it in its
// voice.
func (s *Score) tiedInto(h *Head) bool { return s.TieFrom(h) != nil }

// TieFrom finds the head that is tied to h, or nil.
func (s *Score) TieFrom(h *Head) *Head {
	if h.Of.Grace >= 0 {
		return nil
	}
	prev := s.eventBefore(h.Of)
	if prev == nil {
		return nil
	}
	for _, o := range prev.Heads {
		if o.Note.Tie && o.Note.Name.Key() == h.Note.Name.Key() {
			return o
		}
	}
	return nil
}

// eventBefore finds the event before a note in its voice, across the barline
// when need be; nil when that is no sounding event.
func (s *Score) eventBefore(n *Note) *Note {
	bar, ev := n.Measure.Index, n.EventIndex-1
	for ; bar >= 0 && bar >= n.Measure.Index-1 && n.Voice < len(s.Tune.Bars[bar].Lines); bar-- {
		if bar != n.Measure.Index {
			ev = len(s.Tune.Bars[bar].Lines[n.Voice]) - 1
		}
		if ev >= 0 {
			return s.sounding(bar, n.Voice, ev)
		}
	}
	return nil
}

// EventAfter finds the next sounding event of a note's voice, in its bar or the
// next, or nil.
func (s *Score) EventAfter(n *Note) *Note {
	bar, ev := n.Measure.Index, n.EventIndex+1
	for ; bar < len(s.Tune.Bars) && bar <= n.Measure.Index+1 && n.Voice < len(s.Tune.Bars[bar].Lines); bar++ {
		if bar != n.Measure.Index {
			ev = 0
		}
		if ev < len(s.Tune.Bars[bar].Lines[n.Voice]) {
			return s.sounding(bar, n.Voice, ev)
		}
	}
	return nil
}

// sounding returns what is drawn for an event, nil when it does not sound.
func (s *Score) sounding(bar, voice, event int) *Note {
	h := s.notes[tune.Ref{Bar: bar, Voice: voice, Event: event, Grace: -1}]
	if h == nil {
		return nil
	}
	return h.Of
}
