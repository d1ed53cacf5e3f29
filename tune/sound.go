package tune

import (
	"cmp"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
)

// Sounded is one note as heard: its ties joined, its time in sounding order.
type Sounded struct {
	Ref       Ref // the written note that begins it
	PassIndex int // index into the passes of Unfold
	At        Ticks
	Len       Ticks
	Name      pitch.Name
	// Scoop is the written note's.
	Scoop int8
	// GlideTo is the index, in the same slice, of the note into which this one
	// glides at its end; −1 when it does not.
	GlideTo int
}

// Sound returns every note as heard, repeats unfolded, sorted by time and then
// from the highest pitch down. Ties are joined wherever the next event in
// sounding order takes them up: across events, barlines and repeats. A tie that
// nothing takes up ends with its note. Graces take the time that GraceTime
// gives from the start of the event that they stand before.
func Sound(t *Tune) []Sounded {
	passes, _ := Unfold(t)
	return soundPasses(t, passes)
}

func soundPasses(t *Tune, passes []Pass) []Sounded {
	notes := 0 // but for graces and what ties join: how much room to begin with
	for _, pass := range passes {
		for _, line := range t.Bars[pass.BarIndex].Lines {
			for ei := range line {
				notes += len(line[ei].Notes)
			}
		}
	}
	out := make([]Sounded, 0, notes)
	for v := range t.Voices {
		out = soundVoice(out, t, passes, v)
	}
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	inorder.Stable(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(out[a].At, out[b].At), cmp.Compare(out[b].Name.Key(), out[a].Name.Key()))
	})
	place := make([]int, len(out))
	sorted := make([]Sounded, len(out))
	for i, from := range order {
		place[from] = i
	}
	for i, from := range order {
		sorted[i] = out[from]
		if to := sorted[i].GlideTo; to >= 0 {
			sorted[i].GlideTo = place[to]
		}
	}
	return sorted
}

func soundVoice(out []Sounded, t *Tune, passes []Pass, v int) []Sounded {
	var (
		prev    *Event // the event just sounded, nil after a rest
		now     []int  // for each note of the event in hand, its index in out
		was     []int  // the same for prev
		gliding []int  // for each note of the last thing sounded, its index in out or −1
		next    []int
	)
	// link ends the glides of the last thing sounded in the notes given: the
	// note at the same place, counted from the top.
	link := func(notes []int) {
		for i, from := range gliding {
			j := len(notes) - len(gliding) + i
			if from >= 0 && j >= 0 && notes[j] != from {
				out[from].GlideTo = notes[j]
			}
		}
	}
	for p, pass := range passes {
		b := &t.Bars[pass.BarIndex]
		if v >= len(b.Lines) {
			prev, gliding = nil, gliding[:0]
			continue
		}
		for ei := range b.Lines[v] {
			e := &b.Lines[v][ei]
			if e.Kind != Sounding {
				prev, gliding = nil, gliding[:0]
				continue
			}
			at := pass.Start + e.At
			each := GraceTime(e)
			for gi := range e.Graces {
				next, now = next[:0], now[:0]
				for ni, n := range e.Graces[gi].Notes {
					now = append(now, len(out))
					next = append(next, glideFrom(n, len(out)))
					out = append(out, Sounded{Ref{pass.BarIndex, v, ei, gi, ni}, p, at + Ticks(gi)*each, each, n.Name, n.Scoop, -1})
				}
				link(now)
				gliding, next = next, gliding
			}
			late := Ticks(len(e.Graces)) * each
			next, now = next[:0], now[:0]
			ties := TiedFrom(prev, e)
			for ni, n := range e.Notes {
				if from := ties[ni]; from >= 0 {
					i := was[from]
					out[i].Len = at + e.Len - out[i].At
					now = append(now, i)
				} else {
					now = append(now, len(out))
					out = append(out, Sounded{Ref{pass.BarIndex, v, ei, -1, ni}, p, at + late, e.Len - late, n.Name, n.Scoop, -1})
				}
				next = append(next, glideFrom(n, now[ni]))
			}
			link(now)
			gliding, next = next, gliding
			prev = e
			was, now = now, was
		}
	}
	return out
}

func glideFrom(n Note, i int) int {
	if n.Glide {
		return i
	}
	return -1
}

// TiedFrom says for each note of cur which note of prev is tied into it: the
// index in prev.Notes, or −1 when it is begun anew. prev is the event sounded
// just before in the same voice, nil for none. A tie joins notes of the same
// sounding pitch, however spelled; of two unisons each takes up one tie.
func TiedFrom(prev, cur *Event) []int {
	from := make([]int, len(cur.Notes))
	for i := range from {
		from[i] = -1
	}
	if prev == nil || prev.Kind != Sounding || cur.Kind != Sounding {
		return from
	}
	for p := range prev.Notes {
		if !prev.Notes[p].Tie {
			continue
		}
		for i := range cur.Notes {
			if from[i] < 0 && cur.Notes[i].Name.Key() == prev.Notes[p].Name.Key() {
				from[i] = p
				break
			}
		}
	}
	return from
}

// JoinsOn reports whether a note of the event, or of its graces, is tied or glides
// into what follows.
func (e *Event) JoinsOn() bool {
	for i := range e.Notes {
		if e.Notes[i].Tie || e.Notes[i].Glide {
			return true
		}
	}
	for _, g := range e.Graces {
		for i := range g.Notes {
			if g.Notes[i].Glide {
				return true
			}
		}
	}
	return false
}

// Followers returns for each bar the bars that come after it, as written or in
// the order of playing that passes has: where its last notes may be tied or
// glide to.
func Followers(t *Tune, passes []Pass) [][]int {
	after := make([][]int, len(t.Bars))
	next := make([]int, max(len(t.Bars)-1, 0))
	for i := range next {
		next[i] = i + 1
		after[i] = next[i : i+1 : i+1]
	}
	for i := 1; i < len(passes); i++ {
		from, to := passes[i-1].BarIndex, passes[i].BarIndex
		if !slices.Contains(after[from], to) {
			after[from] = append(after[from], to)
		}
	}
	return after
}

// Next returns the events that may sound just after the k-th of a voice in a bar:
// the one after it, or the first of every bar that follows (Followers).
func Next(t *Tune, after [][]int, bar, voice, k int) []*Event {
	if line := t.Bars[bar].Lines[voice]; k+1 < len(line) {
		return []*Event{&line[k+1]}
	}
	var next []*Event
	for _, b := range after[bar] {
		next = append(next, &t.Bars[b].Lines[voice][0])
	}
	return next
}

// GraceTime returns the time that each grace before an event takes, 0 when there
// are none. The rule: graces are played on the beat and take their time
// from the event that they stand before; each takes the same time, the longest
// of a 16th, a 32nd, a 64th … of a whole note with which they all together
// leave the event at least half its length, a crushed note at most a 32nd.
// (Common practice has no one rule; this one keeps every onset exact.)
func GraceTime(e *Event) Ticks {
	n := Ticks(len(e.Graces))
	if n == 0 || e.Kind != Sounding {
		return 0
	}
	each := Whole / 16
	for _, g := range e.Graces {
		if g.Slash {
			each = Whole / 32
		}
	}
	for each > Whole>>MaxLog2 && 2*n*each > e.Len {
		each /= 2
	}
	if 2*n*each > e.Len {
		each = e.Len / (2 * n)
	}
	return each
}
