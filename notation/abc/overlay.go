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
	cur   openBar
	state tonal
}

// tonal is what a voice counts with from bar to bar.
type tonal struct {
	key   pitch.Key
	meter tune.Meter
}

// goBack begins a layer at an earlier bar.
func (v *voice) goBack(from, lineNumber, col int) {
	v.b.things++
	v.endTuplets(lineNumber, col)
	if v.over != nil {
		v.endLayer(lineNumber, col)
	}
	l := &layer{target: from, cur: v.cur, state: tonal{v.key, v.meter}}
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
	v.cur = openBar{lines: make([][]item, 2), on: 1}
	v.cur.Key, v.cur.Meter = b.Key, b.Meter
	v.accs = terms.Accidentals{}
}

// closeLayerBar takes a barline in a layer: what was read is put beside the bar
// that it sounds with.
func (v *voice) closeLayerBar(t token) {
	v.accs = terms.Accidentals{}
	if v.cur.empty() {
		return
	}
	v.putLayer(t)
	v.over.target++
	if v.over.target < len(v.bars) {
		v.layBar()
		return
	}
	v.takeUp()
	if !v.cur.empty() {
		// The bar that was put aside is overlaid as well.
		v.overlay(t.lineNumber, t.col)
	}
}

// putLayer puts the notes in hand into the bar of the layer.
func (v *voice) putLayer(t token) {
	v.b.things += 3
	v.endTuplets(t.lineNumber, t.col)
	if p := v.cur.prev(); p != nil {
		p.beamEnd = true
	}
	b := v.bars[v.over.target]
	before := len(b.Lines)
	v.spell.line(b, v.cur.lines[1], true)
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
	if !v.cur.empty() {
		v.putLayer(token{lineNumber: lineNumber, col: col})
	}
	v.takeUp()
}

// takeUp goes on with the bar that was put aside.
func (v *voice) takeUp() {
	l := v.over
	v.over = nil
	v.cur, v.cur.on = l.cur, 0
	v.key, v.meter = l.state.key, l.state.meter
	v.accs = terms.Accidentals{}
}
