package midi

import (
	"fmt"
	"math"
	"slices"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// strand is one unbroken sound of one string or voice: a note-on, the places the
// pitch moves to while it rings, a note-off.
type strand struct {
	at, end   tune.Ticks
	key       float64 // fractional key number at the onset
	scoop     float64 // where the pitch begins, in semitones from key
	scoopLen  tune.Ticks
	moves     []move
	lane      int
	velocity  byte
	vibratos  []vibrato
	barNumber int // as printed, for messages
	chop      bool
	swell     tune.Ticks // how long it grows from soft; 0 for not at all
}

// swellLen is how long a swelling note of length l grows.
func swellLen(l tune.Ticks) tune.Ticks { return min(l/2, tune.Whole/2) }

// vibrato is a stretch of a sound that swings so far each way.
type vibrato struct {
	from, to tune.Ticks
	rig      *rig.Rig
	pluck    *tab.Pluck // that began it
}

// move is a change of pitch under a sound: it begins at from and has arrived
// at to.
type move struct {
	from, to tune.Ticks
	key      float64
}

// glideLen is how long the glide out of a note of length l takes.
func glideLen(l tune.Ticks) tune.Ticks { return min(l/2, tune.Whole/8) }

// scoopLen is how long the glide into a note of length l takes.
func scoopLen(l tune.Ticks) tune.Ticks { return min(l/4, tune.Whole/16) }

// tabLines follows every string through the strokes in sounding order.
func tabLines(t *tab.Tab, perf *tune.Performance) ([]strand, fault.List, error) {
	byBar := make([][]int, len(t.Tune.Bars))
	for i := range t.Strokes {
		b := t.Strokes[i].BarIndex
		if b < 0 || b >= len(byBar) {
			return nil, nil, &fault.Fault{Msg: fmt.Sprintf("stroke %d is in bar %d of a tune of %s", i+1, b+1, say.Count(len(byBar), "bar"))}
		}
		byBar[b] = append(byBar[b], i)
	}
	n := len(t.Rig.Strings)
	f := &follower{t: t, g: steel.New(t.Rig), last: make([]int, n), stops: make([]float64, n), gliding: make([]bool, n), tied: make([]bool, n), ref: make([]tune.Ref, n)}
	before := perf.Before
	prev := -1
	for _, p := range perf.Passes {
		f.otherwise, f.jumped = before[p.BarIndex] != prev, prev != p.BarIndex-1
		prev = p.BarIndex
		for _, i := range byBar[p.BarIndex] {
			st := &t.Strokes[i]
			for j := range st.Plucks {
				if s := st.Plucks[j].String; s < 1 || s > len(f.last) {
					return nil, nil, &fault.Fault{Msg: fmt.Sprintf("string %d on a rig of %d", s, len(f.last))}
				}
				f.pluck(p.Start+st.At, st, &st.Plucks[j])
			}
			f.letGo(p.Start+st.At, st)
		}
	}
	return f.out, f.losses, nil
}

// follower keeps what each string is doing.
type follower struct {
	t       *tab.Tab
	g       *steel.Geometry
	out     []strand
	last    []int     // 1 + index in out of the string's latest sound
	stops   []float64 // the key number at which the bar and the benders had the string then
	gliding []bool
	tied    []bool     // its latest note is tied on in the tune
	ref     []tune.Ref // its latest note
	// otherwise says that the bar in hand is come to from another bar than the
	// first time, of which the ties of its strokes speak, jumped that it is from
	// another than the one written before it, of which the glides do.
	otherwise, jumped bool
	losses            fault.List
}

// attack returns how a pluck begins here. Where the bar is come to from elsewhere,
// its first notes are held on or glided into if what sounded last is tied or
// glides.
func (f *follower) attack(st *tab.Stroke, pl *tab.Pluck, key float64) tab.Attack {
	if !f.otherwise && !f.jumped || st.At > 0 {
		return pl.Attack
	}
	s := pl.String - 1
	same := f.ref[s].Voice == pl.Ref.Voice && pl.Node == 0
	held := same && f.tied[s] && pl.Ref.Grace < 0 && f.last[s] > 0 && math.Round(f.out[f.last[s]-1].last()) == math.Round(key) &&
		tab.SameStop(f.g.Key(st.Placement, pl.String, st.Benders), f.stops[s])
	switch {
	case !f.otherwise && pl.Attack == tab.Tied, f.otherwise && held:
		return tab.Tied
	case f.jumped && same && f.gliding[s] && f.t.Tune.FromTop(f.ref[s]) == f.t.Tune.FromTop(pl.Ref), !f.jumped && pl.Attack.Carried():
		return tab.Glided
	case pl.Attack == tab.Tied || pl.Attack.Carried():
		return tab.Picked
	}
	return pl.Attack
}

// pluck goes on with the sound of a string, or begins one.
func (f *follower) pluck(at tune.Ticks, st *tab.Stroke, pl *tab.Pluck) {
	s := pl.String - 1
	end, key := at+pl.Len, tab.Key(f.g, st, pl)
	attack := f.attack(st, pl, key)
	wasGliding := f.gliding[s]
	f.gliding[s] = pl.Glide
	f.stops[s] = f.g.Key(st.Placement, pl.String, st.Benders)
	note := f.t.Tune.Note(pl.Ref)
	f.ref[s] = pl.Ref
	f.tied[s] = note != nil && note.Tie && pl.Ref.Grace < 0
	number := f.t.Tune.Bars[st.BarIndex].Number
	if f.last[s] > 0 && f.out[f.last[s]-1].end == at && (attack == tab.Tied || attack.Carried()) {
		prev := &f.out[f.last[s]-1]
		from := at
		if wasGliding || attack.Carried() {
			from -= glideLen(at - prev.start())
		}
		if prev.reaches(key) {
			if prev.last() != key {
				prev.moves = append(prev.moves, move{from, at, key})
			}
			prev.end = end
			prev.swing(at, end, attack == tab.Tied, pl, f.t.Rig)
			return
		}
		f.losses.Add(tooWide(number))
	}
	if f.last[s] > 0 {
		// One string sounds one note: played again, it stops sounding the last.
		f.out[f.last[s]-1].cut(at)
	}
	l := strand{at: at, end: end, key: key, scoop: pl.Scoop, scoopLen: scoopLen(pl.Len), lane: s, velocity: plainVelocity, barNumber: number}
	l.swing(at, end, false, pl, f.t.Rig)
	l.chop = attack == tab.Chopped
	if f.t.Tune.Swells(pl.Ref) {
		l.swell = swellLen(pl.Len)
	}
	switch {
	case attack == tab.Hammered || attack == tab.PulledOff:
		l.velocity = softVelocity
	case accented(f.t.Tune, pl.Ref):
		l.velocity = accentVelocity
	}
	f.out = append(f.out, l)
	f.last[s] = len(f.out)
}

// swing adds the vibrato of a pluck; that of a note held on goes on.
func (l *strand) swing(from, to tune.Ticks, heldOn bool, p *tab.Pluck, r *rig.Rig) {
	if !p.Vibrato {
		return
	}
	if n := len(l.vibratos); heldOn && n > 0 && l.vibratos[n-1].to == from {
		l.vibratos[n-1].to = to
		return
	}
	l.vibratos = append(l.vibratos, vibrato{from, to, r, p})
}

// letGo ends the notes that a stroke takes the bar or a bender away from: a note
// whose string is not played keeps its pitch or is over.
func (f *follower) letGo(at tune.Ticks, st *tab.Stroke) {
	for s := range f.last {
		if f.last[s] == 0 || f.out[f.last[s]-1].end <= at {
			continue
		}
		if !tab.SameStop(f.g.Key(st.Placement, s+1, st.Benders), f.stops[s]) {
			f.out[f.last[s]-1].cut(at)
		}
	}
}

// cut ends the line at a time when it would go on longer.
func (l *strand) cut(at tune.Ticks) {
	if l.end <= at || l.at >= at {
		return
	}
	l.end = at
	for i := range l.vibratos {
		l.vibratos[i].to = min(l.vibratos[i].to, at)
	}
	for len(l.moves) > 0 && l.moves[len(l.moves)-1].to >= at {
		l.moves = l.moves[:len(l.moves)-1]
	}
}

// reaches reports whether a pitch lies within the bend range of the line's note.
func (l *strand) reaches(key float64) bool { return math.Abs(key-math.Round(l.key)) < BendRange }

func tooWide(bar int) *fault.Fault {
	return &fault.Fault{Bar: fmt.Sprint(bar), Msg: fmt.Sprintf("a glide goes further than the bend range of %d semitones, and its last note is struck anew", BendRange)}
}

// last returns the pitch the line has come to.
func (l *strand) last() float64 {
	if n := len(l.moves); n > 0 {
		return l.moves[n-1].key
	}
	return l.key
}

// start returns when the line came to its present pitch.
func (l *strand) start() tune.Ticks {
	if n := len(l.moves); n > 0 {
		return l.moves[n-1].to
	}
	return l.at
}

func accented(t *tune.Tune, r tune.Ref) bool {
	if t.Note(r) == nil {
		return false
	}
	marks := t.Bars[r.Bar].Lines[r.Voice][r.Event].Marks
	return r.Grace < 0 && (slices.Contains(marks, tune.Accent) || slices.Contains(marks, tune.StrongAccent))
}

// tuneLines joins the sounded notes of a tune along their glides and gives
// each a lane of its own while it sounds.
func tuneLines(t *tune.Tune) ([]strand, int, fault.List, error) {
	var losses fault.List
	sounded := tune.Sound(t)
	taken := make([]bool, len(sounded)) // glided into
	out := make([]strand, 0, len(sounded))
	for i, s := range sounded {
		if taken[i] {
			continue
		}
		l := strand{at: s.At, end: s.At + s.Len, key: float64(s.Name.Key()), scoop: float64(s.Scoop), scoopLen: scoopLen(s.Len), velocity: plainVelocity, barNumber: t.Bars[s.Ref.Bar].Number, chop: t.Note(s.Ref).Chop}
		if t.Swells(s.Ref) {
			l.swell = swellLen(s.Len)
		}
		if accented(t, s.Ref) {
			l.velocity = accentVelocity
		}
		for at := s; at.GlideTo >= 0; {
			next := sounded[at.GlideTo]
			if next.At != at.At+at.Len || taken[at.GlideTo] {
				break
			}
			if !l.reaches(float64(next.Name.Key())) {
				losses.Add(tooWide(l.barNumber))
				break
			}
			taken[at.GlideTo] = true
			l.moves = append(l.moves, move{next.At - glideLen(at.Len), next.At, float64(next.Name.Key())})
			l.end = next.At + next.Len
			at = next
		}
		out = append(out, l)
	}
	free := make([]tune.Ticks, 0, 14) // when each lane's sound ends
	for i := range out {
		l := &out[i]
		lane := slices.IndexFunc(free, func(end tune.Ticks) bool { return end <= l.at })
		if lane < 0 {
			if len(free) == cap(free) {
				return nil, 0, nil, &fault.Fault{Bar: fmt.Sprint(l.barNumber), Msg: "more than 14 notes sound at once, and one MIDI zone has no more channels that every player keeps for pitches"}
			}
			lane = len(free)
			free = append(free, 0)
		}
		free[lane] = l.end
		l.lane = lane
	}
	return out, len(free), losses, nil
}
