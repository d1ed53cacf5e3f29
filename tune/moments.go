package tune

import (
	"cmp"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
)

// NoteAt is a note of a Moment.
type NoteAt struct {
	Ref   Ref
	Name  pitch.Name
	Len   Ticks // the time it takes, ties not joined
	Tied  bool  // continues a tie, is not begun anew
	Grace bool
}

// Moment is an instant of a written bar at which at least one note begins or
// is taken up by a tie.
type Moment struct {
	BarIndex int
	At       Ticks    // from the start of the bar
	Len      Ticks    // until the next moment, the end of the bar, or until nothing sounds any more
	Grace    bool     // every note in it is a grace
	Notes    []NoteAt // from the highest pitch down
	Held     []Ref    // begun earlier in the bar and still sounding; voice by voice
}

// Moments returns the instants of the written music in order, each bar once.
// Every written note is in exactly one moment. Graces take the time of
// GraceTime; the notes that they stand before come that much later, save those
// that continue a tie, which keep their place.
//
// Whether the first note of a bar continues a tie depends on what was played
// before it: Tied says how it is the first time that the bar is sounded.
func Moments(t *Tune) []Moment { return Perform(t).Moments() }

// FirstFrom returns for each bar the index of the bar that sounds just before it
// the first time that it sounds in the order of playing that passes has: −1 for
// none. A bar that never sounds has the one written before it. Tied in Moments,
// and with it how the strokes of a tab begin, speak of coming from there.
func FirstFrom(t *Tune, passes []Pass) []int {
	before := make([]int, len(t.Bars))
	for i := range before {
		before[i] = i - 1
	}
	seen := make([]bool, len(t.Bars))
	prev := -1
	for _, pass := range passes {
		if !seen[pass.BarIndex] {
			seen[pass.BarIndex] = true
			before[pass.BarIndex] = prev
		}
		prev = pass.BarIndex
	}
	return before
}

// JumpTie is a tie that leads over a repeat, an ending or a jump: from the last
// note of one bar to the first of another that is not the next as written.
type JumpTie struct {
	Held, Begun Ref
	First       bool // Begun's bar is come to in this way the first time
}

// TiesOverJumps returns such ties in the order of playing, each once.
func (p *Performance) TiesOverJumps() []JumpTie {
	t, passes, first := p.Tune, p.Passes, p.Before
	seen := map[[2]int]bool{}
	var out []JumpTie
	for i := 1; i < len(passes); i++ {
		from, to := passes[i-1].BarIndex, passes[i].BarIndex
		if to == from+1 && first[to] == from || seen[[2]int{from, to}] {
			continue
		}
		seen[[2]int{from, to}] = true
		for v := range t.Voices {
			before, after := lastEvent(t, from, v), firstEvent(t, to, v)
			if before == nil || after == nil || len(after.Graces) > 0 {
				continue
			}
			for n, i := range TiedFrom(before, after) {
				if i >= 0 {
					out = append(out, JumpTie{
						Held:  Ref{from, v, len(t.Bars[from].Lines[v]) - 1, -1, i},
						Begun: Ref{to, v, 0, -1, n},
						First: first[to] == from,
					})
				}
			}
		}
	}
	return out
}

// firstEvent returns the first event of a voice in a bar, or nil.
func firstEvent(t *Tune, bar, voice int) *Event {
	if voice >= len(t.Bars[bar].Lines) || len(t.Bars[bar].Lines[voice]) == 0 {
		return nil
	}
	return &t.Bars[bar].Lines[voice][0]
}

func barMoments(t *Tune, bar, before int) []Moment {
	b := &t.Bars[bar]
	type entry struct {
		at Ticks
		n  NoteAt
	}
	var all []entry
	for v := range b.Lines {
		prev := lastEvent(t, before, v)
		for ei := range b.Lines[v] {
			e := &b.Lines[v][ei]
			if e.Kind == Sounding {
				each := GraceTime(e)
				for gi := range e.Graces {
					for ni, n := range e.Graces[gi].Notes {
						all = append(all, entry{e.At + Ticks(gi)*each, NoteAt{Ref{bar, v, ei, gi, ni}, n.Name, each, false, true}})
					}
				}
				late := Ticks(len(e.Graces)) * each
				ties := TiedFrom(prev, e)
				for ni, n := range e.Notes {
					at := NoteAt{Ref{bar, v, ei, -1, ni}, n.Name, e.Len, ties[ni] >= 0, false}
					if at.Tied {
						all = append(all, entry{e.At, at})
						continue
					}
					at.Len -= late
					all = append(all, entry{e.At + late, at})
				}
			}
			prev = e
		}
	}
	inorder.Stable(all, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(b.n.Name.Key(), a.n.Name.Key()))
	})
	var (
		out  []Moment
		held []entry
	)
	for i := 0; i < len(all); {
		m := Moment{BarIndex: bar, At: all[i].at, Grace: true}
		held = slices.DeleteFunc(held, func(h entry) bool { return h.at+h.n.Len <= m.At })
		for _, h := range held {
			m.Held = append(m.Held, h.n.Ref)
		}
		inorder.Stable(m.Held, compareRefs)
		for i < len(all) && all[i].at == m.At {
			m.Notes = append(m.Notes, all[i].n)
			m.Grace = m.Grace && all[i].n.Grace
			held = append(held, all[i])
			i++
		}
		end := b.Len
		if i < len(all) {
			end = all[i].at
		}
		var ends Ticks
		for _, h := range held {
			ends = max(ends, h.at+h.n.Len)
		}
		m.Len = min(end, ends) - m.At
		out = append(out, m)
	}
	return out
}

func compareRefs(a, b Ref) int {
	return cmp.Or(cmp.Compare(a.Bar, b.Bar), cmp.Compare(a.Voice, b.Voice), cmp.Compare(a.Event, b.Event), cmp.Compare(a.Grace, b.Grace), cmp.Compare(a.Note, b.Note))
}

// lastEvent returns the last event of a voice in a bar, or nil.
func lastEvent(t *Tune, bar, voice int) *Event {
	if bar < 0 || voice >= len(t.Bars[bar].Lines) {
		return nil
	}
	line := t.Bars[bar].Lines[voice]
	if len(line) == 0 {
		return nil
	}
	return &line[len(line)-1]
}
