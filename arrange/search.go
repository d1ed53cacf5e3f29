package arrange

import (
	"fmt"
	"slices"

	"lapwright/arrange/outline"
	"lapwright/arrange/touch"
	"lapwright/fault"
	"lapwright/tab"
	"lapwright/tune"
)

// scene is what every step of an arrangement looks at: who waits for it, the neck, and
// the tune made ready for it.
type scene struct {
	w *watch
	n *neck
	p *problem
}

// search arranges in one key, octave and capo: its passes lay out what can be played
// and choose among it.
type search struct {
	scene
	o        Options           // with the pins that hold in this setting alone
	perf     *tune.Performance // of the tune as it is moved
	moments  []tune.Moment     // of the tune before it is moved
	lattice  lattice
	way      []chosen      // found last
	cost     int64         // of way
	left     []tab.LeftOut // by the outline, in this setting's key
	given    int           // how many moments the tune has, those left out too
	outlined *outline.Told // what is told of it; nil for none
	// madeAlike says that bars that come again have been made alike.
	madeAlike bool
}

// pass is one step of an arrangement in one key, octave and capo. It works on the
// search, counts each moment that it works on (watch), and fails when nothing is
// left.
type pass struct {
	does string
	run  func(s *search) error
}

// preparing are the passes that lay out what can be played, in this order.
var preparing = []pass{
	{"takes the tune apart into moments", (*search).takeApart},
	{"offers notes for a harmony under the melody", (*search).offerHarmony},
	{"lays out every grip of every moment, with its price", (*search).layOut},
	{"leaves of them what the pins allow", (*search).keepToPins},
	{"follows the shape of another tab", (*search).followShape},
}

// finding are the passes that choose among it, in this order.
var finding = []pass{
	{"finds the cheapest way through the grips", (*search).findWay},
	{"has phrases that come again played alike, and finds the way anew", (*search).playAlike},
}

// newSearch runs the passes that prepare a search. An outline is played in one
// position, unless pins need another.
func (q *request) newSearch(c Setting) (*search, error) {
	low, high := q.position(c)
	s, err := q.searchIn(c, low, high)
	if err != nil && high > 0 && len(q.o.Pins) > 0 && q.w.ctx.Err() == nil {
		return q.searchIn(c, 0, 0)
	}
	return s, err
}

// searchIn prepares a search with the steel between two frets; high 0 leaves that to
// the options.
func (q *request) searchIn(c Setting, low, high int) (*search, error) {
	s := &search{scene: scene{w: q.w}, o: q.o, left: q.leftOut(c), given: len(q.given)}
	var asleep []string
	s.o.Pins, asleep = q.awake(c)
	if high > 0 {
		s.o = s.o.within(low, high)
	}
	if q.outline != nil {
		s.outlined = &outline.Told{Notes: q.outline.Notes, Kept: q.outline.Kept, Guessed: q.outline.Guessed, Low: low, High: high, Asleep: asleep}
	}
	r := q.rig
	if c.Capo != r.Capo.At {
		var err error
		if r, err = r.WithCapo(c.Capo); err != nil {
			return nil, err
		}
	}
	s.perf, s.moments = q.perf.Of(q.moved(c)), q.moments
	s.n = newNeck(r, &s.o)
	for _, p := range preparing {
		if err := p.run(s); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *search) takeApart() error {
	var err error
	if s.p, err = newProblem(s.w, s.perf, s.moments, s.n.Limits, s.o.Touch >= LightTouch && (s.o.Harmony == NoHarmony || s.o.Harmony == FullChords)); err != nil {
		return err
	}
	switch n := len(s.p.moments); {
	case n == 0:
		return refuse("the tune has no notes to play")
	case n > MaxMoments:
		return refuse("the tune has \"%d\" moments, and %d is the most that can be arranged", n, MaxMoments)
	}
	return nil
}

func (s *search) offerHarmony() error {
	if s.o.Harmony == NoHarmony {
		return nil
	}
	s.p.prices = s.o.prices()
	return s.p.harmonise(s.w, s.o.Harmony)
}

func (s *search) layOut() error {
	var err error
	s.lattice.scene = s.scene
	s.lattice.layers, err = s.n.candidates(s.w, s.p)
	return err
}

func (s *search) keepToPins() error { return s.n.pin(s.w, s.p, s.lattice.layers) }

// find runs the passes that choose a way.
func (s *search) find() (way []chosen, cost int64, err error) {
	keep := s.lattice.keep
	s.lattice.keep = false
	for _, p := range finding {
		if err := p.run(s); err != nil {
			return nil, 0, err
		}
	}
	if keep {
		s.lattice.keep = true
		if err := s.lattice.run(); err != nil {
			return nil, 0, err
		}
	}
	return s.way, s.cost, nil
}

func (s *search) findWay() error {
	if err := s.lattice.run(); err != nil {
		return err
	}
	var stuck int
	if s.way, s.cost, stuck = s.lattice.cheapest(); stuck >= 0 {
		return s.stuck(stuck)
	}
	return nil
}

func (s *search) playAlike() error {
	if s.madeAlike || s.o.Shape != nil && !s.o.Shape.Melody {
		return nil
	}
	changed, err := s.alike(s.way)
	if err != nil || !changed {
		return err
	}
	s.madeAlike = true
	return s.findWay()
}

// stuck is the error for a layer that nothing leads to.
func (s *search) stuck(i int) error {
	m := &s.p.moments[i]
	number, place := s.p.t.Place(m.barIndex, m.at)
	return &fault.Fault{
		Bar: fmt.Sprint(number), Beat: place.String(),
		Msg: "nothing that is left can follow what was played before",
	}
}

// finished returns a way with what is needed to tell of it.
func (s *search) finished(way []chosen) *finished { return &finished{scene: s.scene, way: way} }

// result makes the result of a way.
func (s *search) result(way []chosen, cost int64, semitones int) (*Result, error) {
	f := s.finished(way)
	f.add()
	res := &Result{Key: f.p.t.Bars[0].Key, Transposed: semitones, Cost: float64(cost) / 100, Work: s.lattice.work, by: s.o.prices()}
	res.Harmony = f.harmonised()
	var err error
	if res.Tab, err = f.tab(semitones); err != nil {
		return nil, err
	}
	if res.Events, err = f.explain(); err != nil {
		return nil, err
	}
	touched := f.touches(res.Tab)
	if res.Difficulty, err = f.difficulty(touched, s.given); err != nil {
		return nil, err
	}
	for i, terms := range touched {
		for _, t := range terms {
			res.Events[i].Terms = append(res.Events[i].Terms, t)
			res.Events[i].Cost += t.Cost
			res.Cost += t.Cost
		}
	}
	for _, i := range f.rolled { // they cost the way nothing
		st := &res.Tab.Strokes[i]
		res.Events = slices.Insert(res.Events, i, Explained{BarNumber: res.Tab.Tune.Bars[st.BarIndex].Number, At: st.At})
	}
	res.Outline = s.outlined
	res.Tab.LeftOut = s.left
	if s.o.Grade == FirstGrade {
		touch.StopRinging(res.Tab)
	}
	return res, nil
}
