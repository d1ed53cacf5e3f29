package musicxml

import (
	"cmp"
	"slices"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/tune"
)

// settling makes the tune of a part one that can be played: what it can't hold goes,
// and is listed.
type settling struct {
	r     *reader
	bars  []rawBar
	t     *tune.Tune
	lines [][]voiceLine
}

// warn lists one thing that has been changed in a bar.
func (s *settling) warn(bar int, format string, args ...any) {
	s.r.warnBar(&s.bars[bar], format, args...)
}

// directions moves what stands past the end of its bar to where it
// belongs and orders the rest.
func (s *settling) directions() {
	t := s.t
	for i := range t.Bars {
		b := &t.Bars[i]
		next := func() *tune.Bar {
			if i+1 < len(t.Bars) {
				return &t.Bars[i+1]
			}
			return nil
		}()
		chords, tempos := b.Chords, b.Tempos
		b.Chords, b.Tempos = nil, nil
		for _, c := range chords {
			switch {
			case c.At < b.Len:
				b.Chords = append(b.Chords, c)
			case next != nil:
				c.At -= b.Len
				next.Chords = append(next.Chords, c)
			default:
				s.warn(i, "the chord symbol %q stands after the last bar and is left out", fault.Clip(c.Text))
			}
		}
		for _, x := range tempos {
			switch {
			case x.At < b.Len:
				b.Tempos = append(b.Tempos, x)
			case next != nil:
				x.At -= b.Len
				next.Tempos = append(next.Tempos, x)
			default:
				s.warn(i, "a tempo stands after the last bar and is left out")
			}
		}
		for j := range b.Texts {
			b.Texts[j].At = min(b.Texts[j].At, b.Len)
		}
		for j := range b.Signs {
			b.Signs[j].At = min(b.Signs[j].At, b.Len)
		}
		slices.SortStableFunc(b.Chords, func(x, y tune.ChordAt) int { return cmp.Compare(x.At, y.At) })
		slices.SortStableFunc(b.Tempos, func(x, y tune.Tempo) int { return cmp.Compare(x.At, y.At) })
		slices.SortStableFunc(b.Texts, func(x, y tune.TextAt) int { return cmp.Compare(x.At, y.At) })
		slices.SortStableFunc(b.Signs, func(x, y tune.Sign) int { return cmp.Compare(x.At, y.At) })
	}
}

// repeats takes out navigation that can't be followed: the signs first,
// then repeats and endings.
func (s *settling) repeats() {
	t := s.t
	_, faults := tune.Unfold(t)
	if len(faults) == 0 {
		return
	}
	for _, f := range faults {
		s.r.score.Warnings.Add(&fault.Fault{File: s.r.file, Bar: f.Bar, Msg: f.Msg + "; such signs are left out"})
	}
	for i := range t.Bars {
		t.Bars[i].Signs = nil
	}
	if _, faults = tune.Unfold(t); len(faults) == 0 {
		return
	}
	for i := range t.Bars {
		b := &t.Bars[i]
		b.Endings, b.EndingEnds, b.Left.Repeat, b.Right.Repeat = nil, false, 0, 0
	}
}

// slurs counts slurs whose both ends are there, voice by voice.
func (s *settling) slurs() {
	t, lines := s.t, s.lines
	for v := range t.Voices {
		type start struct {
			bar, event int
			line, col  int
		}
		open := map[string]start{}
		for i := range t.Bars {
			events := t.Bars[i].Lines[v]
			for k := range events {
				raw := lines[i][v].raws[k]
				if raw == nil {
					continue
				}
				first := k == 0 || lines[i][v].raws[k-1] != raw
				last := k+1 == len(events) || lines[i][v].raws[k+1] != raw
				for _, m := range raw.slurs {
					if m.starts || !last {
						continue
					}
					from, ok := open[m.number]
					if !ok {
						s.r.leave(&node{line: raw.line, col: raw.col}, "slurs whose two ends are not in one voice")
						continue
					}
					delete(open, m.number)
					t.Bars[from.bar].Lines[v][from.event].Slurs++
					events[k].SlurEnds++
				}
				for _, m := range raw.slurs {
					if m.starts && first {
						if was, ok := open[m.number]; ok {
							s.r.leave(&node{line: was.line, col: was.col}, "slurs whose two ends are not in one voice")
						}
						open[m.number] = start{i, k, raw.line, raw.col}
					}
				}
			}
		}
		for _, o := range open {
			s.r.leave(&node{line: o.line, col: o.col}, "slurs whose two ends are not in one voice")
		}
	}
}

// joins takes out ties and glides that lead nowhere.
func (s *settling) joins() {
	t := s.t
	passes, _ := tune.Unfold(t)
	after := tune.Followers(t, passes)
	for i := range t.Bars {
		for v, line := range t.Bars[i].Lines {
			for k := range line {
				s.event(i, &line[k], tune.Next(t, after, i, v, k))
			}
		}
	}
}

func (s *settling) event(bar int, e *tune.Event, next []*tune.Event) {
	for j := range e.Notes {
		n := &e.Notes[j]
		if n.Tie && !slices.ContainsFunc(next, func(x *tune.Event) bool { return slices.Contains(tune.TiedFrom(e, x), j) }) {
			s.warn(bar, "a tie from %s leads to no note of its voice and is left out", n.Name)
			n.Tie = false
		}
		if n.Tie && n.Glide {
			s.warn(bar, "%s is tied and slides too; the slide is left out", n.Name)
			n.Glide = false
		}
	}
	for g := range e.Graces {
		for j := range e.Graces[g].Notes {
			n := &e.Graces[g].Notes[j]
			after := len(e.Notes)
			if g+1 < len(e.Graces) {
				after = len(e.Graces[g+1].Notes)
			}
			if n.Glide && len(e.Graces[g].Notes)-1-j >= after {
				s.warn(bar, "a slide from %s leads to no note of its voice and is left out", n.Name)
				n.Glide = false
			}
		}
	}
	for j := range e.Notes {
		n := &e.Notes[j]
		fromTop := len(e.Notes) - 1 - j
		if n.Glide && !slices.ContainsFunc(next, func(x *tune.Event) bool { return lands(e, x, fromTop) }) {
			s.warn(bar, "a slide from %s leads to no note of its voice and is left out", n.Name)
			n.Glide = false
		}
	}
}

// lands reports whether a slide out of e, from the note that many places below
// its top, finds a note of next that is begun anew.
func lands(e, next *tune.Event, fromTop int) bool {
	if next.Kind != tune.Sounding {
		return false
	}
	if len(next.Graces) > 0 {
		return fromTop < len(next.Graces[0].Notes)
	}
	return fromTop < len(next.Notes) && tune.TiedFrom(e, next)[len(next.Notes)-1-fromTop] < 0
}

// settleAccidentals keeps Show only where the accidental would not be printed
// anyway.
func settleAccidentals(t *tune.Tune) {
	for i := range t.Bars {
		for v, line := range t.Bars[i].Lines {
			acc := terms.NewAccidentals(t.Bars[i].Key)
			for k := range line {
				e := &line[k]
				for g := range e.Graces {
					for j := range e.Graces[g].Notes {
						n := &e.Graces[g].Notes[j]
						if acc.Take(n.Name) {
							n.Show = false
						}
					}
				}
				if e.Kind != tune.Sounding {
					continue
				}
				ties := tune.TiedFrom(t.EventBefore(i, v, k), e)
				for j := range e.Notes {
					if acc.Take(e.Notes[j].Name) && ties[j] < 0 {
						e.Notes[j].Show = false
					}
				}
			}
		}
	}
}

// beams marks where a beam could go on and doesn't.
func (s *settling) beams() {
	t, lines := s.t, s.lines
	for i := range t.Bars {
		for v, line := range t.Bars[i].Lines {
			raws := lines[i][v].raws
			for k := 0; k+1 < len(line); k++ {
				if line[k].Flags() == 0 || line[k+1].Flags() == 0 || raws[k] == nil || raws[k] == raws[k+1] {
					continue
				}
				line[k].BeamEnd = raws[k].beam != "begin" && raws[k].beam != "continue"
			}
		}
	}
}

// fingers points the strings and frets at their notes.
func (s *settling) fingers(out *Part) {
	t, lines := s.t, s.lines
	for i := range t.Bars {
		for v := range t.Voices {
			raws := lines[i][v].raws
			for k, raw := range raws {
				if raw == nil {
					continue
				}
				again := k > 0 && raws[k-1] == raw
				for _, f := range raw.fingers {
					if again && f.Ref.Grace >= 0 {
						continue
					}
					g := *f
					g.Ref = tune.Ref{Bar: i, Voice: v, Event: k, Grace: f.Ref.Grace, Note: f.Ref.Note}
					if again {
						g.tied = true
						g.hammered, g.pulled, g.slideTo = false, false, false
					}
					out.Fingers = append(out.Fingers, g)
				}
			}
		}
	}
}
