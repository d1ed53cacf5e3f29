package score

import (
	"cmp"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/say"
	"lapwright/sheet/sign"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// reader takes a tune and its tab into a score.
type reader struct{ *Score }

// Slur is a curve over the notes from … to.
type Slur struct{ From, To *Note }

// readSlurs pairs the beginnings and ends of slurs in each voice; a slur that
// ends takes the one that began last.
func (s *reader) readSlurs() {
	for v := range s.Tune.Voices {
		var open []*Note
		for _, m := range s.Bars {
			for _, n := range m.Notes {
				if n.Voice != v || n.Grace >= 0 {
					continue
				}
				for range n.Event.SlurEnds {
					if k := len(open); k > 0 {
						if open[k-1] != n && !n.Rest && !open[k-1].Rest {
							s.Slurs = append(s.Slurs, Slur{open[k-1], n})
						}
						open = open[:k-1]
					}
				}
				for range n.Event.Slurs {
					open = append(open, n)
				}
			}
		}
	}
	// Graces are slurred to what they stand before.
	for _, m := range s.Bars {
		for i, n := range m.Notes {
			if n.Grace != 0 {
				continue
			}
			for _, k := range m.Notes[i:] {
				if k.Grace < 0 {
					if k.Heads != nil && n.Heads != nil && n.Bottom().Place != k.Bottom().Place {
						s.Slurs = append(s.Slurs, Slur{n, k})
					}
					break
				}
			}
		}
	}
}

// TupletGroup is one tuplet: the notes that share it.
type TupletGroup struct {
	Actual int
	Level  int
	Notes  []*Note
}

func (s *reader) readTuplets() {
	for _, m := range s.Bars {
		if m.Skip {
			continue
		}
		open := map[int][]int{} // by voice: indexes into s.groups, outermost first
		for _, n := range m.Notes {
			if n.Grace >= 0 {
				continue
			}
			stack := open[n.Voice]
			for level, t := range n.Event.Tuplets {
				if t.Starts || level >= len(stack) {
					stack = append(stack[:min(level, len(stack))], len(s.Groups))
					s.Groups = append(s.Groups, TupletGroup{Actual: t.Actual, Level: level})
				}
				g := &s.Groups[stack[level]]
				g.Notes = append(g.Notes, n)
			}
			stack = stack[:min(len(stack), len(n.Event.Tuplets))]
			for level := len(n.Event.Tuplets) - 1; level >= 0; level-- {
				if n.Event.Tuplets[level].Ends {
					stack = stack[:min(level, len(stack))]
				}
			}
			open[n.Voice] = stack
		}
	}
}

// Ending is a bracket over bars that only some passes play.
type Ending struct {
	From, To int // bars
	Label    string
	Closed   bool
}

// readEndings finds the brackets: each goes on until its end is marked, the
// next begins or the part is repeated.
func (s *reader) readEndings() {
	for i := 0; i < len(s.Tune.Bars); i++ {
		b := &s.Tune.Bars[i]
		if b.Endings == nil {
			continue
		}
		e := Ending{From: i, To: i, Label: say.Passes(b.Endings)}
		for j := i; j < len(s.Tune.Bars); j++ {
			if j > i && s.Tune.Bars[j].Endings != nil {
				break
			}
			e.To = j
			if s.Tune.Bars[j].EndingEnds {
				e.Closed = true
				break
			}
			if s.Tune.Bars[j].Right.Repeat > 0 {
				e.Closed = true
				break
			}
		}
		if !e.Closed && e.To-e.From > 3 {
			e.To = e.From // an open bracket says enough over one bar
		}
		s.Endings = append(s.Endings, e)
	}
}

// low reports whether a tune lies so low that it is better read an octave up.
func low(t *tune.Tune) bool {
	sum, n := 0, 0
	for i := range t.Bars {
		for _, line := range t.Bars[i].Lines {
			for j := range line {
				for _, x := range line[j].Notes {
					sum += x.Name.Step()
					n++
				}
			}
		}
	}
	return n > 0 && sum/n < pitch.Note(pitch.C, 0, 4).Step()
}

func (s *reader) readBars() {
	for i := range s.Tune.Bars {
		b := &s.Tune.Bars[i]
		m := &Measure{Index: i, Bar: b}
		s.Bars = append(s.Bars, m)
		busy := 0
		for _, line := range b.Lines {
			for _, e := range line {
				if e.Kind == tune.Sounding {
					busy++
					break
				}
			}
		}
		many := busy > 1
		for v, line := range b.Lines {
			for ei := range line {
				e := &line[ei]
				if e.Kind == tune.Skip {
					continue
				}
				for _, l := range e.Lyrics {
					if l.Text != "" && !slices.Contains(s.Verses, Verse{v, l.Verse}) {
						s.Verses = append(s.Verses, Verse{v, l.Verse})
					}
				}
				if e.Kind == tune.Sounding {
					for gi := range e.Graces {
						g := &e.Graces[gi]
						n := &Note{Measure: m, Voice: v, EventIndex: ei, Grace: gi, At: e.At, Event: e, Value: g.Value, Size: 0.62, Many: many, Slash: g.Slash}
						s.addHeads(n, g.Notes)
						m.Notes = append(m.Notes, n)
					}
				}
				n := &Note{Measure: m, Voice: v, EventIndex: ei, Grace: -1, At: e.At, len: e.Len, Event: e, Value: e.Value, Rest: e.Kind == tune.Rest, Size: 1, Many: many}
				if n.Rest && busy > 0 && OnlyRests(line) {
					n.Hidden = true // the other voice says what time passes
				}
				s.addHeads(n, e.Notes)
				m.Notes = append(m.Notes, n)
			}
		}
	}
}

// OnlyRests reports whether a voice is silent for the whole bar.
func OnlyRests(line []tune.Event) bool {
	for i := range line {
		if line[i].Kind == tune.Sounding {
			return false
		}
	}
	return true
}

func (s *reader) addHeads(n *Note, notes []tune.Note) {
	for i := range notes {
		ref := tune.Ref{Bar: n.Measure.Index, Voice: n.Voice, Event: n.EventIndex, Grace: n.Grace, Note: i}
		h := &Head{Of: n, ref: ref, Note: &notes[i], Place: s.place(notes[i].Name), Symbol: sign.Head(n.Value)}
		if notes[i].Chop {
			h.Symbol = sign.Cross(h.Symbol)
		}
		n.Heads = append(n.Heads, h)
		s.notes[ref] = h
	}
	inorder.Stable(n.Heads, func(a, b *Head) int { return cmp.Compare(a.Place, b.Place) })
}

func (s *reader) readStrokes() {
	last := map[int]*Play{} // by string
	for i := range s.Tab.Strokes {
		k := &s.Tab.Strokes[i]
		if chops(k) {
			// Where the steel waits meanwhile is not read.
			bare := *k
			bare.Placement = steel.Placement{}
			k = &bare
		}
		st := &Stop{Stroke: k}
		for j := range k.Plucks {
			pl := &Play{stroke: k, Pluck: &k.Plucks[j], Stop: st}
			st.Plays = append(st.Plays, pl)
			if h := s.notes[pl.Pluck.Ref]; h != nil {
				h.Play, pl.Head = pl, h
				if pl.Pluck.Attack == tab.Harmonic || pl.Pluck.Attack == tab.PalmHarmonic {
					h.Symbol = sign.Diamond(h.Symbol)
				}
			}
			if b := last[pl.Pluck.String]; b != nil {
				s.After[b] = pl
				s.Before[pl] = b
			}
			last[pl.Pluck.String] = pl
		}
		if k.BarIndex >= 0 && k.BarIndex < len(s.Bars) {
			s.setStop(st)
			s.Bars[k.BarIndex].attach(st)
		}
	}
	for i := range s.Tab.Compromises {
		c := &s.Tab.Compromises[i]
		if h := s.notes[c.Ref]; h != nil {
			h.Of.Measure.markAmiss(h.Of)
		}
	}
}

// chops reports whether nothing of a stroke has a pitch.
func chops(k *tab.Stroke) bool {
	return len(k.Plucks) > 0 && !slices.ContainsFunc(k.Plucks, func(p tab.Pluck) bool { return p.Attack != tab.Chopped })
}

// silent reports whether a bar holds nothing but rest and nothing that must be
// read at its place.
func (s *reader) silent(m *Measure) bool {
	b := m.Bar
	if len(b.Chords)+len(b.Texts)+len(b.Signs)+len(b.Tempos) > 0 || b.Part != "" || b.Endings != nil || b.EndingEnds {
		return false
	}
	if b.Meter.Len() == 0 || b.Len != b.Meter.Len() || len(m.Notes) == 0 {
		return false
	}
	for _, n := range m.Notes {
		if !n.Rest || len(n.Event.Marks) > 0 || len(n.Event.Lyrics) > 0 {
			return false
		}
	}
	for _, r := range s.Options.Remarks {
		if r.BarIndex == m.Index {
			return false
		}
	}
	return true
}

// mergeRests makes runs of silent bars one rest of many bars.
func (s *reader) mergeRests() {
	for i := 0; i < len(s.Bars); {
		if !s.silent(s.Bars[i]) || s.Bars[i].Bar.Right.Repeat > 0 {
			i++
			continue
		}
		j := i + 1
		for j < len(s.Bars) && s.silent(s.Bars[j]) && s.Bars[j].Bar.Left.Repeat == 0 && s.Bars[j].Bar.Key == s.Bars[i].Bar.Key && s.Bars[j].Bar.Meter.Equal(s.Bars[i].Bar.Meter) && s.Bars[j-1].Bar.Right == (tune.Barline{}) {
			j++
		}
		s.Bars[i].Rests = j - i
		for k := i + 1; k < j; k++ {
			s.Bars[k].Skip = true
		}
		i = j
	}
}
