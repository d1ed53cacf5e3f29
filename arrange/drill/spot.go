package drill

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tab"
	"lapwright/tune"
)

// Spot is a place of a tab that an exercise is made for.
type Spot struct {
	Kind    SpotKind
	Strokes []*tab.Stroke // of the tab, those that went wrong first
	String  int           // that an Open or Unison exercise is for; 0 for that of the strokes
}

// SpotKind is what is practised of a place.
type SpotKind int

// The kinds of exercise for a place.
const (
	Again  SpotKind = iota // its bars over and over
	Leans                  // the steel square and leaned in turn where the tab leans it
	Moves                  // from the place before to this one and back
	Opens                  // each place against the open string
	Holds                  // each place held for a bar
	Unison                 // a string against its neighbours
	Blocks                 // the notes of its bars short, each stopped before the next
)

// forSpot is a kind of exercise for a place.
type forSpot struct {
	Kind
	events func(m *spotMaker) error
	title  string // filled with the bars, or with the string
	like   string // the general exercise in its stead where the place gives none
}

// spotMaker makes one exercise for a place.
type spotMaker struct {
	maker
	tab  *tab.Tab
	spot Spot
	used []int // indexes of the bars it is made of, in order
}

// The speeds are those of the general exercises but for Again, which has the tune's.
var spotKinds = [...]forSpot{
	Again:  {Kind{"bars", "these bars over and over, slowly first", 0, 0, nil}, (*spotMaker).again, "%s over and over", "scale"},
	Leans:  {Kind{"slant", "the steel square and leaned in turn, on the strings and frets of the piece", 40, 66, nil}, (*spotMaker).leanings, "The slants of %s", "slant"},
	Moves:  {Kind{"shift", "from one place to the next and back, by eye and ear", 50, 80, nil}, (*spotMaker).moves, "The moves of %s", "shift"},
	Opens:  {Kind{"open", "each place against the open string, by ear", 50, 80, nil}, (*spotMaker).opens, "Against the open string, from %s", "shift"},
	Holds:  {Kind{"hold", "each note held for a bar, without a waver", 60, 60, nil}, (*spotMaker).holds, "The notes of %s, held", "scale"},
	Unison: {Kind{"unison", "one pitch on two strings, open and stopped, until they do not beat", 40, 60, nil}, (*spotMaker).unison, "String %d against its neighbours", "unison"},
	Blocks: {Kind{"block", "the notes of these bars short, each stopped before the next", 60, 112, nil}, (*spotMaker).blocks, "The notes of %s, stopped", "block"},
}

// Most of what one exercise for a place holds.
const (
	mostBars   = 4
	mostPlaces = 4
)

// At makes an exercise for a place of a tab, on its rig and with its strings and frets.
// Where the place gives none, as when nothing there leans or moves, it is the general
// exercise of that kind in the key of the place. It fails where the rig has nothing to do
// that with either, and when ctx ends.
func At(ctx context.Context, t *tab.Tab, s Spot) (*Drill, error) {
	kind := spotKinds[s.Kind]
	key := t.Tune.Bars[0].Key
	if len(s.Strokes) > 0 {
		key = t.Tune.Bars[s.Strokes[0].BarIndex].Key
	}
	for _, level := range []grip.Level{grip.Steady, grip.Seasoned} {
		m := &spotMaker{maker: maker{ctx: ctx, kind: kind.Kind, rig: t.Rig, key: key, level: level, lim: grip.LimitsOf(level)}, tab: t, spot: s}
		if err := kind.events(m); err != nil || len(m.events) == 0 {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			continue
		}
		m.title = say.Capital(fmt.Sprintf(kind.title, m.bars()))
		if s.Kind == Unison {
			m.title = fmt.Sprintf(kind.title, s.String)
		}
		if err := m.place(arrange.Options{}); err == nil && len(m.result.Tab.Compromises) == 0 {
			if s.Kind == Blocks {
				damp(m.result.Tab)
			}
			return &Drill{m.result, m.kind}, nil
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	like, err := Find(kind.like)
	if err != nil {
		return nil, err
	}
	return Make(ctx, like, t.Rig, key, grip.Steady)
}

// bars names the bars that the exercise is made of.
func (m *spotMaker) bars() string {
	var numbers []string
	for _, b := range m.used {
		if n := fmt.Sprint(m.tab.Tune.Bars[b].Number); !slices.Contains(numbers, n) {
			numbers = append(numbers, n)
		}
	}
	if len(numbers) == 1 {
		return "bar " + numbers[0]
	}
	return "bars " + say.List(numbers)
}

// use notes that a bar is in the exercise.
func (m *spotMaker) use(bar int) {
	if !slices.Contains(m.used, bar) {
		m.used = append(m.used, bar)
		slices.Sort(m.used)
	}
}

// place is one string stopped, or open, at a pitch.
type place struct {
	string, fret int
	key          int // it sounds, benders in
	bent         bool
}

// stopsOf returns what a stroke plucks as the exercise has it, the lowest pitch first: all
// plucked, each string at its whole fret. What is held on within the bar, chopped or a harmonic
// is not in it.
func (m *spotMaker) stopsOf(st *tab.Stroke) []place {
	var out []place
	for _, p := range st.Plucks {
		if p.Node != 0 || p.Attack == tab.Chopped || p.Attack == tab.Tied && st.At > 0 {
			continue
		}
		out = append(out, m.at(p.String, int(math.Round(p.Fret)), st.Benders))
	}
	return inOrder(out)
}

// at is a string at a fret.
func (m *spotMaker) at(str, fret int, b rig.BenderSet) place {
	key := m.rig.OpenKey(str, b) + fret
	return place{str, fret, key, key != m.rig.OpenKey(str, 0)+fret}
}

// inOrder puts the lowest pitch first.
func inOrder(p []place) []place {
	inorder.Stable(p, func(a, b place) int { return a.key - b.key })
	return p
}

// stop adds strings stopped at once, the lowest pitch first.
func (m *spotMaker) stop(length tune.Ticks, places ...place) {
	e := event{length: length}
	for _, p := range places {
		e.keys = append(e.keys, p.key)
		e.stops = append(e.stops, arrange.Played{String: p.string, Fret: p.fret})
	}
	m.events = append(m.events, e)
}

// rest adds silence.
func (m *spotMaker) rest(length tune.Ticks) {
	if length > 0 {
		m.events = append(m.events, event{length: length})
	}
}

// eachBar goes through up to mostBars bars of the spot that have the meter of the first.
func (m *spotMaker) eachBar(do func(b *tune.Bar, strokes []*tab.Stroke)) {
	for _, st := range m.spot.Strokes {
		b := &m.tab.Tune.Bars[st.BarIndex]
		if len(m.used) == 0 {
			m.meter, m.bar = b.Meter, max(b.Len, b.Meter.Len())
		}
		if len(m.used) < mostBars && b.Meter.Equal(m.meter) && b.Len <= m.bar {
			m.use(st.BarIndex)
		}
	}
	for _, i := range m.used {
		var in []*tab.Stroke
		for k := range m.tab.Strokes {
			if st := &m.tab.Strokes[k]; st.BarIndex == i && !st.Grace && len(m.stopsOf(st)) > 0 {
				in = append(in, st)
			}
		}
		if len(in) > 0 {
			do(&m.tab.Tune.Bars[i], in)
		}
	}
}

// again plays the bars over and over: as they are but for what holds on over a barline and
// what glides, which is plucked. It begins at three quarters of the tune's speed.
func (m *spotMaker) again() error {
	m.eachBar(func(b *tune.Bar, in []*tab.Stroke) {
		for range max(2, mostBars/len(m.used)) {
			m.rest(m.bar - b.Len + in[0].At)
			for i, st := range in {
				end := b.Len
				if i+1 < len(in) {
					end = in[i+1].At
				}
				if end > st.At {
					m.stop(end-st.At, m.stopsOf(st)...)
				}
			}
		}
	})
	s := m.tab.Tune.FirstSpeed()
	full := max(1, int(math.Round(float64(s.PerMinute)/1000)))
	m.beat = s.Beat
	m.kind.Target, m.kind.Start = full, max(1, full*3/4)
	return nil
}

// blocks plays the notes of the bars short and alone, a rest after each.
func (m *spotMaker) blocks() error {
	var all []*tab.Stroke
	m.eachBar(func(_ *tune.Bar, in []*tab.Stroke) {
		all = append(all, in...)
	})
	m.meter, m.bar = tune.Meter{}, 0
	for i := 0; len(all) > 0 && i < max(8, min(len(all), 32)); i++ {
		st := all[i%len(all)]
		m.stop(eighth, m.stopsOf(st)...)
		m.rest(eighth)
	}
	return nil
}

// unison sounds the pairs that the string is in.
func (m *spotMaker) unison() error {
	m.only = m.spot.String
	return m.maker.unison()
}

// damp stops every note of a tab when its length is over.
func damp(t *tab.Tab) {
	for i := range t.Strokes {
		for k := range t.Strokes[i].Plucks {
			t.Strokes[i].Plucks[k].Damp = true
		}
	}
}

// places lists the different places of the spot, those that come first first.
func (m *spotMaker) places(keep func(st *tab.Stroke, p []place) bool) (places [][]place) {
	for _, st := range m.spot.Strokes {
		p := m.stopsOf(st)
		if len(p) == 0 || len(places) == mostPlaces || !keep(st, p) || slices.ContainsFunc(places, func(o []place) bool { return slices.Equal(o, p) }) {
			continue
		}
		places = append(places, p)
		m.use(st.BarIndex)
	}
	return places
}

// leanings lays the steel square at the one fret, leans it, and lays it square at the other.
func (m *spotMaker) leanings() error {
	leaned := m.places(func(st *tab.Stroke, p []place) bool {
		return st.Placement.Slanted() && p[0].fret != p[len(p)-1].fret && p[0].fret > 0 && p[len(p)-1].fret > 0 &&
			!slices.ContainsFunc(p, func(o place) bool { return o.bent })
	})
	for _, p := range leaned {
		square := func(fret int) {
			var out []place
			for _, o := range p {
				out = append(out, m.at(o.string, fret, 0))
			}
			m.stop(half, inOrder(out)...)
		}
		square(p[0].fret)
		m.stop(half, p...)
		square(p[len(p)-1].fret)
		m.stop(half, p...)
	}
	return nil
}

// moves goes from the place before each stroke to that of the stroke and back, twice.
func (m *spotMaker) moves() error {
	var done [][2]place
	for _, st := range m.spot.Strokes {
		before := m.before(st)
		to := m.stopsOf(st)
		if before == nil || len(to) == 0 || len(done) == mostPlaces {
			continue
		}
		from := m.stopsOf(before)
		move := [2]place{from[0], to[0]}
		if move[0].fret == move[1].fret || slices.Contains(done, move) {
			continue
		}
		done = append(done, move)
		m.use(st.BarIndex)
		for range 4 {
			m.stop(quarter, move[0])
			m.stop(quarter, move[1])
		}
	}
	return nil
}

// before returns the stroke before one that stops or plucks something; nil for none.
func (m *spotMaker) before(st *tab.Stroke) *tab.Stroke {
	var last *tab.Stroke
	for i := range m.tab.Strokes {
		o := &m.tab.Strokes[i]
		if o == st {
			return last
		}
		if len(m.stopsOf(o)) > 0 {
			last = o
		}
	}
	return nil
}

// opens plays each place of one string, that of the spot or the one that has most of its
// strokes, after the open string, the intervals that the ear judges best first.
func (m *spotMaker) opens() error {
	str := m.spot.String
	if str == 0 {
		counts := make([]int, len(m.rig.Strings)+1)
		for _, st := range m.spot.Strokes {
			for _, p := range m.stopsOf(st) {
				if counts[p.string]++; counts[p.string] > counts[str] {
					str = p.string
				}
			}
		}
	}
	var frets []int
	for _, st := range m.spot.Strokes {
		for _, p := range m.stopsOf(st) {
			if p.string == str && p.fret > 0 && !p.bent && !slices.Contains(frets, p.fret) {
				frets = append(frets, p.fret)
				m.use(st.BarIndex)
			}
		}
	}
	inorder.Stable(frets, func(a, b int) int { return roughness(a) - roughness(b) })
	for _, f := range frets[:min(len(frets), mostPlaces)] {
		for range 2 {
			m.stop(quarter, m.at(str, 0, 0))
			m.stop(quarter, m.at(str, f, 0))
		}
	}
	return nil
}

// roughness orders intervals by how well an ear judges them against the open string: unison
// and octave, fifth, fourth, thirds and sixths, the rest (common practice, no source).
func roughness(semitones int) int {
	return slices.Index([]int{0, 7, 5, 4, 9, 3, 8, 2, 10, 11, 1, 6}, semitones%12)
}

// holds plays each place for a bar, twice.
func (m *spotMaker) holds() error {
	for _, p := range m.places(func(_ *tab.Stroke, p []place) bool { return p[0].fret > 0 }) {
		m.stop(whole, p...)
		m.stop(whole, p...)
	}
	return nil
}

// Together puts exercises for one rig one after another into one tab to print: each is a part
// that bears its title.
func Together(title string, all []*Drill) *tab.Tab {
	out := &tab.Tab{Tune: &tune.Tune{Index: 1, Title: title, Voices: []tune.Voice{{ID: "1"}}, Words: []string{Caution}}}
	for _, d := range all {
		from := len(out.Tune.Bars)
		out.Rig = d.Tab.Rig
		bars := d.Tab.Tune.Clone().Bars
		bars[0].Part = d.Tab.Tune.Title
		out.Tune.Bars = append(out.Tune.Bars, bars...)
		for _, st := range d.Tab.Strokes {
			st.BarIndex += from
			st.Plucks = slices.Clone(st.Plucks)
			for i := range st.Plucks {
				st.Plucks[i].Ref.Bar += from
			}
			out.Strokes = append(out.Strokes, st)
		}
	}
	tune.Number(out.Tune.Bars)
	return out
}
