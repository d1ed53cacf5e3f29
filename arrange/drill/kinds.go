package drill

import (
	"lapwright/arrange"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// scale goes up an octave and down again, a note a beat, and rests on the tonic.
func (m *maker) scale() error {
	n := len(m.key.Scale().Steps)
	for s := 0; s <= n; s++ {
		m.play(quarter, s)
	}
	for s := n; s >= 0; s-- {
		m.play(quarter, s)
	}
	m.play(whole, 0)
	return nil
}

func (m *maker) thirds() error { return m.pairs(2) }
func (m *maker) sixths() error { return m.pairs(5) }

// pairs goes through the scale with a second note so many steps above each, or so many
// below.
func (m *maker) pairs(apart int) error {
	m.paired = true
	from, n := 0, len(m.key.Scale().Steps)
	if m.over {
		from = -apart
	}
	for s := 0; s < n; s++ {
		m.play(half, from+s, from+s+apart)
	}
	for s := n; s >= 0; s-- {
		m.play(half, from+s, from+s+apart)
	}
	m.play(half, from, from+apart)
	return nil
}

// chords are the steps on which the chords of an exercise stand.
var chords = []int{0, 3, 4, 0}

// arpeggio takes each chord apart, up and down.
func (m *maker) arpeggio() error {
	for _, root := range chords {
		for _, s := range []int{0, 2, 4, 7, 4, 2, 0} {
			m.play(eighth, root+s)
		}
		m.play(eighth, root+2)
	}
	m.play(whole, 0)
	return nil
}

// roll goes round three notes of each chord, three against four.
func (m *maker) roll() error {
	for _, root := range chords {
		for range 2 {
			for _, s := range []int{0, 2, 4, 0, 2, 4, 0, 4} {
				m.play(eighth, root+s)
			}
		}
	}
	m.play(whole, 0)
	return nil
}

// shift goes from the tonic to each note of the scale and back on one string: the one
// that has the tonic lowest, but not open.
func (m *maker) shift() error {
	n := len(m.key.Scale().Steps)
	best, fret := 0, 0
	for i := range m.rig.Strings {
		str := i + 1
		f := (m.key.Tonic.Semitone()-m.rig.OpenKey(str, 0)%12+11)%12 + 1
		if f+12 <= min(m.rig.Frets, m.lim.Fret) && (best == 0 || f < fret) {
			best, fret = str, f
		}
	}
	if best == 0 {
		return m.refuse("no string has an octave above the tonic of %s within the player's frets", m.key)
	}
	open := m.rig.OpenKey(best, 0)
	m.low = open + fret
	on := func(length tune.Ticks, step int) {
		key := m.degree(step)
		m.events = append(m.events, event{length: length, keys: []int{key}, stops: []arrange.Played{{String: best, Fret: key - open}}})
	}
	for s := 1; s <= n; s++ {
		on(half, 0)
		on(half, s)
	}
	on(whole, 0)
	return nil
}

// slant lays the steel square and leans it in turn, over the first two strings on which
// it can lean by a fret.
func (m *maker) slant() error {
	if m.lim.Angle == 0 {
		return m.refuse("a first-year player does not lean the steel yet")
	}
	for apart := 1; apart <= 2; apart++ {
		for str := 1; str+apart <= len(m.rig.Strings); str++ {
			for fret := 7; fret <= min(m.rig.Frets, m.lim.Fret)-2 && fret <= 12; fret++ {
				m.events = nil
				for _, f := range [][2]int{{0, 0}, {1, 0}, {1, 1}, {2, 1}, {2, 2}, {2, 1}, {1, 1}, {1, 0}} {
					m.both(str, str+apart, fret+f[0], fret+f[1], half)
				}
				m.both(str, str+apart, fret, fret, whole)
				if m.events[0].keys[0] >= m.events[0].keys[1] {
					continue
				}
				if err := m.place(arrange.Options{}); err == nil && m.leans() {
					return nil
				}
				if err := m.ctx.Err(); err != nil {
					return err
				}
			}
		}
	}
	m.result = nil
	return m.refuse("the steel leans by no fret over neighbouring strings of this rig within the player's limits")
}

// both adds two strings stopped at once, the higher-sounding first in name.
func (m *maker) both(high, low, fretHigh, fretLow int, length tune.Ticks) {
	m.events = append(m.events, event{
		length: length, keys: []int{m.rig.OpenKey(low, 0) + fretLow, m.rig.OpenKey(high, 0) + fretHigh},
		stops: []arrange.Played{{String: low, Fret: fretLow}, {String: high, Fret: fretHigh, Slanted: fretHigh != fretLow}},
	})
}

// leans reports whether a slant is in the result.
func (m *maker) leans() bool {
	all, _ := m.result.Tab.Slants()
	return all > 0
}

// unison sounds each string open, and the next lower one stopped at its pitch; where
// it is for one string, only the pairs that that is in.
func (m *maker) unison() error {
	for str := 1; str < len(m.rig.Strings); str++ {
		if s := m.only; s > 0 && str != s && str+1 != s {
			continue
		}
		open, below := m.rig.OpenKey(str, 0), m.rig.OpenKey(str+1, 0)
		fret := open - below
		if fret <= 0 || fret > min(12, m.rig.Frets) {
			continue
		}
		for range 2 {
			m.events = append(m.events,
				event{length: half, keys: []int{open}, stops: []arrange.Played{{String: str}}},
				event{length: half, keys: []int{open}, stops: []arrange.Played{{String: str + 1, Fret: fret}}})
		}
	}
	if len(m.events) == 0 {
		return m.refuse("no two neighbouring strings of this rig share a pitch below the 13th fret")
	}
	return nil
}

// block plays short notes across three strings, each stopped before the next.
func (m *maker) block() error {
	fret := (m.key.Tonic.Semitone() - m.rig.OpenKey(m.tonicString(), 0)%12 + 12) % 12
	if fret == 0 {
		fret = 12
	}
	if fret > min(m.rig.Frets, m.lim.Fret) {
		return m.refuse("the tonic of %s lies beyond the player's frets", m.key)
	}
	for _, order := range [][]int{{1, 2, 3, 2}, {3, 2, 1, 2}, {1, 3, 2, 3}, {1, 2, 3, 1}} {
		for _, str := range order {
			m.events = append(m.events,
				event{length: eighth, keys: []int{m.rig.OpenKey(str, 0) + fret}, stops: []arrange.Played{{String: str, Fret: fret}}},
				event{length: eighth})
		}
	}
	if err := m.place(arrange.Options{}); err != nil {
		return err
	}
	damp(m.result.Tab)
	return nil
}

// tonicString returns the string whose open pitch is the root of the chord that the rig
// is named for, the highest of them; the first where there is none.
func (m *maker) tonicString() int {
	if c, ok := m.rig.NamedChord(); ok {
		for i := range m.rig.Strings {
			if m.rig.OpenKey(i+1, 0)%12 == c.Root.Semitone() {
				return i + 1
			}
		}
	}
	return 1
}

// bends returns the lowest fret from the 3rd to the 12th, or the 1st or 2nd, at which both
// what a string sounds and what its bender makes of it are notes of the key; the 3rd where
// there is none. Nearer the nut the steel is hard to set true.
func bends(r *rig.Rig, in pitch.Key, move rig.Move) int {
	belongs := func(key int) bool { return in.Scale().Has(in.Tonic, pitch.SpellKey(key, in.Fifths()).Class) }
	for i := range 12 {
		fret := (i+2)%12 + 1
		if open := r.OpenKey(move.String, 0) + fret; fret <= r.Frets && belongs(open) && belongs(open+move.Semitones) {
			return fret
		}
	}
	return 3
}

// bender engages each bender under a ringing note and lets it go again.
func (m *maker) bender() error {
	if len(m.rig.Benders) == 0 {
		return m.refuse("the rig %s has no pedal, lever or palm bender", m.rig.Name)
	}
	for i := range m.rig.Benders {
		move := m.rig.Benders[i].Moves[0]
		fret := bends(m.rig, m.key, move)
		key := m.rig.OpenKey(move.String, 0) + fret
		stop := func(a tab.Attack) []arrange.Played {
			return []arrange.Played{{String: move.String, Fret: fret, Attack: a}}
		}
		m.events = append(m.events,
			event{length: half, keys: []int{key}, stops: stop(tab.Picked), glide: true},
			event{length: half, keys: []int{key + move.Semitones}, stops: stop(tab.Glided), glide: true},
			event{length: whole, keys: []int{key}, stops: stop(tab.Glided)})
	}
	return nil
}
