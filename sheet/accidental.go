package sheet

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
func (s *score) setAccidentals(m *measure) {
	now := map[int]int{}                // by letter and octave
	elsewhere := map[pitch.Letter]int{} // letters altered in this bar, whatever the octave
	before := s.alteredIn(m.i - 1)      // letters altered in the bar before
	told := map[pitch.Letter]bool{}     // letters already reminded of
	key := func(l pitch.Letter) int { return m.b.Key.Alter(l) }
	for _, nd := range m.nodes {
		for _, n := range nd.notes {
			for _, h := range n.heads {
				name := h.n.Name
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
					h.acc = sign.Accidental(alter)
					now[step] = alter
				case h.n.Show || h.n.Courtesy:
					h.acc = sign.Accidental(alter)
					h.brackets = h.n.Courtesy
				case !ok && alter == key(name.Letter) && !told[name.Letter] && !s.tiedInto(h):
					if a, was := elsewhere[name.Letter]; was && a != alter {
						h.acc, h.brackets = sign.Accidental(alter), true
						told[name.Letter] = true
					} else if a, was := before[name.Letter]; was && a != alter {
						h.acc, h.brackets = sign.Accidental(alter), true
						told[name.Letter] = true
					}
				}
				if alter != key(name.Letter) {
					elsewhere[name.Letter] = alter
				} else if a, was := before[name.Letter]; was && a != alter {
					told[name.Letter] = true
				}
			}
		}
	}
}

// alteredIn lists the letters that a bar leaves altered against its signature,
// by the last alteration that each has.
func (s *score) alteredIn(i int) map[pitch.Letter]int {
	out := map[pitch.Letter]int{}
	if i < 0 || i >= len(s.bars) {
		return out
	}
	m := s.bars[i]
	for _, nd := range m.nodes {
		for _, n := range nd.notes {
			for _, h := range n.heads {
				if a := int(h.n.Name.Alter); a != m.b.Key.Alter(h.n.Name.Letter) {
					out[h.n.Name.Letter] = a
				} else {
					delete(out, h.n.Name.Letter)
				}
			}
		}
	}
	return out
}

// tiedInto reports whether a head is held over from the event before it in its
// voice.
func (s *score) tiedInto(h *head) bool { return s.tieFrom(h) != nil }

// tieFrom finds the head that is tied to h, or nil.
func (s *score) tieFrom(h *head) *head {
	if h.of.grace >= 0 {
		return nil
	}
	prev := s.eventBefore(h.of)
	if prev == nil {
		return nil
	}
	for _, o := range prev.heads {
		if o.n.Tie && o.n.Name.Key() == h.n.Name.Key() {
			return o
		}
	}
	return nil
}

// eventBefore finds the event before a note in its voice, across the barline
// when need be; nil when that is no sounding event.
func (s *score) eventBefore(n *note) *note {
	bar, ev := n.bar.i, n.event-1
	for ; bar >= 0 && bar >= n.bar.i-1 && n.voice < len(s.t.Bars[bar].Lines); bar-- {
		if bar != n.bar.i {
			ev = len(s.t.Bars[bar].Lines[n.voice]) - 1
		}
		if ev >= 0 {
			return s.sounding(bar, n.voice, ev)
		}
	}
	return nil
}

// eventAfter finds the next sounding event of a note's voice, in its bar or the
// next, or nil.
func (s *score) eventAfter(n *note) *note {
	bar, ev := n.bar.i, n.event+1
	for ; bar < len(s.t.Bars) && bar <= n.bar.i+1 && n.voice < len(s.t.Bars[bar].Lines); bar++ {
		if bar != n.bar.i {
			ev = 0
		}
		if ev < len(s.t.Bars[bar].Lines[n.voice]) {
			return s.sounding(bar, n.voice, ev)
		}
	}
	return nil
}

// sounding returns what is drawn for an event, nil when it does not sound.
func (s *score) sounding(bar, voice, event int) *note {
	h := s.notes[tune.Ref{Bar: bar, Voice: voice, Event: event, Grace: -1}]
	if h == nil || s.t.Bars[bar].Lines[voice][event].Kind != tune.Sounding {
		return nil
	}
	return h.of
}
