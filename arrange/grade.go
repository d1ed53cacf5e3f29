package arrange

import (
	"fmt"
	"slices"

	"lapwright/arrange/estimate"
	"lapwright/arrange/outline"
	"lapwright/grip"
	"lapwright/tab"
	"lapwright/tune"
)

// Grade is how far a student has come, which decides what is arranged.
type Grade uint8

// The grades. The second is the zero value and the usual one.
const (
	SecondGrade Grade = iota // the whole tune with the light touch, within a steady player's limits
	FirstGrade               // an outline in one position, plucked, within a first-year player's
	ThirdGrade               // full touch, chords under a single line, within a seasoned player's
)

// grades are their names, whom they are for, and the touch that goes with them.
var grades = [...]struct {
	name  string
	level grip.Level
	touch Touch
}{
	SecondGrade: {"second", grip.Steady, LightTouch},
	FirstGrade:  {"first", grip.FirstYear, PlainTouch},
	ThirdGrade:  {"third", grip.Seasoned, FullTouch},
}

// Grades are the grades from the first up.
var Grades = []Grade{FirstGrade, SecondGrade, ThirdGrade}

// String returns the grade's name.
func (g Grade) String() string { return grades[g].name }

// Level returns the player whose limits go with the grade.
func (g Grade) Level() grip.Level { return grades[g].level }

// ParseGrade reads a grade's name; "" is the usual one.
func ParseGrade(s string) (Grade, error) {
	for g := range grades {
		if s == grades[g].name || s == "" {
			return Grade(g), nil
		}
	}
	return 0, fmt.Errorf("unknown grade %q: it is first, second or third", s)
}

// graded returns the options with what the grade leaves unsaid filled in.
func (o Options) graded(t *tune.Tune) Options {
	if o.Touch == GradeTouch {
		o.Touch = grades[o.Grade].touch
	}
	if o.Harmony == GradeHarmony {
		o.Harmony = NoHarmony
		if o.Grade == ThirdGrade && outline.Single(t) {
			o.Harmony = FullChords
		}
	}
	o.Vibrato = o.Vibrato || o.Touch == FullTouch
	return o
}

// makeOutline takes the outline of the tune where the grade asks for one.
func (q *request) makeOutline() {
	if q.o.Grade != FirstGrade || q.o.Whole {
		return
	}
	q.outline = outline.Of(q.whole, q.chords())
	q.perf = q.whole.Of(q.outline.Tune)
	q.moments = q.perf.Moments()
}

// chords returns the harmony of the tune as it was given.
func (q *request) chords() *outline.Chords {
	if q.harmony == nil {
		q.harmony = outline.ChordsOf(q.whole.Tune)
	}
	return q.harmony
}

// leftOut returns what the outline leaves out, in the key of a setting.
func (q *request) leftOut(c Setting) []tab.LeftOut {
	if q.outline == nil {
		return nil
	}
	iv := q.interval(c)
	out := make([]tab.LeftOut, len(q.outline.LeftOut))
	for i, l := range q.outline.LeftOut {
		if !l.Chop {
			l.Name = l.Name.Up(iv)
		}
		out[i] = l
	}
	return out
}

// awake returns those of the pins that hold in a setting which the outline leaves
// something to pin, and tells of the others.
func (q *request) awake(c Setting) (pins []Pin, asleep []string) {
	all := q.o.pinsIn(c)
	if q.outline == nil || len(all) == 0 {
		return all, nil
	}
	covered := func(p *Pin, t *tune.Tune, ms []tune.Moment) bool {
		return slices.ContainsFunc(ms, func(m tune.Moment) bool { return p.covers(t.Place(m.BarIndex, m.At)) })
	}
	for i := range all {
		if !covered(&all[i], q.perf.Tune, q.moments) && covered(&all[i], q.whole.Tune, q.given) {
			asleep = append(asleep, all[i].Words()+": the outline leaves that note out")
			continue
		}
		pins = append(pins, all[i])
	}
	return pins, asleep
}

// A position is so many frets that a beginner keeps to (common practice, no source): a
// scale across the strings lies in four or five, and each more must be worth it.
var positionWidths = []int{4, 5, 7, 9, 12}

// atTheNut is the lowest fret of a position that open strings belong to.
const atTheNut = 3

// position returns the frets between which the steel stays for an outline: a position
// that has every note, the best for its width. Away from the nut it is played closed.
// It is 0, 0 where a bound is asked for already or no position has every note.
func (q *request) position(c Setting) (low, high int) {
	if q.outline == nil || q.o.Low > 0 || q.o.High > 0 {
		return 0, 0
	}
	melody := estimate.Melody(q.moments)
	lim := q.o.limits()
	best := int64(lim.Costs().TopLost)
	for _, width := range positionWidths {
		for from := 1; from+width-1 <= min(lim.Fret, q.rig.Frets); from++ {
			o := q.o.within(from, from+width-1)
			cost, err := q.estimate(c.Capo, lim, &o).Cost(q.w.moment, melody, c.Semitones)
			cost += int64(q.o.prices().Wider) * int64((width-positionWidths[0])*len(melody))
			if err == nil && cost < best {
				best, low, high = cost, o.Low, o.High
			}
		}
	}
	return low, high
}

// within returns the options for a position.
func (o Options) within(low, high int) Options {
	o.Low, o.High = low, high
	o.Closed = o.Closed || low > atTheNut
	return o
}
