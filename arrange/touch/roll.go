package touch

import (
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// When a note is rolled under (common practice, no source): from rollFrom seconds on,
// in eighths that are quicker than a foot taps.
const (
	rollFrom    = 0.7
	slowestRoll = 0.45 // seconds from note to note
	rollNote    = tune.Whole / 8
	fewestRoll  = 3 // notes of a roll, the melody's not counted
)

// Roll puts eighths from the chord under long notes, on strings that the steel stops or
// leaves open already, thumb and index in turn; the middle finger has the melody. chord
// reports whether a key number is of the chord in force at a place. repeat is the
// shortest time in seconds in which the player uses one finger twice. It returns what
// is added, and the indexes of the new strokes.
func Roll(t *tab.Tab, chord func(barIndex int, at tune.Ticks, key int) bool, repeat float64) (added []tab.Added, strokes []int) {
	if len(t.Tune.Voices) != 1 {
		return nil, nil
	}
	r := &roller{t: t, chord: chord, repeat: repeat, perf: t.Performance()}
	for i := range t.Strokes {
		r.under(i)
	}
	if len(r.notes) == 0 {
		return nil, nil
	}
	return r.write()
}

// rolled is one note of a roll.
type rolled struct {
	after  int // the stroke that it follows
	bar    int
	at     tune.Ticks
	str    int
	name   pitch.Name
	finger tab.Finger
}

type roller struct {
	t      *tab.Tab
	chord  func(int, tune.Ticks, int) bool
	repeat float64
	perf   *tune.Performance
	notes  []rolled
}

// under rolls under the note of a stroke where that can be.
func (r *roller) under(i int) {
	s := &r.t.Strokes[i]
	if len(s.Plucks) != 1 || s.Grace || s.Placement.Kind != steel.Straight && s.Placement.Kind != steel.Lifted {
		return
	}
	p := &s.Plucks[0]
	n := r.t.Tune.Note(p.Ref)
	if n == nil || n.Tie || n.Glide || p.Glide || p.Attack != tab.Picked || s.At%rollNote != 0 {
		return
	}
	count := int(p.Len/rollNote) - 1
	each := r.perf.Seconds(s.BarIndex, s.At, rollNote)
	if count < fewestRoll || p.Len%rollNote != 0 || each > slowestRoll || 2*each < r.repeat || r.perf.Seconds(s.BarIndex, s.At, p.Len) < rollFrom {
		return
	}
	if i > 0 && len(r.t.Strokes[i-1].Plucks) > 0 && r.t.Strokes[i-1].Plucks[0].Finger == tab.Middle && each < r.repeat {
		return
	}
	strings := r.strings(s, p, n.Name.Key())
	if len(strings) < 2 {
		return
	}
	p.Finger = tab.Middle
	// The nearest string is the index finger's, the thumb has those beyond.
	next := tab.NoFinger
	if i+1 < len(r.t.Strokes) && len(r.t.Strokes[i+1].Plucks) > 0 {
		next = r.t.Strokes[i+1].Plucks[0].Finger
	}
	turn := 0 // thumb first, unless it would have to come again at once for what follows
	if count%2 == 1 && next == tab.Thumb {
		turn = 1
	}
	fifths := r.t.Tune.Bars[s.BarIndex].Key.Fifths()
	for k := range count {
		str, finger := strings[0], tab.Index
		if (k+turn)%2 == 0 {
			str, finger = strings[1+k/2%(len(strings)-1)], tab.Thumb
		}
		key := r.key(s, str)
		r.notes = append(r.notes, rolled{i, s.BarIndex, s.At + tune.Ticks(k+1)*rollNote, str, pitch.SpellKey(key, fifths), finger})
	}
}

// key returns the key number that a string sounds under a stroke's steel.
func (r *roller) key(s *tab.Stroke, str int) int {
	key := r.t.Rig.OpenKey(str, s.Benders)
	if s.Placement.Touches(str) {
		key += int(s.Placement.FirstFret)
	}
	return key
}

// strings returns up to three strings below the melody's that sound the chord as the
// steel lies, the nearest first, no two in unison.
func (r *roller) strings(s *tab.Stroke, p *tab.Pluck, melody int) []int {
	var out []int
	below := melody
	for str := p.String + 1; str <= min(len(r.t.Rig.Strings), rig.MaxStrings) && len(out) < 3; str++ {
		key := r.key(s, str)
		if key < below && melody-key >= 3 && r.chord(s.BarIndex, s.At, key) && s.Placement.Touches(str) == (p.Fret > 0) {
			out, below = append(out, str), key
		}
	}
	return out
}

// write puts the rolls into the tune, as a voice of their own, and into the tab.
func (r *roller) write() (added []tab.Added, strokes []int) {
	t := r.t
	t.Tune = t.Tune.Clone()
	voice := len(t.Tune.Voices)
	t.Tune.Voices = append(t.Tune.Voices, tune.Voice{ID: "roll", Name: "roll"})
	refs := map[[2]int64]tune.Ref{} // by bar and place
	next := 0
	for b := range t.Tune.Bars {
		bar := &t.Tune.Bars[b]
		for len(bar.Lines) < voice {
			bar.Lines = append(bar.Lines, []tune.Event{{Len: bar.Len, Kind: tune.Skip, Value: tune.Value{BarRest: true}}})
		}
		var line []tune.Event
		now := tune.Ticks(0)
		skip := func(to tune.Ticks) {
			if to > now {
				line = append(line, tune.Event{At: now, Len: to - now, Kind: tune.Skip, Value: tune.Value{BarRest: true}})
				now = to
			}
		}
		for ; next < len(r.notes) && r.notes[next].bar == b; next++ {
			n := &r.notes[next]
			skip(n.at)
			refs[[2]int64{int64(b), int64(n.at)}] = tune.Ref{Bar: b, Voice: voice, Event: len(line), Grace: -1}
			value, _ := tune.ValueOf(rollNote)
			line = append(line, tune.Event{At: n.at, Len: rollNote, Value: value, Notes: []tune.Note{{Name: n.name}}})
			now = n.at + rollNote
		}
		skip(bar.Len)
		bar.Lines = append(bar.Lines, line)
	}
	t.Performed = r.perf.Of(t.Tune)
	byStroke := map[int][]rolled{}
	for _, n := range r.notes {
		byStroke[n.after] = append(byStroke[n.after], n)
	}
	out := make([]tab.Stroke, 0, len(t.Strokes)+len(r.notes))
	for i := range t.Strokes {
		out = append(out, t.Strokes[i])
		s := &t.Strokes[i]
		for _, n := range byStroke[i] {
			ref := refs[[2]int64{int64(n.bar), int64(n.at)}]
			p := tab.Pluck{Ref: ref, String: n.str, Finger: n.finger, Len: rollNote}
			if s.Placement.Touches(n.str) {
				p.Fret = s.Placement.FirstFret
			}
			strokes = append(strokes, len(out))
			out = append(out, tab.Stroke{BarIndex: n.bar, At: n.at, Len: rollNote, Placement: s.Placement, Benders: s.Benders, Plucks: []tab.Pluck{p}})
			added = append(added, tab.Added{Kind: tab.AddRoll, Ref: ref, BarNumber: t.Tune.Bars[n.bar].Number, At: n.at, String: n.str, Name: n.name})
		}
		if len(byStroke[i]) > 0 { // the next stroke begins where the first note of the roll does
			out[len(out)-len(byStroke[i])-1].Len = rollNote
		}
	}
	t.Strokes = out
	return added, strokes
}
