package arrange

import (
	"math"

	"lapwright/arrange/outline"
	"lapwright/grip"
	"lapwright/tab"
	"lapwright/tune"
)

// moment is what must be played at one instant.
type moment struct {
	grip.Due
	barIndex int
	at       tune.Ticks
	len      tune.Ticks
	gap      tune.Ticks // since the moment before
	grace    bool
	lost     []loss        // given up before the search
	chops    []tune.NoteAt // strokes without pitch, which ask nothing of the steel
	// fromKey says that the offers are taken from the key, for want of a chord
	// symbol.
	fromKey bool
}

// loss is a note given up before the search.
type loss struct {
	ref  tune.Ref
	kind tab.Kind
	why  string
}

// problem is a tune made ready for the search.
type problem struct {
	t       *tune.Tune
	perf    *tune.Performance // of t
	moments []moment
	slow    bool // see outline.Unhurried
	joins   bool // the player may join steps unasked
	prices  *prices
	tiedIn  map[tune.Ref]bool // notes tied on from one that is not sounding the moment before; for those over jumps see tab.HoldOverJumps
}

// newProblem takes a tune apart into its moments, which are given as they were before
// the tune was moved to its key; joins says that steps may be joined that no slur
// joins. The order is the written one; time between
// moments is reckoned at the tempo of the first time through.
func newProblem(w *watch, perf *tune.Performance, ms []tune.Moment, lim grip.Limits, joins bool) (*problem, error) {
	t := perf.Tune
	p := &problem{t: t, perf: perf, tiedIn: map[tune.Ref]bool{}, joins: joins, slow: outline.Unhurried(perf)}
	slurs := tune.Slurred(t)
	p.moments = make([]moment, len(ms))
	for i := range ms {
		if err := w.moment(); err != nil {
			return nil, err
		}
		out, m := &p.moments[i], &ms[i]
		out.barIndex, out.at, out.len, out.grace = m.BarIndex, m.At, m.Len, m.Grace
		dt := grip.MaxMS / 1000.0
		if i > 0 {
			before := &p.moments[i-1]
			gap := m.At - before.at
			for b := before.barIndex; b < m.BarIndex; b++ {
				gap += t.Bars[b].Len
			}
			out.gap = gap
			dt = perf.Seconds(before.barIndex, before.at, gap)
		}
		out.Pace = grip.NewPace(dt, lim)
		p.fill(i, m, slurs)
	}
	for _, tie := range perf.TiesOverJumps() {
		delete(p.tiedIn, tie.Begun)
	}
	return p, nil
}

// fill makes the wanted notes of a moment.
func (p *problem) fill(i int, m *tune.Moment, slurs map[[3]int]bool) {
	out := &p.moments[i]
	var before []grip.Note
	if i > 0 {
		before = p.moments[i-1].Wants
	}
	add := func(w grip.Note) {
		if len(out.Wants) == grip.MaxNotes {
			l := loss{w.Ref, tab.NotPlayed, "more notes at once than a player's hands have"}
			if w.Kind == grip.Held || w.Kind == grip.Tied {
				l.kind = tab.LetGoEarly
			}
			out.lost = append(out.lost, l)
			return
		}
		out.Wants = append(out.Wants, w)
	}
	for ni, na := range m.Notes {
		note := p.t.Note(na.Ref)
		na.Name = note.Name
		if note.Chop {
			out.chops = append(out.chops, na)
			continue
		}
		w := grip.Note{Ref: na.Ref, Key: int16(na.Name.Key()), From: -1, Voice: na.Ref.Voice, Len: na.Len}
		w.Slow = p.slow
		w.Long = math.Round(1000*p.perf.Seconds(m.BarIndex, m.At, na.Len)) >= grip.OpenLongMS
		switch {
		case na.Tied:
			// What a jump first leads to is held on from where the jump comes from, though
			// the bar written before may end in a tie too: see tab.HoldOverJumps.
			if na.Ref.Event > 0 || p.perf.Before[m.BarIndex] == m.BarIndex-1 {
				w.From = p.tiedFrom(before, w)
			}
			if w.From >= 0 {
				w.Kind = grip.Tied
			} else {
				p.tiedIn[w.Ref] = true
			}
		default:
			if from := p.glidedFrom(before, na.Ref); from >= 0 {
				w.Kind, w.From = grip.Glided, from
			} else if slurs[[3]int{na.Ref.Bar, na.Ref.Voice, na.Ref.Event}] && len(p.t.Event(na.Ref).Graces) == 0 && len(m.Notes) == 1 && len(m.Held) == 0 && len(before) == 1 && before[0].Voice == w.Voice && before[0].Len == out.gap {
				w.Kind, w.From = grip.Slurred, 0
			} else if len(m.Notes) == 1 && len(m.Held) == 0 && len(before) == 1 && before[0].Voice == w.Voice && before[0].Len == out.gap {
				p.join(i, &w, &before[0])
			}
		}
		if w.Kind != grip.Tied {
			if twin := p.unison(m.Notes[:ni], &m.Notes[ni]); twin >= 0 {
				out.lost = append(out.lost, loss{w.Ref, tab.OneString, "two voices meet on one pitch"})
				continue
			}
		}
		add(w)
	}
	for _, ref := range m.Held {
		for j := range before {
			if before[j].Ref == ref {
				w := before[j]
				w.Kind, w.From, w.Long = grip.Held, int8(j), false
				add(w)
			}
		}
	}
}

// join says of a note that begins alone after one that sounds alone, in one voice,
// how it may be joined to that: a grace and its note are one pluck, and of the
// others a small step may be, within a bar and with no mark that
// asks for a stroke of its own.
func (p *problem) join(i int, w, before *grip.Note) {
	m := &p.moments[i]
	apart := w.Key - before.Key
	switch {
	case apart == 0:
	case before.Ref.Grace >= 0:
		w.Kind, w.From = grip.Graced, 0
	case p.joins && w.Ref.Grace < 0 && m.Hammer && max(apart, -apart) <= grip.WidestJoin && before.Ref.Bar == w.Ref.Bar &&
		len(p.marks(before.Ref)) == 0 && len(p.marks(w.Ref)) == 0:
		w.Kind, w.From, w.Beat = grip.Stepped, 0, p.onBeat(m)
	}
}

// marks returns the marks of the event that a note is in.
func (p *problem) marks(r tune.Ref) []tune.Mark {
	return p.t.Bars[r.Bar].Lines[r.Voice][r.Event].Marks
}

// onBeat reports whether a moment stands on a beat that a player plucks (common
// practice, no source): any in a quick tune or a compound meter; in a slow one every
// other of two, four or six, and the first of others. A pickup's are counted from
// its end.
func (p *problem) onBeat(m *moment) bool {
	b := &p.t.Bars[m.barIndex]
	at := m.at
	if m.barIndex == 0 {
		at += max(0, b.Meter.Len()-b.Len)
	}
	strong := b.Meter.Beat()
	switch {
	case !p.slow, strong*tune.Ticks(b.Meter.Beats) != b.Meter.Len(): // quick, or compound
	case b.Meter.Beats%2 == 0:
		strong *= 2
	default:
		strong = max(strong, b.Meter.Len())
	}
	return at%strong == 0
}

// unison finds an earlier note of the moment with the same pitch that also
// begins there. A chop has none.
func (p *problem) unison(earlier []tune.NoteAt, na *tune.NoteAt) int {
	for i, o := range earlier {
		if !o.Tied && o.Name.Key() == na.Name.Key() && !p.t.Note(o.Ref).Chop {
			return i
		}
	}
	return -1
}

// tiedFrom finds the note that a tied note goes on from among those sounding
// just before.
func (p *problem) tiedFrom(before []grip.Note, w grip.Note) int8 {
	for j, b := range before {
		if b.Voice != w.Voice || b.Key != w.Key {
			continue
		}
		if note := p.t.Note(b.Ref); note != nil && note.Tie {
			return int8(j)
		}
	}
	return -1
}

// glidedFrom finds the note that glides into the note at ref: the one at the
// same place, counted from the top, in the event before.
func (p *problem) glidedFrom(before []grip.Note, ref tune.Ref) int8 {
	if ref.Grace >= 0 {
		return -1
	}
	top := len(p.t.Bars[ref.Bar].Lines[ref.Voice][ref.Event].Notes) - 1 - ref.Note
	for j, b := range before {
		if b.Voice != ref.Voice || b.Ref.Grace >= 0 {
			continue
		}
		e := &p.t.Bars[b.Ref.Bar].Lines[b.Ref.Voice][b.Ref.Event]
		if len(e.Notes)-1-b.Ref.Note == top && e.Notes[b.Ref.Note].Glide {
			return int8(j)
		}
	}
	return -1
}
