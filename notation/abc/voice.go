package abc

import (
	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// voice is one voice being read: its state and the bars that it has so far.
type voice struct {
	b        *book
	id, name string
	setting
	ownClef bool // from its V: field, not from the K: field of all

	bars     bars
	cur      openBar
	nextPart string
	plays    int // how often the section in hand asks to be played, at its start

	over    *layer // an overlay that goes back over bars before this one
	region  int    // 1 + the bar that "(&" stands in, 0 outside of such
	pending item   // what is to be put to the next note
	tuplets tuplets
	broken  int // > signs not yet used up by a second note: positive, < negative
	accs    terms.Accidentals
	spell   speller
	lyric   []noteRef // the notes of the line of music in hand, or of the last
}

// setting is what the fields K:, M: and L: have said to a voice.
type setting struct {
	key   pitch.Key
	meter tune.Meter
	unit  tune.Ticks
	clef  terms.Clef
}

// noteRef finds an item again after its bar has been closed.
type noteRef struct{ bar, item int }

// token is a barline.
type token struct {
	style           tune.BarlineStyle
	left, right     int // times that a repeat is opened and closed
	lineNumber, col int
}

func newVoice(b *book) *voice { return &voice{b: b, spell: speller{b: b}} }

func (v *voice) inherit(from *setting) {
	v.key, v.meter, v.unit = from.key, from.meter, from.unit
	if !v.ownClef {
		v.clef = from.clef
	}
	v.cur.Key, v.cur.Meter = v.key, v.meter
	v.cur.lines = make([][]item, 1)
}

// unused reports whether the voice has no music at all.
func (v *voice) unused() bool { return v.cur.empty() && len(v.bars) == 0 }

func (v *voice) setMeter(m tune.Meter, lineNumber, col int) {
	v.meter = m
	if v.cur.empty() {
		v.cur.Meter = m
	} else {
		v.b.warn(lineNumber, col, "the meter changes inside a bar; it is put before the next")
	}
}

func (v *voice) setKey(k pitch.Key, lineNumber, col int) {
	v.key = k
	v.accs = terms.Accidentals{}
	if v.cur.empty() {
		v.cur.Key = k
	} else {
		v.b.warn(lineNumber, col, "the key changes inside a bar; its signature is put before the next, its notes are as they should be")
	}
}

// add puts an item into the bar in hand.
func (v *voice) add(it item) *item {
	if p := v.cur.prev(); p != nil && p.barRest && v.cur.on == 0 {
		v.b.warn(int(it.at.lineNumber), int(it.at.col), "a rest of whole bars has no barline after it; one is put there")
		v.closeBar(token{style: tune.SingleBarline, lineNumber: int(it.at.lineNumber), col: int(it.at.col)})
	}
	v.b.things++
	if len(v.cur.lines[v.cur.on]) >= maxInBar {
		v.b.warn(int(it.at.lineNumber), int(it.at.col), "a bar has more than %d notes; a barline is put here", maxInBar)
		v.closeBar(token{style: tune.SingleBarline, lineNumber: int(it.at.lineNumber), col: int(it.at.col)})
	}
	v.tuplets.take(&it)
	v.cur.lines[v.cur.on] = append(v.cur.lines[v.cur.on], it)
	line := v.cur.lines[v.cur.on]
	if v.cur.on == 0 && it.kind == tune.Sounding {
		v.lyric = append(v.lyric, noteRef{len(v.bars), len(line) - 1})
	}
	return &line[len(line)-1]
}

// overlay begins another line in the same bar.
func (v *voice) overlay(lineNumber, col int) {
	v.b.things++
	v.endTuplets(lineNumber, col)
	if len(v.cur.lines) == maxVoices {
		v.b.warn(lineNumber, col, "a bar has at most %d overlays", maxVoices)
		return
	}
	v.cur.lines = append(v.cur.lines, nil)
	v.cur.on = len(v.cur.lines) - 1
	v.accs = terms.Accidentals{}
}

// endTuplets closes what is open before a barline; the rest begins anew after it.
func (v *voice) endTuplets(lineNumber, col int) {
	if last := v.cur.prev(); last != nil && v.tuplets.cut(last) {
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
	if v.cur.empty() {
		v.cur.lines, v.cur.on = v.cur.lines[:1], 0
		v.mergeBarline(t)
		return
	}
	v.b.things += 3
	v.endTuplets(t.lineNumber, t.col)
	if p := v.cur.prev(); p != nil {
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
	b := &v.cur.bar
	b.lineNumber, b.col = t.lineNumber, t.col
	for i, items := range v.cur.lines {
		v.spell.line(b, items, i > 0)
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
	v.cur.bar = bar{}
	v.cur.Key, v.cur.Meter, v.cur.Part = v.key, v.meter, v.nextPart
	v.nextPart = ""
	if t.right > 0 {
		v.plays = 0
	}
	v.open(t)
	v.cur.lines = v.cur.lines[:1]
	v.cur.lines[0] = v.cur.lines[0][:0]
	v.cur.on = 0
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

// prevNotes returns the notes sounded just before in the line in hand.
func (v *voice) prevNotes() []tune.Note {
	if p := v.cur.prev(); p != nil {
		return p.notes
	}
	if v.cur.on > 0 || len(v.bars) == 0 {
		return nil
	}
	line := v.bars[len(v.bars)-1].Lines[0]
	return line[len(line)-1].Notes
}
