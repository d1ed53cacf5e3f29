package accompany

import (
	"slices"

	"lapwright/arrange"
	"lapwright/feel"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/tab"
	"lapwright/tune"
)

// write makes the tune that the part plays: the bars, repeats and tempos of the one
// that it accompanies, one line, the chords as they are played.
func (b *builder) write() (*tune.Tune, error) {
	t := b.perf.Tune.Clone()
	t.Voices = []tune.Voice{{ID: "backup", Name: b.o.Feel.Name}}
	t.Words, t.Notes, t.Subtitles = nil, nil, []string{"backup: " + b.o.Feel.Name}
	lines := make([][]tune.Event, len(t.Bars))
	for i, s := range b.spells {
		for _, p := range s.parts {
			for k := range p.strokes {
				until := p.to
				if k+1 < len(p.strokes) {
					until = p.strokes[k+1].At
				}
				lines[p.bar] = append(lines[p.bar], b.events(i, p.bar, &p.strokes[k], until)...)
			}
		}
	}
	for i := range t.Bars {
		bar := &t.Bars[i]
		bar.Texts = nil
		b.symbols(bar, i)
		line, err := tune.Notate(bar, rests(lines[i], bar.Len))
		if err != nil {
			return nil, faultIn(bar.Number, "%v", err)
		}
		bar.Lines = [][]tune.Event{line}
	}
	t.Swing = b.o.Feel.Swing
	if l := t.Check(); len(l) > 0 {
		return nil, l
	}
	return t, nil
}

// symbols writes the chords of a bar as they are played, and those that pass.
func (b *builder) symbols(bar *tune.Bar, index int) {
	var passing []tune.ChordAt
	for i, s := range b.spells {
		for k, p := range s.parts {
			if p.bar != index {
				continue
			}
			found := false
			for j := range bar.Chords {
				c := &bar.Chords[j]
				if c.Chord != nil && c.At >= p.from && c.At < p.to {
					found = true
					played := b.way[i].chord
					played.Bass = c.Chord.Bass
					c.Chord, c.Text = &played, played.String()
				}
			}
			if !found && k == 0 {
				c := s.chord
				passing = append(passing, tune.ChordAt{At: p.from, Text: c.String(), Chord: &c})
			}
		}
	}
	bar.Chords = append(bar.Chords, passing...)
	inorder.Stable(bar.Chords, func(x, y tune.ChordAt) int { return int(x.At - y.At) })
}

// events makes the event of a stroke of spell i: none where there is nothing to play,
// two where bass and grip belong together and no hand has both at once: the bass, and
// the grip in the silence before the next stroke, or else halfway.
func (b *builder) events(i, bar int, st *feel.Stroke, until tune.Ticks) []tune.Event {
	x, second := b.way[i], b.spells[i].second[st]
	if st.Sign == feel.Chop {
		return []tune.Event{b.chop(bar, st, x.half(second))}
	}
	s := b.strikes(i, second, st.Sign)
	if s == nil {
		return nil
	}
	if bass, grip := st.Sign.Plays(); bass && grip && x.whole == nil && x.bass != nil && !s.has(x.chord.Bass) {
		length := st.Len / 2
		if until >= st.At+2*st.Len {
			length = st.Len
		}
		first := b.event(bar, st.At, length, st, x.bass)
		then := b.event(bar, st.At+length, length, st, s)
		then.Marks = slices.DeleteFunc(then.Marks, func(m tune.Mark) bool { return m != tune.Swell })
		return []tune.Event{first, then}
	}
	return []tune.Event{b.event(bar, st.At, st.Len, st, s)}
}

// event makes one event.
func (b *builder) event(bar int, at, length tune.Ticks, st *feel.Stroke, s *struck) tune.Event {
	e := tune.Event{At: at, Len: length, Kind: tune.Sounding}
	for _, n := range s.notes {
		e.Notes = append(e.Notes, tune.Note{Name: n.Name})
	}
	inorder.Stable(e.Notes, func(p, q tune.Note) int { return p.Name.Key() - q.Name.Key() })
	if st.Accent {
		e.Marks = append(e.Marks, tune.Accent)
	}
	if st.Sign == feel.Swell && b.rig.Body.Electric() {
		e.Marks = append(e.Marks, tune.Swell)
	}
	b.played[place{bar, at}] = s
	return e
}

// chop makes the stroke across the strings of a grip with the palm on them.
func (b *builder) chop(bar int, st *feel.Stroke, s *struck) tune.Event {
	e := b.event(bar, st.At, st.Len, st, &struck{})
	for _, n := range slices.Backward(s.notes) { // low to high, as strings are tuned
		e.Notes = append(e.Notes, tune.Note{Name: b.rig.Strings[n.String-1].Open, Chop: true})
	}
	inorder.Stable(e.Notes, func(p, q tune.Note) int { return p.Name.Key() - q.Name.Key() })
	return e
}

// strikes returns what a sign strikes of the voicing of spell i, nil for nothing.
func (b *builder) strikes(i int, second bool, sign feel.Sign) *struck {
	x := b.way[i]
	c, g := x.chord, x.half(second)
	switch sign {
	case feel.Bass:
		return x.bass
	case feel.Fifth:
		fifth := c.Root.Up(pitch.Interval{Steps: 4, Semitones: 7})
		for _, t := range c.Tones {
			if t.Interval.Steps == 4 {
				fifth = c.Class(t)
			}
		}
		return b.other(x, fifth)
	case feel.Sixth:
		return b.other(x, c.Root.Up(pitch.Interval{Steps: 5, Semitones: 9}))
	case feel.Near:
		if next := b.spells[i].next; next != nil {
			return b.other(x, next.chord.Bass.Up(pitch.Interval{Steps: -1, Semitones: -1}))
		}
		return b.strikes(i, second, feel.Fifth)
	case feel.Whole, feel.Swell:
		if x.whole == nil || second && x.second != nil {
			return g
		}
		return x.whole
	case feel.Low:
		return g.voice(0)
	case feel.Mid:
		return g.voice(len(g.notes) / 2)
	case feel.High:
		return g.voice(len(g.notes) - 1)
	}
	return g
}

// other returns a bass of another class, the nearest to the chord's own; the own where
// none is in reach.
func (b *builder) other(x *voicing, c pitch.Class) *struck {
	var best *struck
	apart := func(s *struck) int { return max(s.low-x.bass.low, x.bass.low-s.low) }
	for _, s := range b.v.basses(c, x.grip) {
		if x.bass != nil && s.low < x.grip.high && (best == nil || apart(s) < apart(best)) {
			best = s
		}
	}
	if best == nil {
		return x.bass
	}
	return best
}

// voice returns one note of a grip by itself, counted from the lowest.
func (s *struck) voice(k int) *struck {
	notes := slices.Clone(s.notes)
	inorder.Stable(notes, func(a, b grip.Sounded) int { return a.Name.Key() - b.Name.Key() })
	return &struck{notes: notes[k : k+1], grip: s.grip, low: notes[k].Name.Key(), high: notes[k].Name.Key()}
}

// rests fills the gaps of a line with rests.
func rests(line []tune.Event, length tune.Ticks) []tune.Event {
	var out []tune.Event
	at := tune.Ticks(0)
	gap := func(to tune.Ticks) {
		if to > at {
			out = append(out, tune.Event{At: at, Len: to - at, Kind: tune.Rest})
		}
	}
	for _, e := range line {
		gap(e.At)
		out = append(out, e)
		at = e.At + e.Len
	}
	gap(length)
	return out
}

// shape says how every note of the part is stopped.
func (b *builder) shape(t *tune.Tune) *arrange.Shape {
	out := &arrange.Shape{Whole: true}
	var now *struck
	for _, m := range tune.Moments(t) {
		if s := b.played[place{m.BarIndex, m.At}]; s != nil {
			now = s
		}
		var notes []arrange.Played
		for _, n := range m.Notes {
			if t.Note(n.Ref).Chop {
				continue // whose strings are named by their open notes
			}
			for _, x := range now.notes {
				if x.Name.Key() != n.Name.Key() {
					continue
				}
				p := arrange.Played{Ref: n.Ref, String: x.String, Fret: int(x.Fret + 0.5), Slanted: now.grip.Slanted()}
				if n.Tied {
					p.Attack = tab.Tied
				}
				notes = append(notes, p)
			}
		}
		out.Strokes = append(out.Strokes, notes)
	}
	return out
}
