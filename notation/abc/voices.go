package abc

import (
	"slices"

	"lapwright/notation/abc/terms"
)

// voices are the voices of a tune, and which of them is in hand.
type voices struct {
	b       *book
	header  setting // what K:, M: and L: of the header give every voice
	all     []*voice
	cur     *voice   // nil until the body begins
	chosen  bool     // a V: in the body has chosen it
	touched []*voice // who has music in the line in hand
}

// begun reports whether the tune's body has begun.
func (vs *voices) begun() bool { return vs.cur != nil }

// begin gives every voice what the header has, and takes the first in hand.
func (vs *voices) begin() {
	if len(vs.all) == 0 {
		vs.all = append(vs.all, newVoice(vs.b))
	}
	for _, v := range vs.all {
		v.inherit(&vs.header)
	}
	vs.cur = vs.all[0]
}

// named returns the voice of a name, which is a new one where none has it; nil where
// there are too many.
func (vs *voices) named(id string) *voice {
	for _, v := range slices.Backward(vs.all) {
		if v.id == id {
			return v
		}
	}
	var v *voice
	switch {
	case len(vs.all) == maxVoices:
		return nil
	case vs.begun() && len(vs.all) == 1 && vs.all[0].id == "" && vs.all[0].unused():
		v = vs.all[0]
	default:
		v = newVoice(vs.b)
		if vs.begun() {
			v.inherit(&vs.header)
		}
		vs.all = append(vs.all, v)
	}
	v.id = terms.DecodeText(id)
	return v
}

// choose takes a voice in hand.
func (vs *voices) choose(v *voice) { vs.cur, vs.chosen = v, true }

// everyone returns the voices that a field in the body is for: all of them until
// one has been chosen, then that one (section 7.3 leaves it open; this is how
// files are written).
func (vs *voices) everyone() []*voice {
	if vs.chosen {
		return []*voice{vs.cur}
	}
	return vs.all
}

// touch notes that the line in hand has music of a voice. Words and symbols
// under the line are for that music alone.
func (vs *voices) touch(v *voice) {
	if !slices.Contains(vs.touched, v) {
		vs.touched = append(vs.touched, v)
		v.lyric = v.lyric[:0]
	}
}

// breakLine marks the bars after which the line of music ends.
func (vs *voices) breakLine() {
	for _, v := range vs.touched {
		if v.cur.empty() && len(v.bars) > 0 {
			v.bars[len(v.bars)-1].LineBreak = true
		}
	}
}
