package outline

import (
	"slices"

	"lapwright/inorder"
	"lapwright/tab"
	"lapwright/tune"
)

// Outline is a tune of which notes are left out.
type Outline struct {
	Tune    *tune.Tune // what is left
	LeftOut []tab.LeftOut
	Notes   int // of the melody, graces not counted, a note held on by a tie once
	Kept    int // and how many of them are left
	// Guessed says that there were no chord symbols to go by.
	Guessed bool
}

// share is how many of a bar's notes are kept at the least: two of five.
const (
	shareKept = 2
	shareOf   = 5
)

// Of makes the outline of a tune whose performance and harmony are given. The tune is
// not changed.
func Of(perf *tune.Performance, chords *Chords) *Outline {
	t := perf.Tune
	o := &outliner{
		t: t, perf: perf, chords: chords, out: &Outline{Tune: t.Clone(), Guessed: chords.Guessed},
		keep: map[place]bool{}, chain: map[place]place{}, begun: map[place]int{}, ended: map[place]int{},
	}
	o.melody = o.melodyVoice()
	o.findChains()
	for b := range t.Bars {
		o.choose(b)
	}
	o.joinGlides()
	o.findSlurs()
	for b := range t.Bars {
		for v := range t.Bars[b].Lines {
			o.write(b, v)
		}
	}
	return o.out
}

// place is one event.
type place struct{ bar, voice, event int }

// outliner makes one outline.
type outliner struct {
	t      *tune.Tune
	perf   *tune.Performance
	chords *Chords
	out    *Outline
	melody int             // the voice that has it
	keep   map[place]bool  // events of the melody that stay
	chain  map[place]place // the event that an event is held on from, to the first of them
	begun  map[place]int   // slurs of the outline that begin at an event
	ended  map[place]int   // and that end there
}

// melodyVoice returns the voice that sounds highest on the whole, as most tunes write
// the melody: the first of those that do.
func (o *outliner) melodyVoice() int {
	best, most := 0, 0.0
	for v := range o.t.Voices {
		sum, n := 0, 0
		for b := range o.t.Bars {
			for i := range o.t.Bars[b].Lines[v] {
				if e := &o.t.Bars[b].Lines[v][i]; e.Kind == tune.Sounding {
					sum += e.Notes[len(e.Notes)-1].Name.Key()
					n++
				}
			}
		}
		if mean := float64(sum) / float64(max(n, 1)); mean > most {
			best, most = v, mean
		}
	}
	return best
}

// findChains follows ties: the events that hold one note on stay or go together.
func (o *outliner) findChains() {
	o.eachPair(func(before *tune.Event, at place, e *tune.Event, here place) {
		if !tied(before, e) {
			return
		}
		first := at
		if f, is := o.chain[at]; is {
			first = f
		}
		o.chain[here] = first
	})
}

// eachPair calls f for every two events of the melody of which one follows the
// other.
func (o *outliner) eachPair(f func(before *tune.Event, at place, e *tune.Event, here place)) {
	var before *tune.Event
	var at place
	for b := range o.t.Bars {
		line := o.t.Bars[b].Lines[o.melody]
		for i := range line {
			here := place{b, o.melody, i}
			if before != nil {
				f(before, at, &line[i], here)
			}
			before, at = &line[i], here
		}
	}
}

// tied reports whether the highest note of an event is held on into the next one.
func tied(a, b *tune.Event) bool {
	if a.Kind != tune.Sounding {
		return false
	}
	top := a.Notes[len(a.Notes)-1]
	return top.Tie && slices.ContainsFunc(b.Notes, func(n tune.Note) bool { return n.Name.Key() == top.Name.Key() })
}

// onset is a note of the melody that begins in a bar.
type onset struct {
	event  int
	must   bool
	weight int
}

// choose says which notes of a bar stay.
func (o *outliner) choose(b int) {
	bar := &o.t.Bars[b]
	line := bar.Lines[o.melody]
	var onsets []onset
	for i := range line {
		e := &line[i]
		if e.Kind != tune.Sounding {
			continue
		}
		if _, held := o.chain[place{b, o.melody, i}]; !held {
			onsets = append(onsets, onset{i, o.must(b, i), o.weight(b, i)})
		}
	}
	o.out.Notes += len(onsets)
	kept := 0
	for _, x := range onsets {
		if x.must {
			o.keep[place{b, o.melody, x.event}] = true
			kept++
		}
	}
	inorder.Stable(onsets, func(a, b onset) int { return b.weight - a.weight })
	for _, x := range onsets {
		if kept*shareOf >= len(onsets)*shareKept {
			break
		}
		if !x.must {
			o.keep[place{b, o.melody, x.event}] = true
			kept++
		}
	}
	o.out.Kept += kept
}

// must reports whether a note stays whatever the others are.
func (o *outliner) must(b, i int) bool {
	bar := &o.t.Bars[b]
	line := bar.Lines[o.melody]
	e := &line[i]
	full := bar.Meter.Len()
	switch {
	case bar.Len < full && (b == 0 || o.t.Bars[b-1].Right.Style != tune.SingleBarline): // a pickup
		return true
	case i == 0 || line[i-1].Kind != tune.Sounding: // the first of a bar, or after a rest
		return true
	case o.ends(b, i):
		return true
	case slices.ContainsFunc(e.Notes, func(n tune.Note) bool { return n.Chop }):
		return true
	case (e.At%Strong(&bar.Meter) == 0 || o.unhurried(b, e)) && o.chords.Has(b, e.At, e.Notes[len(e.Notes)-1].Name.Key()):
		return true
	}
	// It is held on beyond its bar.
	next := line[len(line)-1]
	return i == o.first(b, len(line)-1) && next.Kind == tune.Sounding && next.Notes[len(next.Notes)-1].Tie
}

// unhurriedFrom is how many seconds a note on a beat lasts at the least that a beginner
// has time for (common practice, no source).
const unhurriedFrom = 0.45

// unhurried reports whether a note on a beat lasts for one, and long enough that a
// beginner has time for it.
func (o *outliner) unhurried(b int, e *tune.Event) bool {
	beat := o.t.Bars[b].Meter.Beat()
	return e.At%beat == 0 && e.Len >= beat && o.perf.Seconds(b, e.At, e.Len) >= unhurriedFrom
}

// first returns the event of a bar with which the note begins that an event holds.
func (o *outliner) first(b, i int) int {
	if f, is := o.chain[place{b, o.melody, i}]; is && f.bar == b {
		return f.event
	}
	return i
}

// ends reports whether a phrase ends with a note: a rest, a double line, a repeat or
// the end follows, or it is the bar's last and lasts for half of it.
func (o *outliner) ends(b, i int) bool {
	bar := &o.t.Bars[b]
	line := bar.Lines[o.melody]
	next := i + 1
	for next < len(line) && o.first(b, next) == i {
		next++
	}
	if next < len(line) {
		return line[next].Kind != tune.Sounding
	}
	end := line[next-1].At + line[next-1].Len
	return b == len(o.t.Bars)-1 || bar.Right.Style != tune.SingleBarline || bar.Right.Repeat > 0 || bar.EndingEnds || 2*(end-line[i].At) >= bar.Len
}

// weight ranks a note among those of its bar: on what beat it stands, whether it is
// of the chord, and whether it lasts.
func (o *outliner) weight(b, i int) int {
	bar := &o.t.Bars[b]
	e := &bar.Lines[o.melody][i]
	w := 0
	switch beat := bar.Meter.Beat(); {
	case e.At%Strong(&bar.Meter) == 0:
		w = 6
	case e.At%beat == 0:
		w = 4
	case e.At%(beat/2) == 0 && bar.Meter.Unit < 8 || (e.At+tune.Whole/8)%beat == 0:
		w = 1
	}
	if o.chords.Has(b, e.At, e.Notes[len(e.Notes)-1].Name.Key()) {
		w += 3
	}
	if e.Len >= bar.Meter.Beat() {
		w += 2
	}
	return w
}

// Strong returns how far apart the strong beats of a bar lie, which begin with its
// first: two beats where there are four or six, a bar of three, else a beat (common
// practice, no source).
func Strong(m *tune.Meter) tune.Ticks {
	beat := m.Beat()
	switch beats := m.Len() / beat; {
	case beats == 4 || beats == 6:
		return 2 * beat
	case beats == 3:
		return 3 * beat
	}
	return beat
}

// joinGlides has notes stay that a glide joins to one that stays.
func (o *outliner) joinGlides() {
	o.eachPair(func(before *tune.Event, at place, _ *tune.Event, here place) {
		if n := len(before.Notes); n > 0 && before.Notes[n-1].Glide && o.keeps(at) && !o.keeps(here) {
			o.keep[here] = true
			o.out.Kept++
		}
	})
}

// keeps reports whether an event of the melody stays.
func (o *outliner) keeps(p place) bool {
	if f, is := o.chain[p]; is {
		p = f
	}
	return o.keep[p]
}
