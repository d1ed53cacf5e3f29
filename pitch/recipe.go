package pitch

import (
	"cmp"
	"slices"
	"strconv"

	"lapwright/inorder"
)

// third is what a chord has between its root and its fifth.
type third int8

const (
	majorThird third = iota
	minorThird
	noThird
)

// seventh is the kind of seventh a chord has.
type seventh int8

const (
	noSeventh seventh = iota
	flatSeventh
	majorSeventh
	dimSeventh
)

// tension is an added or altered degree: {9, −1} is the flat ninth.
type tension struct{ degree, alter int8 }

// recipe is a chord quality by its parts; it decides both the canonical suffix
// and the tones, so that the two can't disagree.
type recipe struct {
	third      third
	sus2, sus4 bool
	flat5      bool
	sharp5     bool
	noFifth    bool
	sixth      bool
	seventh    seventh
	ext        int8 // 0, 7, 9, 11 or 13: how far the stack of thirds is named
	altered    bool // 7alt
	tensions   []tension
	omit9      bool
	omit11     bool
}

func (r *recipe) has(t tension) bool { return slices.Contains(r.tensions, t) }

func (r *recipe) add(t tension) {
	if !r.has(t) {
		r.tensions = append(r.tensions, t)
	}
}

func (r *recipe) drop(t tension) {
	r.tensions = slices.DeleteFunc(r.tensions, func(u tension) bool { return u == t })
}

// normalise brings a recipe to the one form its tones have: an added ninth over a
// seventh is a ninth chord, an altered ninth replaces the plain one.
func (r *recipe) normalise() {
	if r.altered {
		r.tensions, r.flat5, r.sharp5 = nil, false, false
		return
	}
	if r.sus2 || r.sus4 {
		r.third = noThird
		if r.sus2 {
			r.drop(tension{2, 0})
		}
		if r.sus4 {
			r.drop(tension{4, 0})
		}
	} else if r.ext == 11 && r.third == noThird {
		r.third = majorThird // left out by custom anyway
	}
	if r.seventh == dimSeventh {
		r.sixth = false // the same sound
	}
	alteredNinth := r.has(tension{9, -1}) || r.has(tension{9, 1})
	if r.ext == 9 && alteredNinth {
		r.ext = 7
	}
	if r.ext == 11 && r.has(tension{11, 1}) {
		r.ext = 9
		if alteredNinth {
			r.ext = 7
		}
	}
	if r.ext == 13 && r.has(tension{13, -1}) {
		r.ext = 9
		if alteredNinth {
			r.ext = 7
		}
	}
	if r.seventh != noSeventh {
		// Without its third or with a minor one, a ninth chord that adds the
		// eleventh is an eleventh chord; under a major third it isn't, because
		// the eleventh chord leaves that third out.
		if r.ext == 7 && r.has(tension{9, 0}) && !alteredNinth {
			r.ext = 9
		}
		if r.ext == 9 && r.third != majorThird && !r.sus4 && r.has(tension{11, 0}) && !r.has(tension{11, 1}) {
			r.ext = 11
			if r.third == noThird && !r.sus2 {
				r.third = majorThird
			}
		}
		if r.ext == 9 && r.has(tension{13, 0}) && !r.has(tension{13, -1}) {
			r.ext = 13
		}
	}
	if r.ext >= 9 {
		r.drop(tension{9, 0})
	}
	if r.ext == 11 {
		r.drop(tension{11, 0})
	}
	if r.ext == 13 {
		r.drop(tension{13, 0})
	}
	r.omit9 = r.omit9 && r.ext > 9
	r.omit11 = r.omit11 && r.ext == 13 && r.has(tension{11, 0})
	if r.omit11 {
		r.drop(tension{11, 0})
		r.omit11 = false
	}
	inorder.Stable(r.tensions, func(a, b tension) int {
		return cmp.Or(cmp.Compare(a.degree, b.degree), cmp.Compare(a.alter, b.alter))
	})
}

// power reports whether only root and fifth are left.
func (r *recipe) power() bool {
	return r.third == noThird && !r.sus2 && !r.sus4 && !r.flat5 && !r.sharp5 && !r.noFifth &&
		!r.sixth && r.seventh == noSeventh
}

// suffix returns the canonical text of the quality.
func (r *recipe) suffix() string {
	if r.altered {
		return "7alt"
	}
	if r.power() {
		return "5" + r.tail(true)
	}
	dim := r.seventh == dimSeventh ||
		r.third == minorThird && r.flat5 && !r.sharp5 && r.seventh != flatSeventh && !r.sixth
	aug := r.third == majorThird && r.sharp5 && !r.flat5 && r.seventh == noSeventh && !r.sixth
	s := ""
	switch {
	case dim:
		s = "dim"
	case aug:
		s = "aug"
	case r.third == minorThird:
		s = "m"
	}
	ext := ""
	if r.ext > 0 {
		ext = strconv.Itoa(int(r.ext))
	}
	sixNine := false
	switch r.seventh {
	case majorSeventh:
		if s == "" {
			s = "maj" + ext
		} else {
			s += "Maj" + ext
		}
	case flatSeventh, dimSeventh:
		s += ext
	default:
		if r.sixth {
			s += "6"
			if r.has(tension{9, 0}) {
				s += "/9"
				sixNine = true
			}
		}
	}
	if r.sixth && r.seventh != noSeventh {
		s += "add6"
	}
	switch {
	case r.sus2 && r.sus4:
		s += "sus24"
	case r.sus2:
		s += "sus2"
	case r.sus4:
		s += "sus4"
	}
	fifth := ""
	if r.flat5 && !dim {
		fifth += "b5"
	}
	if r.sharp5 && !aug {
		fifth += "#5"
	}
	if s == "" && fifth != "" {
		// "C" and "b5" side by side would read as C flat.
		fifth = "(" + fifth + ")"
	}
	return s + fifth + r.tail(!sixNine)
}

// tail returns the tensions and omissions. ninth reports whether a plain added ninth
// is still to be written.
func (r *recipe) tail(ninth bool) string {
	s := ""
	for _, t := range r.tensions {
		if t == (tension{9, 0}) && !ninth {
			continue
		}
		if t.alter == 0 || r.seventh == noSeventh || t.degree < 9 {
			s += "add"
		}
		s += alterText(t.alter) + strconv.Itoa(int(t.degree))
	}
	if r.third == noThird && !r.sus2 && !r.sus4 && !r.power() {
		s += "(no3)"
	}
	if r.noFifth {
		s += "(no5)"
	}
	if r.omit9 {
		s += "(no9)"
	}
	return s
}

func alterText(a int8) string {
	switch {
	case a < 0:
		return "b"
	case a > 0:
		return "#"
	}
	return ""
}

// degreeSemitones gives the semitones of each plain (major or perfect) degree
// above the root.
var degreeSemitones = map[int8]int{1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}

// tones spells the recipe out from the root up.
//
// Two customs of the trade (common practice, no source): a thirteenth chord
// leaves out the eleventh, and an eleventh chord with a major third leaves out
// that third, since the two clash by a minor ninth.
func (r *recipe) tones() []Tone {
	var out []Tone
	put := func(degree, alter int8) {
		label := alterText(alter)
		if alter == -2 {
			label = "bb"
		}
		label += strconv.Itoa(int(degree))
		if degree == 1 {
			label = "R"
		}
		out = append(out, Tone{Interval{int(degree) - 1, degreeSemitones[degree] + int(alter)}, label})
	}
	put(1, 0)
	if r.altered {
		put(3, 0)
		put(7, -1)
		put(9, -1)
		put(9, 1)
		put(11, 1)
		put(13, -1)
		return out
	}
	if r.sus2 {
		put(2, 0)
	}
	if r.sus4 {
		put(4, 0)
	}
	switch {
	case r.third == majorThird && r.ext != 11:
		put(3, 0)
	case r.third == minorThird:
		put(3, -1)
	}
	if r.flat5 {
		put(5, -1)
	}
	if r.sharp5 {
		put(5, 1)
	}
	if !r.flat5 && !r.sharp5 && !r.noFifth {
		put(5, 0)
	}
	if r.sixth {
		put(6, 0)
	}
	switch r.seventh {
	case flatSeventh:
		put(7, -1)
	case majorSeventh:
		put(7, 0)
	case dimSeventh:
		put(7, -2)
	}
	if r.ext >= 9 && !r.omit9 && !r.has(tension{9, -1}) && !r.has(tension{9, 1}) {
		put(9, 0)
	}
	if r.ext == 11 {
		put(11, 0)
	}
	if r.ext == 13 {
		put(13, 0)
	}
	for _, t := range r.tensions {
		put(t.degree, t.alter)
	}
	inorder.Stable(out, func(a, b Tone) int {
		return cmp.Or(cmp.Compare(a.Interval.Semitones, b.Interval.Semitones), cmp.Compare(a.Interval.Steps, b.Interval.Steps))
	})
	return out
}
