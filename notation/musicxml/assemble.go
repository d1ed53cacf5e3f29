package musicxml

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// voiceLine is one voice in one bar: its events and, for each, what it was
// read from (nil for a gap).
type voiceLine struct {
	events []tune.Event
	raws   []*rawEvent
}

// tune makes the tune of a part.
func (p *partReader) tune() (*tune.Tune, error) {
	if len(p.carried) > 0 {
		g := p.carried[0]
		p.r.leave(&node{line: g.line, col: g.col}, "graces with no note after them")
	}
	p.out.Tuning, p.out.Notes = p.staffs.tuning(), p.notes.pitched
	a := &assembly{p.r, p.bars, p.staffs}
	a.mergeStaffs()
	t := &tune.Tune{Swing: p.directions.swing}
	lines, err := a.shareOut(t)
	if err != nil {
		return nil, err
	}
	for i := range p.bars {
		b := &p.bars[i].Bar
		b.Lines = nil
		for v := range t.Voices {
			l := &lines[i][v]
			a.written(&p.bars[i], l)
			b.Lines = append(b.Lines, l.events)
		}
		t.Bars = append(t.Bars, *b)
	}
	s := &settling{p.r, p.bars, t, lines}
	s.directions()
	s.repeats()
	s.slurs()
	s.joins()
	settleAccidentals(t)
	if p.notes.beamed || p.r.header.beams {
		s.beams()
	}
	s.fingers(p.out)
	return t, nil
}

// warnBar lists one thing that has been changed in a bar.
func (r *reader) warnBar(b *rawBar, format string, args ...any) {
	if len(r.score.Warnings) < 1000 {
		r.score.Warnings.Add(&fault.Fault{File: r.file, Line: b.line, Col: b.col, Bar: fmt.Sprint(b.Number), Msg: fmt.Sprintf(format, args...)})
	}
}

// assembly makes the voices of a tune of the staffs and measures of a part.
type assembly struct {
	r      *reader
	bars   []rawBar
	staffs staffs
}

// spot is a note as two staffs that show the same music have it in common.
type spot struct {
	bar   int
	at    tune.Ticks
	voice string // in files of our own, which tell; else ""
	key   int
	grace int // which grace before the event, from 1; 0 for its own notes
}

// mergeStaffs takes staffs out that show the music of another: those that say
// so, and a tablature all of whose notes stand in another staff too. Their
// strings and frets go to the notes of the staff that stays.
func (a *assembly) mergeStaffs() {
	used := map[int]bool{}
	for i := range a.bars {
		for _, e := range a.bars[i].events {
			used[e.staff] = true
		}
	}
	var staffs []int
	for n := range used {
		staffs = append(staffs, n)
	}
	slices.Sort(staffs)
	if len(staffs) < 2 {
		return
	}
	out := map[int]bool{}
	for _, n := range staffs {
		info := a.staffs.at(n)
		switch {
		case info.alternate:
			out[n] = true
		case info.tab:
			for _, m := range staffs {
				if m != n && !a.staffs.at(m).tab && !out[m] && a.contains(m, n) {
					out[n] = true
				}
			}
		}
	}
	if len(out) == 0 || len(out) == len(staffs) {
		return
	}
	for i := range a.bars {
		a.mergeBar(i, out)
	}
}

// contains reports whether all notes of staff n stand in staff m too.
func (a *assembly) contains(m, n int) bool {
	have := map[spot]bool{}
	some := false
	for i := range a.bars {
		for _, e := range a.bars[i].events {
			if e.staff == m {
				for _, s := range spotsOf(i, e) {
					have[s] = true
				}
			}
		}
	}
	for i := range a.bars {
		for _, e := range a.bars[i].events {
			if e.staff != n {
				continue
			}
			for _, s := range spotsOf(i, e) {
				some = true
				if !have[s] {
					return false
				}
			}
		}
	}
	return some
}

func spotsOf(bar int, e *rawEvent) []spot {
	var out []spot
	for _, n := range e.Notes {
		out = append(out, spot{bar: bar, at: e.At, key: n.Name.Key()})
	}
	for i, g := range e.Graces {
		for _, n := range g.Notes {
			out = append(out, spot{bar: bar, at: e.At, key: n.Name.Key(), grace: i + 1})
		}
	}
	return out
}

// voiceShown returns the voice of the staff of notes that an event of our own
// tablature shows; "" in other files.
func (a *assembly) voiceShown(e *rawEvent, shows bool, voices int) string {
	if !a.r.header.own {
		return ""
	}
	if !shows {
		return e.voice
	}
	n, err := strconv.Atoi(e.voice)
	if err != nil {
		return ""
	}
	return strconv.Itoa(n - max(4, voices))
}

// mergeBar moves the fingers of the staffs in out to the notes that stay.
func (a *assembly) mergeBar(bar int, out map[int]bool) {
	b := &a.bars[bar]
	type target struct {
		e     *rawEvent
		grace int
		note  int
	}
	notes := map[spot][]target{}
	at := map[spot][]target{} // by time alone, for a note the tablature sounds otherwise
	var kept []*rawEvent
	voices := map[string]bool{}
	for i := range a.bars {
		for _, e := range a.bars[i].events {
			if !out[e.staff] {
				voices[e.voice] = true
			}
		}
	}
	// At a place, a grace is a grace whichever it is.
	anywhere := func(s spot) spot { return spot{bar: s.bar, at: s.at, grace: min(s.grace, 1)} }
	add := func(s spot, t target) {
		notes[s] = append(notes[s], t)
		at[anywhere(s)] = append(at[anywhere(s)], t)
	}
	for _, e := range b.events {
		if out[e.staff] {
			continue
		}
		kept = append(kept, e)
		s := spot{bar: bar, at: e.At, voice: a.voiceShown(e, false, len(voices))}
		for j, n := range e.Notes {
			s.key = n.Name.Key()
			add(s, target{e, -1, j})
		}
		for g := range e.Graces {
			s.grace = g + 1
			for j, n := range e.Graces[g].Notes {
				s.key = n.Name.Key()
				add(s, target{e, g, j})
			}
		}
	}
	taken := map[target]bool{}
	put := func(f *Finger, list []target) bool {
		for _, t := range list {
			if taken[t] {
				continue
			}
			taken[t] = true
			f.Ref.Grace, f.Ref.Note = t.grace, t.note
			t.e.fingers = append(t.e.fingers, f)
			return true
		}
		return false
	}
	var rest []*Finger
	var restAt []spot
	for _, e := range b.events {
		if !out[e.staff] {
			continue
		}
		for _, f := range e.fingers {
			s := spot{bar: bar, at: e.At, voice: a.voiceShown(e, true, len(voices))}
			if f.Ref.Grace >= 0 {
				s.grace = f.graceShown()
				s.key = e.Graces[f.Ref.Grace].Notes[f.Ref.Note].Name.Key()
			} else {
				s.key = e.Notes[f.Ref.Note].Name.Key()
			}
			if !put(f, notes[s]) {
				rest = append(rest, f)
				restAt = append(restAt, anywhere(s))
			}
		}
	}
	for i, f := range rest {
		if !put(f, at[restAt[i]]) {
			a.r.warn(f.line, f.col, "a note of the tablature has none in the staff of notes and is left out")
		}
	}
	b.events = kept
}

// graceShown returns which grace before its event a note of a tablature is: as
// our own mark says, else as it stands there.
func (fi *Finger) graceShown() int {
	for _, own := range fi.own {
		if rest, ok := strings.CutPrefix(own, terms.WordGrace+" "); ok {
			if n, err := strconv.Atoi(rest); err == nil {
				return n
			}
		}
	}
	return fi.Ref.Grace + 1
}

// shareOut returns every event to a voice and fills the gaps. Events of one voice
// that overlap are put into a further voice.
func (a *assembly) shareOut(t *tune.Tune) ([][]voiceLine, error) {
	index := map[string]int{}
	order := []string{}
	find := func(key string) int {
		if i, ok := index[key]; ok {
			return i
		}
		if len(order) == terms.MaxVoices {
			return -1
		}
		index[key] = len(order)
		order = append(order, key)
		return len(order) - 1
	}
	perBar := make([]map[int][]*rawEvent, len(a.bars))
	for i := range a.bars {
		events := slices.Clone(a.bars[i].events)
		slices.SortStableFunc(events, func(x, y *rawEvent) int { return cmp.Compare(x.At, y.At) })
		ends := map[int]tune.Ticks{}
		perBar[i] = map[int][]*rawEvent{}
		for _, e := range events {
			v := -1
			for try := 0; ; try++ {
				key := e.voice
				if try > 0 {
					key = fmt.Sprintf("%s+%d.%d", e.voice, e.staff, try)
				}
				if v = find(key); v < 0 || ends[v] <= e.At {
					break
				}
			}
			if v < 0 {
				a.r.warn(e.line, e.col, "the part has more than %d voices, and a note is left out", terms.MaxVoices)
				continue
			}
			ends[v] = e.At + e.Len
			perBar[i][v] = append(perBar[i][v], e)
		}
	}
	if len(order) == 0 {
		order = append(order, "1")
	}
	if a.r.lines += len(order) * len(a.bars); a.r.lines > terms.MaxLines {
		return nil, a.r.fail(a.bars[0].line, a.bars[0].col, "the score has more than %d voices in all its measures together", terms.MaxLines)
	}
	for i := range order {
		t.Voices = append(t.Voices, tune.Voice{ID: strconv.Itoa(i + 1)})
	}
	lines := make([][]voiceLine, len(a.bars))
	for i := range a.bars {
		lines[i] = make([]voiceLine, len(order))
		for v := range order {
			l := &lines[i][v]
			at := tune.Ticks(0)
			gap := func(until tune.Ticks) {
				if until > at {
					l.events = append(l.events, tune.Event{At: at, Len: until - at, Kind: tune.Skip})
					l.raws = append(l.raws, nil)
					at = until
				}
			}
			for _, e := range perBar[i][v] {
				gap(e.At)
				l.events = append(l.events, e.Event)
				l.raws = append(l.raws, e)
				at = e.At + e.Len
			}
			gap(a.bars[i].Len)
		}
	}
	return lines, nil
}

// written settles the written values and tuplets of a line: as the file says
// when that comes out, else as the lengths need it.
func (a *assembly) written(b *rawBar, l *voiceLine) {
	if len(l.events) == 1 && l.events[0].Kind != tune.Sounding {
		e, raw := &l.events[0], l.raws[0]
		if e.Kind == tune.Skip {
			e.Value = tune.Value{}
			return
		}
		if raw.measureRest || !raw.hasValue {
			e.Value = tune.Value{BarRest: true}
			return
		}
	}
	if explicitTuplets(l) || guessedTuplets(l) {
		return
	}
	for i := range l.events {
		l.events[i].Tuplets = nil
	}
	out, err := tune.Notate(&b.Bar, l.events)
	if err != nil {
		a.r.warn(b.line, b.col, "the lengths in this measure can't be written, and one of its voices is left out")
		l.events = []tune.Event{{Len: b.Len, Kind: tune.Skip}}
		l.raws = []*rawEvent{nil}
		return
	}
	raws := make([]*rawEvent, len(out))
	j := 0
	for i := range out {
		for out[i].At >= l.events[j].At+l.events[j].Len {
			j++
		}
		raws[i] = l.raws[j]
		if raws[i] != nil && raws[i].hasValue && out[i].At == l.events[j].At {
			if v := raws[i].Value; out[i].Value != v || len(out[i].Tuplets) > 0 && raws[i].actual == raws[i].normal {
				a.r.leave(&node{line: raws[i].line, col: raws[i].col}, "the written value of notes whose duration is another")
			}
		}
	}
	l.events, l.raws = out, raws
}

// valueOf finds the written value of an event from its type or, without one,
// its length. Time in which nothing is drawn needs none.
func valueOf(e *tune.Event, raw *rawEvent) (tune.Value, bool) {
	if e.Kind == tune.Skip {
		return tune.Value{}, true
	}
	if raw.hasValue {
		return raw.Value, true
	}
	length := e.Len * tune.Ticks(raw.actual)
	if length%tune.Ticks(raw.normal) != 0 {
		return tune.Value{}, false
	}
	return tune.ValueOf(length / tune.Ticks(raw.normal))
}

// writtenAs reports whether the event's value inside its tuplets has its length.
func writtenAs(e *tune.Event) bool {
	length, ok := e.Value.Scaled(e.Tuplets)
	return e.Kind == tune.Skip || ok && length == e.Len
}

// explicitTuplets takes tuplets from their start and stop marks; false when
// they don't come out.
func explicitTuplets(l *voiceLine) bool {
	type level struct {
		number string
		tuplet tune.Tuplet
	}
	var stack []level
	for i := range l.events {
		e, raw := &l.events[i], l.raws[i]
		v, ok := valueOf(e, raw)
		if !ok {
			return false
		}
		e.Value, e.Tuplets = v, nil
		if raw == nil {
			if len(stack) > 0 {
				return false
			}
			continue
		}
		a, n := raw.actual, raw.normal
		fresh := len(stack)
		for _, m := range raw.tuplets {
			if !m.starts {
				continue
			}
			t := tune.Tuplet{Actual: m.actual, Normal: m.normal, Starts: true}
			if t.Actual == 0 || t.Normal == 0 {
				// What is left of the time modification inside the others.
				x, y := a, n
				for _, s := range stack {
					x, y = x*s.tuplet.Normal, y*s.tuplet.Actual
				}
				if len(stack) > 0 {
					g := int(pitch.GCD(int64(x), int64(y)))
					x, y = x/g, y/g
				}
				t.Actual, t.Normal = x, y
			}
			stack = append(stack, level{m.number, t})
		}
		if len(stack) == fresh && a == n && len(stack) == 0 {
			if !writtenAs(e) {
				return false
			}
			continue
		}
		pa, pn := 1, 1
		for j := range stack {
			pa, pn = pa*stack[j].tuplet.Actual, pn*stack[j].tuplet.Normal
			t := stack[j].tuplet
			t.Starts = j >= fresh
			e.Tuplets = append(e.Tuplets, t)
		}
		if len(stack) > 4 || pa*n != pn*a {
			return false
		}
		for _, m := range raw.tuplets {
			if m.starts {
				continue
			}
			top := len(stack) - 1
			if top < 0 || stack[top].number != m.number && m.number != "" {
				return false
			}
			e.Tuplets[top].Ends = true
			stack = stack[:top]
		}
		if !writtenAs(e) {
			return false
		}
	}
	return len(stack) == 0
}

// guessedTuplets groups neighbours of the same time modification: a group is
// full when its written length is a whole number of tuplets of its shortest
// value.
func guessedTuplets(l *voiceLine) bool {
	var written, unit tune.Ticks
	open := -1 // first event of the open group
	for i := range l.events {
		e, raw := &l.events[i], l.raws[i]
		v, ok := valueOf(e, raw)
		if !ok {
			return false
		}
		e.Value, e.Tuplets = v, nil
		if raw == nil || raw.actual == raw.normal {
			if !writtenAs(e) {
				return false
			}
			if open >= 0 {
				l.events[i-1].Tuplets[0].Ends = true
				open = -1
			}
			continue
		}
		if open >= 0 && (raw.actual != l.raws[open].actual || raw.normal != l.raws[open].normal) {
			l.events[i-1].Tuplets[0].Ends = true
			open = -1
		}
		length := v.Len()
		if e.Kind == tune.Skip {
			length = e.Len * tune.Ticks(raw.actual) / tune.Ticks(raw.normal)
		}
		if open < 0 {
			open, written, unit = i, 0, length
		}
		e.Tuplets = []tune.Tuplet{{Actual: raw.actual, Normal: raw.normal, Starts: open == i}}
		if !writtenAs(e) {
			return false
		}
		written += length
		unit = min(unit, length)
		if written%(unit*tune.Ticks(raw.actual)) == 0 {
			e.Tuplets[0].Ends = true
			open = -1
		}
	}
	if open >= 0 {
		l.events[len(l.events)-1].Tuplets[0].Ends = true
	}
	return true
}
