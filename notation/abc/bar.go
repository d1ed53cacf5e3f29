package abc

import (
	"slices"

	"lapwright/tune"
)

// bar is a bar being read.
type bar struct {
	tune.Bar
	lineNumber, col int
	pos             [][]place // where each event stood, line by line
	firsts          []int32   // the first event of each item of the voice's own line
}

type place struct{ lineNumber, col int32 }

// bars are the bars of a voice that have been closed.
type bars []*bar

// endingBefore returns the highest number of the endings that end where the bar in
// hand begins, or 0.
func (bs bars) endingBefore() int {
	most := 0
	for i := len(bs) - 1; i >= 0; i-- {
		b := bs[i]
		if i < len(bs)-1 && b.Right.Repeat > 0 && most == 0 {
			break
		}
		for _, n := range b.Endings {
			most = max(most, n)
		}
		if most > 0 || b.Left.Repeat > 0 {
			break
		}
	}
	return most
}

// endSlur ends a slur on the last note, and reports false where there is none.
func (bs bars) endSlur() bool {
	if len(bs) == 0 {
		return false
	}
	line := bs[len(bs)-1].Lines[0]
	for i := len(line) - 1; i >= 0; i-- {
		if line[i].Kind != tune.Skip {
			line[i].SlurEnds++
			return true
		}
	}
	return false
}

// openBar is the bar in hand, which is not yet closed.
type openBar struct {
	bar
	lines [][]item // the voice's own and its overlays
	on    int      // index into lines
}

// empty reports whether the bar has nothing in it yet.
func (o *openBar) empty() bool {
	return !slices.ContainsFunc(o.lines, func(l []item) bool { return len(l) > 0 })
}

// pickup reports whether what the bar has is less than a bar of a meter.
func (o *openBar) pickup(m tune.Meter) bool {
	var sum tune.Ticks
	for i := range o.lines[0] {
		length, _ := o.lines[0][i].length()
		sum += length
	}
	return m.Beats > 0 && sum < m.Len()
}

// prev returns the last item of the line in hand, or nil.
func (o *openBar) prev() *item {
	line := o.lines[o.on]
	if len(line) == 0 {
		return nil
	}
	return &line[len(line)-1]
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

// level is a tuplet that is not yet full.
type level struct {
	actual, normal, left int
	begun                bool
}

// tuplets are those that are not yet full, from the outside in.
type tuplets []level

// take puts a note or rest into the tuplets. One that is full takes those inside it along.
func (t *tuplets) take(it *item) {
	full := len(*t)
	for i := range *t {
		l := &(*t)[i]
		it.tuplets = append(it.tuplets, tune.Tuplet{Actual: l.actual, Normal: l.normal, Starts: !l.begun})
		l.begun = true
		l.left--
		if l.left <= 0 {
			full = min(full, i)
		}
	}
	for i := full; i < len(it.tuplets); i++ {
		it.tuplets[i].Ends = true
	}
	*t = (*t)[:full]
}

// cut ends with the last note before a barline what was begun; the rest begins anew
// after it. It reports whether there was any.
func (t tuplets) cut(last *item) bool {
	began := false
	for i := range t {
		if t[i].begun {
			last.tuplets[i].Ends = true
			t[i].begun = false
			began = true
		}
	}
	return began
}
