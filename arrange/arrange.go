package arrange

import (
	"context"
	"fmt"

	"lapwright/arrange/estimate"
	"lapwright/arrange/outline"
	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// Result is a tune placed on a rig, with the reasons.
type Result struct {
	Tab        *tab.Tab
	Key        pitch.Key // at the start of the piece, as played
	Transposed int       // semitones, octaves included
	// Difficulty runs from 0 (every note under the hand) to 10; see
	// Difficulty in report.go for how it is reckoned.
	Difficulty float64
	// Cost is what the whole costs in points, compromises included; the sum of
	// the events' costs.
	Cost   float64
	Events []Explained // one for each stroke
	Work   Work
	// Harmony tells what came of a harmony that was asked for; nil for none.
	Harmony *Harmonised
	// Outline tells of the outline that the tab is of; nil where it has the whole tune.
	Outline *outline.Told
	// Capos is what a clamp-on capo would save: Arrange alone fills it.
	Capos []CapoOffer
	// lowered says that the tune fits as written and is played lower (KeepOctave).
	lowered bool
	by      *prices
}

// MaxMoments bounds the pieces that are arranged: 100,000 moments are some
// three hours of eighth notes.
const MaxMoments = 100_000

// Arrange places a tune on a rig at the least cost. It fails when the tune has
// no notes, when it is longer than MaxMoments, and when the options contradict
// each other or the rig. When ctx ends it stops within a few hundred moments and
// returns the context's error.
func Arrange(ctx context.Context, t *tune.Tune, r *rig.Rig, o Options) (*Result, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	q, err := newRequest(newWatch(ctx), t, r, o)
	if err != nil {
		return nil, err
	}
	res, err := q.arrange()
	if err != nil {
		return nil, err
	}
	if res.Capos, _, err = q.offers(res); err != nil {
		return nil, err
	}
	return res, nil
}

// request is what somebody asked for, looked over: nothing in it is wrong by
// itself.
type request struct {
	w       *watch
	whole   *tune.Performance // of the tune as it was given
	perf    *tune.Performance // of what is arranged: the tune, or its outline
	given   []tune.Moment     // of whole
	moments []tune.Moment     // of perf
	rig     *rig.Rig
	o       Options // with nothing left to the grade
	outline *outline.Outline
	harmony *outline.Chords // see chords
	along   bool            // key, octave and capo are those of the second grade
}

// newRequest looks a request over. The tune's repeats are unfolded here, once.
func newRequest(w *watch, t *tune.Tune, r *rig.Rig, o Options) (*request, error) {
	if len(t.Bars) == 0 {
		return nil, refuse("the tune has no bars")
	}
	perf, faults := w.perform(t)
	if len(faults) > 0 {
		return nil, faults
	}
	if l := r.Check(); len(l) > 0 {
		return nil, l
	}
	if err := o.check(t, r); err != nil {
		return nil, err
	}
	q := &request{w: w, whole: perf, perf: perf, given: perf.Moments(), rig: r, o: o.graded(t)}
	q.moments = q.given
	q.along = o.Grade == ThirdGrade && o.Harmony == GradeHarmony && o.fixedSetting(t) == nil
	q.makeOutline()
	return q, nil
}

// arrange chooses key, octave and capo, and arranges in them. What the third grade adds
// is added to what the second grade plays, so that a class has one tune between them.
func (q *request) arrange() (*Result, error) {
	if q.along {
		second := *q
		second.o.Grade, second.o.Touch, second.o.Harmony, second.along = SecondGrade, LightTouch, NoHarmony, false
		if res, err := second.arrange(); err == nil && len(res.Tab.Compromises) == 0 {
			with := *q
			if with.o.Shape == nil {
				with.o.Shape = ShapeOf(res.Tab, 0, 0)
				with.o.Shape.Melody = true
			}
			if out, err := with.arrangeIn(res.Setting()); err == nil && len(out.Tab.Compromises) == 0 {
				return out, nil
			}
		}
		if err := q.w.ctx.Err(); err != nil {
			return nil, err
		}
	}
	choices, err := q.settings()
	if err != nil {
		return nil, err
	}
	var best *Result
	var failed error // of the setting nearest to what was asked
	for i, c := range choices {
		if best != nil && i >= maxSettings {
			break
		}
		if best != nil && pitch.Mod(c.Semitones-best.Transposed, 12) != 0 && best.Tab.Lost() == 0 {
			continue // another key would not be taken
		}
		res, err := q.arrangeIn(c)
		if err != nil {
			if q.w.ctx.Err() != nil {
				return nil, q.w.ctx.Err()
			}
			if failed == nil {
				failed = err
			}
			continue
		}
		if best == nil && len(res.Tab.Compromises) == 0 && q.o.Harmony == NoHarmony {
			return res, nil
		}
		if best == nil || res.overall() < best.overall() && (pitch.Mod(res.Transposed-best.Transposed, 12) == 0 || res.Tab.Lost() < best.Tab.Lost()) {
			best = res
		}
	}
	if best == nil {
		return nil, failed
	}
	return best, nil
}

// Setting returns the key, octave and capo of a result.
func (r *Result) Setting() Setting { return Setting{r.Transposed, r.Tab.Rig.Capo.At} }

// overall weighs a result against others, in points: see the rule in fit.go.
func (r *Result) overall() float64 {
	sum := r.Cost
	for i := range r.Events {
		sum -= r.Events[i].Broken
	}
	sum += float64(r.by.Broken) / 100 * float64(len(r.Tab.Compromises)+3*r.Tab.Lost())
	if r.lowered {
		sum += float64(r.by.KeepOctave) / 100 * float64(len(r.Tab.Strokes))
	}
	if r.Transposed%12 != 0 {
		sum += float64(r.by.KeepKey) / 100 * float64(len(r.Tab.Strokes))
	}
	return sum
}

// refuse makes the error for wishes that can't be met.
func refuse(format string, a ...any) error { return &fault.Fault{Msg: fmt.Sprintf(format, a...)} }

// check says what in the options can't be.
func (o *Options) check(t *tune.Tune, r *rig.Rig) error {
	if k := t.Bars[0].Key; o.Mode != nil && *o.Mode != k.Mode {
		return refuse("the tune is in %s, and moving it to another key cannot make it \"%s\"", k, *o.Mode)
	}
	if !o.Level.Known() {
		return refuse("there is no player level \"%d\"", o.Level)
	}
	if int(o.Grade) >= len(grades) {
		return refuse("there is no grade \"%d\"", o.Grade)
	}
	if int(o.Touch) >= len(touches) {
		return refuse("there is no touch \"%d\"", o.Touch)
	}
	if o.Low < 0 || o.High < 0 || o.High > 0 && o.Low > o.High {
		return refuse("the steel cannot be kept between frets \"%d\" and \"%d\"", o.Low, o.High)
	}
	for i := range o.Pins {
		if err := o.Pins[i].check(r); err != nil {
			return err
		}
	}
	return nil
}

// arrangeIn arranges with key, octave and capo settled.
func (q *request) arrangeIn(c Setting) (*Result, error) {
	s, err := q.newSearch(c)
	if err != nil {
		return nil, err
	}
	way, cost, err := s.find()
	if err != nil {
		return nil, err
	}
	res, err := s.result(way, cost, c.Semitones)
	if err != nil {
		return nil, err
	}
	if res, err = s.better(res, way, func() (*search, error) { return q.newSearch(c) }); err != nil {
		return nil, err
	}
	res.lowered = c.Semitones <= -12 && q.written(estimate.Melody(q.moments))
	return res, nil
}
