package tune

import (
	"fmt"
	"slices"

	"lapwright/fault"
	"lapwright/pitch"
)

// The bounds of numbers in a tune.
const (
	MaxRepeats   = 99         // further passes on one repeat sign, and ending numbers
	MaxBeats     = 256        // beats of a meter
	MaxUnit      = 1024       // unit of a meter: a power of two up to this
	MaxPerMinute = 10_000_000 // beats a minute, in thousandths
	MaxGraces    = 32         // graces before one event
	MaxNotes     = 64         // notes in one event
	MaxScoop     = 24         // semitones
)

// Check returns everything that makes t no valid tune, by bar and beat; nil for
// a valid one. What it asks for:
//   - at least one voice and one bar; every bar longer than nothing, with one
//     line of events a voice that fills it without gap or overlap;
//   - every note's and rest's length equal to its written value inside its
//     tuplets, or to the bar for a bar rest; tuplets that begin and end within the bar and
//     one line;
//   - notes from low to high, within key numbers 0 to 127; graces and marks of
//     sounding events only;
//   - ties that the same pitch takes up in some event that follows, as written or in
//     sounding order; glides that lead to another note;
//   - slurs that begin and end, voice by voice;
//   - signs, tempos, chords and texts inside their bar; endings in order;
//   - nothing that Unfold can't follow.
func (t *Tune) Check() fault.List {
	_, faults := Checked(t)
	return faults
}

// Checked returns what Check finds and, when that is nothing, the performance
// that it came by.
func Checked(t *Tune) (*Performance, fault.List) {
	c := &checker{t: t}
	if len(t.Voices) == 0 {
		c.list.Add(&fault.Fault{Msg: "the tune has no voice"})
	}
	if len(t.Bars) == 0 {
		c.list.Add(&fault.Fault{Msg: "the tune has no bar"})
	}
	if !t.Swing.Known() {
		c.list.Add(&fault.Fault{Msg: fmt.Sprintf("there is no swing of %d to %d", t.Swing.Long, t.Swing.Short)})
	}
	slurs := make([]int, len(t.Voices))
	for i := range t.Bars {
		c.bar = i
		c.checkBar(&t.Bars[i])
		for v := range min(len(slurs), len(t.Bars[i].Lines)) {
			c.checkLine(v, slurs)
		}
	}
	for v, open := range slurs {
		if open > 0 {
			c.list.Add(&fault.Fault{Msg: fmt.Sprintf("voice %d leaves %d slurs open", v+1, open)})
		}
	}
	if len(c.list) > 0 {
		// What follows reads the bars in sounding order and needs them sound.
		return nil, c.list
	}
	passes, faults := Unfold(t)
	c.list = append(c.list, faults...)
	c.checkJoins(passes)
	if len(c.list) > 0 {
		return nil, c.list
	}
	return newPerformance(t, passes, nil), nil
}

type checker struct {
	t    *Tune
	bar  int
	list fault.List
}

func (c *checker) add(at Ticks, format string, args ...any) {
	c.list.Add(&fault.Fault{
		Bar:  fmt.Sprint(c.t.Bars[c.bar].Number),
		Beat: at.String(),
		Msg:  fmt.Sprintf(format, args...),
	})
}

func (c *checker) checkBar(b *Bar) {
	if b.Len <= 0 || b.Len > MaxWholes*Whole {
		c.add(0, "the bar's length %q is out of bounds", b.Len)
	}
	if len(b.Lines) != len(c.t.Voices) {
		c.add(0, "the bar has %d lines for %d voices", len(b.Lines), len(c.t.Voices))
	}
	if b.Number < 0 {
		c.add(0, "the bar's number %d is negative", b.Number)
	}
	c.checkMeter(b.Meter)
	for _, a := range b.Key.Signature {
		if a < -2 || a > 2 {
			c.add(0, "the key signature alters a note by %d", a)
		}
	}
	if b.Left.Repeat < 0 || b.Left.Repeat > 1 || b.Right.Repeat < 0 || b.Right.Repeat > MaxRepeats {
		c.add(0, "the bar's repeat counts %d and %d are out of bounds", b.Left.Repeat, b.Right.Repeat)
	}
	for i, n := range b.Endings {
		if n < 1 || n > MaxRepeats || i > 0 && n <= b.Endings[i-1] {
			c.add(0, "the ending numbers %v are out of order or bounds", b.Endings)
			break
		}
	}
	for _, s := range b.Signs {
		if s.At < 0 || s.At > b.Len || s.Kind < Segno || s.Kind > DalSegnoAlCoda {
			c.add(s.At, "a sign of kind %d is outside the bar or unknown", s.Kind)
		}
	}
	for _, x := range b.Tempos {
		if x.At < 0 || x.At >= b.Len {
			c.add(x.At, "a tempo is outside the bar")
		}
		if x.PerMinute < 0 || x.PerMinute > MaxPerMinute || x.PerMinute > 0 && (x.Beat <= 0 || x.Beat > 16*Whole) {
			c.add(x.At, "the tempo of %d thousandths of a beat of %q a minute is out of bounds", x.PerMinute, x.Beat)
		}
	}
	for _, x := range b.Chords {
		if x.At < 0 || x.At >= b.Len {
			c.add(x.At, "the chord symbol %q is outside the bar", x.Text)
		}
	}
	for _, x := range b.Texts {
		if x.At < 0 || x.At > b.Len {
			c.add(x.At, "the text %q is outside the bar", x.Text)
		}
	}
}

func (c *checker) checkMeter(m Meter) {
	switch {
	case m.Beats == 0 && m.Unit == 0 && len(m.Groups) == 0:
		return
	case m.Beats < 1 || m.Beats > MaxBeats || m.Unit < 1 || m.Unit > MaxUnit || m.Unit&(m.Unit-1) != 0:
		c.add(0, "the meter %d/%d is out of bounds", m.Beats, m.Unit)
	case len(m.Groups) > 0:
		sum := 0
		for _, g := range m.Groups {
			if g < 1 {
				sum = -MaxBeats * len(m.Groups)
			}
			sum += min(g, MaxBeats)
		}
		if sum != m.Beats {
			c.add(0, "the groups %v do not add up to %d beats", m.Groups, m.Beats)
		}
	}
}

func (c *checker) checkLine(v int, slurs []int) {
	b := &c.t.Bars[c.bar]
	var (
		at   Ticks
		open []Tuplet
	)
	for i := range b.Lines[v] {
		e := &b.Lines[v][i]
		if e.At != at {
			c.add(e.At, "voice %d has an event here and not at %q", v+1, at)
			return
		}
		if e.Len <= 0 || e.Len > b.Len-at {
			c.add(at, "voice %d has an event of length %q, which does not fit the bar", v+1, e.Len)
			return
		}
		c.checkValue(e, b)
		open = c.checkTuplets(e, open)
		c.checkNotes(e)
		slurs[v] -= e.SlurEnds
		if e.Slurs < 0 || e.SlurEnds < 0 || slurs[v] < 0 {
			c.add(at, "voice %d ends a slur that does not begin", v+1)
			slurs[v] = 0
		}
		slurs[v] += e.Slurs
		for _, l := range e.Lyrics {
			if l.Verse < 1 {
				c.add(at, "a syllable %q is of verse %d", l.Text, l.Verse)
			}
		}
		at += e.Len
	}
	if at != b.Len {
		c.add(at, "voice %d ends here and the bar at %q", v+1, b.Len)
	}
	if len(open) > 0 {
		c.add(at, "voice %d leaves a tuplet open at the end of the bar", v+1)
	}
}

func (c *checker) checkValue(e *Event, b *Bar) {
	v := e.Value
	if e.Kind == Skip {
		return // nothing is written
	}
	if v.BarRest {
		if e.Kind == Sounding || e.At != 0 || e.Len != b.Len || len(e.Tuplets) > 0 {
			c.add(e.At, "a bar rest is not a rest for the whole bar")
		}
		return
	}
	if !v.within() {
		c.add(e.At, "a written value with logarithm %d and %d dots is out of bounds", v.Log2, v.Dots)
		return
	}
	if length, ok := v.Scaled(e.Tuplets); !ok || length != e.Len {
		c.add(e.At, "an event of length %q is written as %q in its tuplets", e.Len, length)
	}
}

// checkTuplets follows the tuplets open before e and gives those open after it.
func (c *checker) checkTuplets(e *Event, open []Tuplet) []Tuplet {
	for i, x := range e.Tuplets {
		if x.Actual < 1 || x.Normal < 1 || x.Actual > MaxTuplet || x.Normal > MaxTuplet {
			c.add(e.At, "a tuplet of %d in the time of %d is out of bounds", x.Actual, x.Normal)
		}
		switch {
		case i < len(open) && (x.Starts || x.Actual != open[i].Actual || x.Normal != open[i].Normal):
			c.add(e.At, "a tuplet begins inside one that has not ended")
		case i >= len(open) && !x.Starts:
			c.add(e.At, "a tuplet goes on here that did not begin")
		}
	}
	if len(e.Tuplets) < len(open) {
		c.add(e.At, "an event stands outside a tuplet that has not ended")
	}
	n := len(e.Tuplets)
	for n > 0 && e.Tuplets[n-1].Ends {
		n--
	}
	if slices.ContainsFunc(e.Tuplets[:n], func(x Tuplet) bool { return x.Ends }) {
		c.add(e.At, "a tuplet ends before the one inside it")
	}
	return slices.Clone(e.Tuplets[:n])
}

func (c *checker) checkNotes(e *Event) {
	switch {
	case e.Kind > Skip:
		c.add(e.At, "an event is of the unknown kind %d", e.Kind)
	case e.Kind == Sounding && (len(e.Notes) == 0 || len(e.Notes) > MaxNotes):
		c.add(e.At, "a sounding event has %d notes", len(e.Notes))
	case e.Kind != Sounding && len(e.Notes)+len(e.Graces) > 0:
		c.add(e.At, "a rest has notes")
	case len(e.Graces) > MaxGraces || Ticks(2*len(e.Graces)) > e.Len:
		c.add(e.At, "an event has %d graces", len(e.Graces))
	}
	c.checkChord(e.At, e.Notes)
	for _, g := range e.Graces {
		if len(g.Notes) == 0 || len(g.Notes) > MaxNotes {
			c.add(e.At, "a grace has %d notes", len(g.Notes))
		}
		if g.Value.BarRest || !g.Value.within() {
			c.add(e.At, "a grace's written value is out of bounds")
		}
		c.checkChord(e.At, g.Notes)
		for _, n := range g.Notes {
			if n.Tie {
				c.add(e.At, "a grace %q is tied", n.Name)
			}
		}
	}
	for _, m := range e.Marks {
		if m < Staccato || m > Swell {
			c.add(e.At, "a mark is of the unknown kind %d", m)
		}
	}
}

func (c *checker) checkChord(at Ticks, notes []Note) {
	for i, n := range notes {
		switch {
		case n.Name.Letter < pitch.C || n.Name.Letter > pitch.B || n.Name.Alter < -2 || n.Name.Alter > 2:
			c.add(at, "a note has letter %d altered by %d", n.Name.Letter, n.Name.Alter)
			return
		case n.Name.Key() < pitch.MinKey || n.Name.Key() > pitch.MaxKey:
			c.add(at, "the note %q is beyond all instruments", n.Name)
		case i > 0 && n.Name.Key() < notes[i-1].Name.Key():
			c.add(at, "the notes of a chord are not from low to high: %q under %q", n.Name, notes[i-1].Name)
		case n.Chop && (n.Tie || n.Glide || n.Scoop != 0):
			c.add(at, "a stroke without pitch is neither held on nor glided from or into")
		case n.Scoop < -MaxScoop || n.Scoop > MaxScoop:
			c.add(at, "a scoop of %d semitones is out of bounds", n.Scoop)
		case n.Tie && n.Glide:
			c.add(at, "the note %q is tied and glides too", n.Name)
		}
	}
}

// checkJoins checks that ties and glides lead somewhere.
func (c *checker) checkJoins(passes []Pass) {
	t := c.t
	after := Followers(t, passes)
	for i := range t.Bars {
		c.bar = i
		for v, line := range t.Bars[i].Lines {
			for k := range line {
				e := &line[k]
				if !e.JoinsOn() {
					continue
				}
				c.checkEventJoins(e, Next(t, after, i, v, k))
			}
		}
	}
}

func (c *checker) checkEventJoins(e *Event, next []*Event) {
	things := make([][]Note, 0, len(e.Graces)+1)
	for _, g := range e.Graces {
		things = append(things, g.Notes)
	}
	things = append(things, e.Notes)
	for i, notes := range things {
		for j, n := range notes {
			if n.Tie && i == len(e.Graces) && !slices.ContainsFunc(next, func(x *Event) bool { return slices.Contains(TiedFrom(e, x), j) }) {
				c.add(e.At, "the note %q is tied to nothing", n.Name)
			}
			if !n.Glide {
				continue
			}
			fromTop := len(notes) - 1 - j
			if i+1 < len(things) {
				if fromTop >= len(things[i+1]) {
					c.add(e.At, "the grace %q glides to nothing", n.Name)
				}
				continue
			}
			if !slices.ContainsFunc(next, func(x *Event) bool { return GlideLands(e, x, fromTop) }) {
				c.add(e.At, "the note %q glides to nothing", n.Name)
			}
		}
	}
}

// GlideLands reports whether a glide out of e, from the note that many places
// below its top, finds a note begun anew in next, the event sounded after it:
// in its first grace when it has graces, else in its notes.
func GlideLands(e, next *Event, fromTop int) bool {
	if next.Kind != Sounding {
		return false
	}
	if len(next.Graces) > 0 {
		return fromTop < len(next.Graces[0].Notes)
	}
	return fromTop < len(next.Notes) && TiedFrom(e, next)[len(next.Notes)-1-fromTop] < 0
}
