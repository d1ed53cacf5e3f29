package abc

import (
	"slices"

	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// layer is an overlay that goes back over bars that have been closed (section
// 7.4): the bar in hand is put aside, and the music that follows fills the bars
// from then on, beside what they have.
type layer struct {
	target int // the bar in hand, as an index into the voice's bars
	line   int // which line of the bars it is
	// What was put aside.
	cur   bar
	lines [][]item
	state tonal
}

// tonal is what a voice counts with from bar to bar.
type tonal struct {
	key   pitch.Key
	meter tune.Meter
}

// overlaySign takes & and runs of it, "(&" having been seen by openBracket: each
// sets the time back by one barline. Between "(&" and "&)" it goes back to where
// the first stands.
func (r *reader) overlaySign(m *scan) {
	v := r.cur
	start, n := m.i, 0
	for m.peek() == '&' {
		n++
		m.i++
	}
	if m.peek() == ')' {
		m.i++
		if v.region == 0 {
			r.warn(m.lineNumber, start+1, "an overlay of several bars ends that did not begin")
			return
		}
		v.region = 0
		if v.over != nil {
			v.endLayer(m.lineNumber, start+1)
		}
		return
	}
	at := len(v.bars)
	if v.over != nil {
		at = v.over.target
	}
	from := at - n + 1
	if v.region > 0 {
		from = v.region - 1
	} else if v.empty() && v.on == 0 {
		from = at - n
	}
	switch {
	case from < 0 && n == 1 || from == at && v.over == nil:
		v.overlay(m.lineNumber, start+1)
	case from < 0:
		r.warn(m.lineNumber, start+1, "the overlay %q goes back to before the first bar; its notes are put beside this one", terms.Clip(m.s[start:m.i]))
		v.overlay(m.lineNumber, start+1)
	default:
		v.goBack(from, m.lineNumber, start+1)
	}
}

// goBack begins a layer at an earlier bar.
func (v *voice) goBack(from, lineNumber, col int) {
	v.b.things++
	v.endTuplets(lineNumber, col)
	if v.over != nil {
		v.endLayer(lineNumber, col)
	}
	l := &layer{target: from, cur: v.cur, lines: v.lines, state: tonal{v.key, v.meter}}
	for i := from; i < len(v.bars); i++ {
		l.line = max(l.line, len(v.bars[i].Lines))
	}
	if l.line >= maxVoices {
		v.b.warn(lineNumber, col, "a bar has at most %d overlays", maxVoices)
		return
	}
	v.over = l
	v.layBar()
}

// layBar makes room for the layer's music of one bar.
func (v *voice) layBar() {
	b := v.bars[v.over.target]
	v.key, v.meter = b.Key, b.Meter
	v.cur = bar{}
	v.cur.Key, v.cur.Meter = b.Key, b.Meter
	v.lines, v.on = make([][]item, 2), 1
	v.accs = terms.Accidentals{}
}

// closeLayerBar takes a barline in a layer: what was read is put beside the bar
// that it sounds with.
func (v *voice) closeLayerBar(t token) {
	v.accs = terms.Accidentals{}
	if v.empty() {
		return
	}
	v.putLayer(t)
	v.over.target++
	if v.over.target < len(v.bars) {
		v.layBar()
		return
	}
	v.takeUp()
	if !v.empty() {
		// The bar that was put aside is overlaid as well.
		v.overlay(t.lineNumber, t.col)
	}
}

// putLayer puts the notes in hand into the bar of the layer.
func (v *voice) putLayer(t token) {
	v.b.things += 3
	v.endTuplets(t.lineNumber, t.col)
	if p := v.prev(); p != nil {
		p.beamEnd = true
	}
	b := v.bars[v.over.target]
	before := len(b.Lines)
	v.closeLine(b, 1)
	if len(b.Lines) > before {
		for len(b.Lines) <= v.over.line {
			b.Lines = slices.Insert(b.Lines, before, []tune.Event(nil))
			b.pos = slices.Insert(b.pos, before, []place(nil))
		}
	}
	for i := range b.Lines {
		b.Lines[i] = fill(b.Lines[i], b.Len)
	}
}

// endLayer ends a layer before it has come to the bar that was put aside.
func (v *voice) endLayer(lineNumber, col int) {
	if !v.empty() {
		v.putLayer(token{lineNumber: lineNumber, col: col})
	}
	v.takeUp()
}

// takeUp goes on with the bar that was put aside.
func (v *voice) takeUp() {
	l := v.over
	v.over = nil
	v.cur, v.lines, v.on = l.cur, l.lines, 0
	v.key, v.meter = l.state.key, l.state.meter
	v.accs = terms.Accidentals{}
}
