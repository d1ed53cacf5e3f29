package abc

import (
	"slices"

	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// voice is one voice being read: its state and the bars that it has so far.
type voice struct {
	b        *book
	id, name string
	key      pitch.Key
	meter    tune.Meter
	unit     tune.Ticks
	clef     terms.Clef
	ownClef  bool // from its V: field, not from the K: field of all

	bars     []*bar
	cur      bar
	nextPart string
	plays    int // how often the section in hand asks to be played, at its start

	lines   [][]item // of cur: the voice's own and its overlays
	on      int      // index into lines
	over    *layer   // an overlay that goes back over bars before this one
	region  int      // 1 + the bar that "(&" stands in, 0 outside of such
	pending item     // what is to be put to the next note
	tuplets []level
	broken  int // > signs not yet used up by a second note: positive, < negative
	accs    terms.Accidentals
	implied []bool    // room for settle
	lyric   []noteRef // the notes of the line of music in hand, or of the last
}

// bar is a bar being read.
type bar struct {
	tune.Bar
	lineNumber, col int
	pos             [][]place // where each event stood, line by line
	firsts          []int32   // the first event of each item of the voice's own line
}

type place struct{ lineNumber, col int32 }

// level is a tuplet that is not yet full.
type level struct {
	actual, normal, left int
	begun                bool
}

// item is one note, chord or rest as the file has it: it may become several
// tied events.
type item struct {
	kind     tune.Kind
	barRest  bool
	nominal  tune.Ticks // before tuplets
	notes    []tune.Note
	graces   []tune.Grace
	tuplets  []tune.Tuplet
	beamEnd  bool
	slurs    int
	slurEnds int
	marks    []tune.Mark
	lyrics   []tune.Lyric
	chords   []tune.ChordAt
	texts    []tune.TextAt
	signs    []tune.Sign
	tempos   []tune.Tempo
	joins    []join // scoops, glides and courtesies asked for
	at       place
}

// noteRef finds an item again after its bar has been closed.
type noteRef struct{ bar, item int }

// token is a barline.
type token struct {
	style           tune.BarlineStyle
	left, right     int // times that a repeat is opened and closed
	lineNumber, col int
}

func (v *voice) inherit(from *voice) {
	v.key, v.meter, v.unit = from.key, from.meter, from.unit
	if !v.ownClef {
		v.clef = from.clef
	}
	v.cur.Key, v.cur.Meter = v.key, v.meter
	v.lines = make([][]item, 1)
}

// empty reports whether the bar in hand has nothing in it yet.
func (v *voice) empty() bool {
	return !slices.ContainsFunc(v.lines, func(l []item) bool { return len(l) > 0 })
}

// unused reports whether the voice has no music at all.
func (v *voice) unused() bool { return v.empty() && len(v.bars) == 0 }

// pickup reports whether what the bar in hand has is less than a bar.
func (v *voice) pickup() bool {
	var sum tune.Ticks
	for i := range v.lines[0] {
		length, _ := v.lines[0][i].length()
		sum += length
	}
	return v.meter.Beats > 0 && sum < v.meter.Len()
}

func (v *voice) setMeter(m tune.Meter, lineNumber, col int) {
	v.meter = m
	if v.empty() {
		v.cur.Meter = m
	} else {
		v.b.warn(lineNumber, col, "the meter changes inside a bar; it is put before the next")
	}
}

func (v *voice) setKey(k pitch.Key, lineNumber, col int) {
	v.key = k
	v.accs = terms.Accidentals{}
	if v.empty() {
		v.cur.Key = k
	} else {
		v.b.warn(lineNumber, col, "the key changes inside a bar; its signature is put before the next, its notes are as they should be")
	}
}

// add puts an item into the bar in hand.
func (v *voice) add(it item) *item {
	if p := v.prev(); p != nil && p.barRest && v.on == 0 {
		v.b.warn(int(it.at.lineNumber), int(it.at.col), "a rest of whole bars has no barline after it; one is put there")
		v.closeBar(token{style: tune.SingleBarline, lineNumber: int(it.at.lineNumber), col: int(it.at.col)})
	}
	v.b.things++
	if len(v.lines[v.on]) >= maxInBar {
		v.b.warn(int(it.at.lineNumber), int(it.at.col), "a bar has more than %d notes; a barline is put here", maxInBar)
		v.closeBar(token{style: tune.SingleBarline, lineNumber: int(it.at.lineNumber), col: int(it.at.col)})
	}
	for i := range v.tuplets {
		l := &v.tuplets[i]
		it.tuplets = append(it.tuplets, tune.Tuplet{Actual: l.actual, Normal: l.normal, Starts: !l.begun})
		l.begun = true
		l.left--
	}
	// A tuplet that is full takes those inside it along.
	full := len(v.tuplets)
	for i := range v.tuplets {
		if v.tuplets[i].left <= 0 {
			full = i
			break
		}
	}
	for i := full; i < len(it.tuplets); i++ {
		it.tuplets[i].Ends = true
	}
	v.tuplets = v.tuplets[:full]
	v.lines[v.on] = append(v.lines[v.on], it)
	line := v.lines[v.on]
	if v.on == 0 && it.kind == tune.Sounding {
		v.lyric = append(v.lyric, noteRef{len(v.bars), len(line) - 1})
	}
	return &line[len(line)-1]
}

// prev returns the last item of the line in hand, or nil.
func (v *voice) prev() *item {
	line := v.lines[v.on]
	if len(line) == 0 {
		return nil
	}
	return &line[len(line)-1]
}

// overlay begins another line in the same bar.
func (v *voice) overlay(lineNumber, col int) {
	v.b.things++
	v.endTuplets(lineNumber, col)
	if len(v.lines) == maxVoices {
		v.b.warn(lineNumber, col, "a bar has at most %d overlays", maxVoices)
		return
	}
	v.lines = append(v.lines, nil)
	v.on = len(v.lines) - 1
	v.accs = terms.Accidentals{}
}

// endTuplets closes what is open before a barline; the rest begins anew after it.
func (v *voice) endTuplets(lineNumber, col int) {
	it := v.prev()
	if it == nil || len(v.tuplets) == 0 {
		return
	}
	began := false
	for i := range v.tuplets {
		if v.tuplets[i].begun {
			it.tuplets[i].Ends = true
			v.tuplets[i].begun = false
			began = true
		}
	}
	if began {
		v.b.warn(lineNumber, col, "a tuplet runs on over the end of a bar; it is written as two")
	}
}

// closeBar takes a barline.
func (v *voice) closeBar(t token) {
	if v.over != nil {
		v.closeLayerBar(t)
		return
	}
	v.accs = terms.Accidentals{}
	if v.empty() {
		v.lines, v.on = v.lines[:1], 0
		v.mergeBarline(t)
		return
	}
	v.b.things += 3
	v.endTuplets(t.lineNumber, t.col)
	if p := v.prev(); p != nil {
		p.beamEnd = true
	}
	var jumps, stay []tune.Sign
	for _, s := range v.pending.signs {
		if s.Kind == tune.Segno || s.Kind == tune.Coda {
			stay = append(stay, s)
		} else {
			jumps = append(jumps, s)
		}
	}
	v.pending.signs = stay
	b := &v.cur
	b.lineNumber, b.col = t.lineNumber, t.col
	for i := range v.lines {
		v.closeLine(b, i)
	}
	for _, s := range jumps {
		s.At = b.Len
		b.Signs = append(b.Signs, s)
	}
	for i := range b.Lines {
		b.Lines[i] = fill(b.Lines[i], b.Len)
	}
	b.Right = tune.Barline{Style: t.style, Repeat: t.right}
	if t.style == tune.OpenBarline {
		b.Right.Style = tune.SingleBarline
	}
	if t.right > 0 && v.plays > t.right {
		b.Right.Repeat = v.plays
	}
	done := *b
	v.bars = append(v.bars, &done)
	v.cur = bar{}
	v.cur.Key, v.cur.Meter, v.cur.Part = v.key, v.meter, v.nextPart
	v.nextPart = ""
	if t.right > 0 {
		v.plays = 0
	}
	v.open(t)
	v.lines = v.lines[:1]
	v.lines[0] = v.lines[0][:0]
	v.on = 0
}

// open puts the left side of a barline to the bar in hand.
func (v *voice) open(t token) {
	if t.style == tune.OpenBarline {
		v.cur.Left.Style = tune.OpenBarline
	}
	if t.left > 0 {
		v.cur.Left.Repeat = 1
		v.plays = t.left
	}
}

// mergeBarline takes a barline that has no music before it: at the start of the
// tune, or after another barline.
func (v *voice) mergeBarline(t token) {
	if len(v.bars) == 0 {
		if t.right > 0 {
			v.b.warn(t.lineNumber, t.col, "a repeat ends before any music")
		}
		v.open(t)
		return
	}
	last := v.bars[len(v.bars)-1]
	if t.right > 0 {
		last.Right.Repeat = max(last.Right.Repeat, t.right, v.plays)
		v.plays = 0
	}
	if last.Right.Style == tune.SingleBarline && t.style != tune.OpenBarline {
		last.Right.Style = t.style
	}
	v.open(t)
}

// closeLine turns the items of one line of the bar into events and puts what goes
// with them to the bar.
func (v *voice) closeLine(b *bar, n int) {
	items := v.lines[n]
	var (
		events  = make([]tune.Event, 0, len(items))
		pos     = make([]place, 0, len(items))
		implied = v.implied[:0]
		at      tune.Ticks
	)
	for i := range items {
		it := &items[i]
		if n == 0 {
			if b.firsts == nil {
				b.firsts = make([]int32, 0, len(items))
			}
			b.firsts = append(b.firsts, int32(len(events)))
		}
		for _, x := range it.tempos {
			x.At = at
			b.Tempos = append(b.Tempos, x)
		}
		for _, x := range it.chords {
			x.At = at
			b.Chords = append(b.Chords, x)
		}
		for _, x := range it.texts {
			x.At = at
			b.Texts = append(b.Texts, x)
		}
		for _, x := range it.signs {
			x.At = at
			b.Signs = append(b.Signs, x)
		}
		from := len(events)
		var lone bool
		events, lone = v.spell(events, it, b, len(items) == 1)
		for j := from; j < len(events); j++ {
			events[j].At = at
			at += events[j].Len
			pos = append(pos, it.at)
			implied = append(implied, lone)
		}
	}
	v.b.things += 2 * (len(events) - len(items))
	joinTriplets(events, implied)
	v.implied = implied
	b.Len = max(b.Len, at)
	if n > 0 && !slices.ContainsFunc(events, func(e tune.Event) bool { return e.Kind != tune.Skip }) {
		// An overlay of invisible rests only holds chord symbols or words in
		// their places: it is no voice.
		return
	}
	b.Lines = append(b.Lines, events)
	b.pos = append(b.pos, pos)
}

// fill adds time to the end of a line that is shorter than its bar.
func fill(events []tune.Event, length tune.Ticks) []tune.Event {
	var at tune.Ticks
	if n := len(events); n > 0 {
		at = events[n-1].At + events[n-1].Len
	}
	if at < length {
		events = append(events, tune.Event{At: at, Len: length - at, Kind: tune.Skip, BeamEnd: true})
	}
	return events
}

// length returns the time that an item takes, or false when its tuplets don't
// divide it.
func (it *item) length() (tune.Ticks, bool) {
	length := it.nominal
	for _, x := range it.tuplets {
		length *= tune.Ticks(x.Normal)
		if length%tune.Ticks(x.Actual) != 0 {
			return 0, false
		}
		length /= tune.Ticks(x.Actual)
	}
	return length, true
}

// spell appends the events that an item is written as: one where a single note
// value has its length, else several tied. lone says that it is one event in a
// tuplet of its own which the file did not write.
func (v *voice) spell(events []tune.Event, it *item, b *bar, alone bool) (out []tune.Event, lone bool) {
	length, ok := it.length()
	if !ok || length <= 0 {
		v.b.warn(int(it.at.lineNumber), int(it.at.col), "a note of %s in its tuplets is no whole number of ticks; its tuplets are left out", it.nominal)
		it.tuplets = nil
		length = it.nominal
	}
	if it.kind == tune.Skip {
		return append(events, tune.Event{Len: length, Kind: tune.Skip, Tuplets: it.tuplets, BeamEnd: it.beamEnd, Slurs: it.slurs, SlurEnds: it.slurEnds, Marks: it.marks}), false
	}
	if it.kind == tune.Rest && (it.barRest || alone && length == b.Meter.Len() && len(it.tuplets) == 0) {
		return append(events, tune.Event{
			Len: length, Kind: tune.Rest, Value: tune.Value{BarRest: true}, BeamEnd: it.beamEnd, Slurs: it.slurs, SlurEnds: it.slurEnds, Marks: it.marks,
		}), false
	}
	values, inner := v.values(it)
	e := tune.Event{
		Kind: it.kind, Notes: it.notes, Graces: it.graces, Tuplets: it.tuplets, BeamEnd: it.beamEnd,
		Slurs: it.slurs, SlurEnds: it.slurEnds, Marks: it.marks, Lyrics: it.lyrics,
	}
	if inner.Actual > 0 {
		inner.Starts, inner.Ends = true, true
		e.Tuplets = append(slices.Clip(e.Tuplets), inner)
	}
	if len(values) == 1 {
		e.Value = values[0]
		e.Len, _ = e.Value.Scaled(e.Tuplets)
		return append(events, e), inner.Actual > 0 && len(e.Tuplets) == 1
	}
	for i, value := range values {
		part := e
		part.Value = value
		part.Tuplets = slices.Clone(e.Tuplets)
		for j := range part.Tuplets {
			x := &part.Tuplets[j]
			x.Starts = x.Starts && i == 0
			x.Ends = x.Ends && i == len(values)-1
		}
		part.Len, _ = value.Scaled(part.Tuplets)
		if i > 0 {
			part.Graces, part.Marks, part.Lyrics, part.Slurs = nil, nil, nil, 0
		}
		if i < len(values)-1 {
			part.BeamEnd, part.SlurEnds = false, 0
		}
		part.Notes = slices.Clone(e.Notes)
		for j := range part.Notes {
			x := &part.Notes[j]
			if i > 0 {
				x.Scoop, x.Show, x.Courtesy = 0, false, false
			}
			if i < len(values)-1 {
				x.Tie, x.Glide = true, false
			}
		}
		events = append(events, part)
	}
	return events, false
}

// values returns the note values that add up to an item's length, and the tuplet
// that they stand in when the length is a third, fifth … of one.
func (v *voice) values(it *item) ([]tune.Value, tune.Tuplet) {
	if value, ok := tune.ValueOf(it.nominal); ok {
		return []tune.Value{value}, tune.Tuplet{}
	}
	if values, ok := tune.Values(it.nominal); ok {
		return values, tune.Tuplet{}
	}
	_, den := it.nominal.Fraction()
	odd := int(den)
	for odd%2 == 0 {
		odd /= 2
	}
	normal := 1
	for normal*2 < odd {
		normal *= 2
	}
	if odd > 1 && odd <= tune.MaxTuplet {
		if values, ok := tune.Values(it.nominal * tune.Ticks(odd) / tune.Ticks(normal)); ok {
			return values, tune.Tuplet{Actual: odd, Normal: normal}
		}
	}
	v.b.warn(int(it.at.lineNumber), int(it.at.col), "a note of %s can't be written; a sixteenth is taken", it.nominal)
	it.tuplets = nil
	return []tune.Value{{Log2: 4}}, tune.Tuplet{}
}

// joinTriplets makes one tuplet of neighbours that each make the same tuplet
// alone, as lengths such as 1/12 1/12 1/12 do, where together they last a plain
// note value. lone says which events those are.
func joinTriplets(events []tune.Event, lone []bool) {
	for i := 0; i < len(events); i++ {
		if !lone[i] {
			continue
		}
		x := events[i].Tuplets[0]
		var sum tune.Ticks
		for j := i; j < len(events) && lone[j] && events[j].Tuplets[0] == x; j++ {
			sum += events[j].Len
			if _, den := sum.Fraction(); den&(den-1) != 0 {
				continue
			}
			for k := i; k <= j; k++ {
				events[k].Tuplets[0].Starts, events[k].Tuplets[0].Ends = k == i, k == j
			}
			i = j
			break
		}
	}
}
