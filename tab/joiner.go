package tab

import (
	"math"
	"slices"

	"lapwright/steel"
	"lapwright/tune"
)

// Joiner follows the strings from pass to pass. The attacks of a tab say how
// its notes begin the first time that a bar is played. A repeat, an ending or a
// jump may come to the bar from another one, and then its first notes are held
// on, glided into or begun as the notes that sounded last ask for (tune.Sound).
type Joiner struct {
	t     *Tab
	g     *steel.Geometry
	first []int // by bar, the bar that it is come to from the first time
	bar   int   // the bar in hand
	start tune.Ticks
	// otherwise says that the bar in hand is come to from another bar than first,
	// of which the ties of the tab speak, jumped that it is from another than the
	// one written before it, of which the glides do.
	otherwise, jumped bool
	strings           []thread
}

// thread is the last note of a string: zero for none.
type thread struct {
	pluck *Pluck
	key   float64
	stop  float64    // the key at which the bar and the benders had the string
	end   tune.Ticks // in sounding order
}

// NewJoiner returns one before the first bar of a performance of a tab; g is the geometry of the tab's rig.
func NewJoiner(t *Tab, g *steel.Geometry, p *tune.Performance) *Joiner {
	return &Joiner{t: t, g: g, first: p.Before, bar: -1, strings: make([]thread, len(t.Rig.Strings))}
}

// Enter comes to the next bar in sounding order, of which strokes are the
// strokes. A glide that goes on only in a bar that does not come next is none.
func (j *Joiner) Enter(p tune.Pass, strokes []int) {
	j.otherwise = j.first[p.BarIndex] != j.bar
	j.jumped = j.bar != p.BarIndex-1
	j.bar, j.start = p.BarIndex, p.Start
	if !j.otherwise && !j.jumped {
		return
	}
	for s := range j.strings {
		last := &j.strings[s]
		if last.pluck == nil || !last.pluck.Glide || last.end < p.Start {
			continue
		}
		goesOn := last.end == p.Start && slices.ContainsFunc(strokes, func(i int) bool {
			st := &j.t.Strokes[i]
			return st.At == 0 && slices.ContainsFunc(st.Plucks, func(p Pluck) bool { return p.String == s+1 })
		})
		if !goesOn {
			last.pluck.Glide = false // of a copy: see Stroke
		}
	}
}

// Stroke returns a stroke of the bar in hand as it is played this time: itself,
// or a copy where its attacks or its glides are this time's own.
func (j *Joiner) Stroke(st *Stroke) *Stroke {
	arrives := (j.otherwise || j.jumped) && st.At == 0
	leaves := slices.ContainsFunc(st.Plucks, func(p Pluck) bool {
		return p.Glide && st.At+p.Len >= j.t.Tune.Bars[st.BarIndex].Len
	})
	if arrives || leaves {
		own := *st
		own.Plucks = slices.Clone(st.Plucks)
		st = &own
	}
	for i := range st.Plucks {
		p := &st.Plucks[i]
		if p.String < 1 || p.String > len(j.strings) {
			continue // there is no such string
		}
		last := &j.strings[p.String-1]
		now := thread{p, Key(j.g, st, p), j.g.Key(st.Placement, p.String, st.Benders), j.start + st.At + p.Len}
		if arrives {
			p.Attack = j.attack(last, &now)
		}
		*last = now
	}
	for s := range j.strings {
		// A note that the bar or a bender is taken away from is over.
		last := &j.strings[s]
		if at := j.start + st.At; last.end > at && !SameStop(j.g.Key(st.Placement, s+1, st.Benders), last.stop) {
			last.end = at
		}
	}
	return st
}

// attack returns how a first note of a bar that is come to otherwise begins, last
// being what its string sounded last.
func (j *Joiner) attack(last, now *thread) Attack {
	p := now.pluck
	joins := p.Node == 0 && last.pluck != nil && last.end == j.start && last.pluck.Ref.Voice == p.Ref.Voice
	switch {
	case !j.otherwise && p.Attack == Tied:
		return Tied
	case j.otherwise && joins && p.Ref.Grace < 0 && j.tied(last.pluck.Ref) && math.Round(last.key) == math.Round(now.key) && SameStop(last.stop, now.stop):
		return Tied
	case j.jumped && joins && last.pluck.Glide && j.t.Tune.FromTop(last.pluck.Ref) == j.t.Tune.FromTop(p.Ref) || !j.jumped && p.Attack.Carried():
		return carried(p.Attack)
	case p.Attack == Tied || p.Attack.Carried():
		return Picked
	}
	return p.Attack
}

// carried returns how a note is reached that a glide leads to: as it says, where
// that is by the steel or a bender.
func carried(a Attack) Attack {
	if a.Carried() {
		return a
	}
	return Glided
}

func (j *Joiner) tied(r tune.Ref) bool {
	n := j.t.Tune.Note(r)
	return n != nil && n.Tie && r.Grace < 0
}
