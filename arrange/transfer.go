package arrange

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lapwright/grip"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tab"
)

// SharedRun is a run of neighbouring strings that have the same intervals on
// two rigs, so that a shape on the one can be laid on the other.
type SharedRun struct {
	From, To  int // the first string of the run on each
	Strings   int // how many there are
	Semitones int // how much higher they sound on the second
}

// Words tells a run to a player.
func (s SharedRun) Words() string {
	here, there := s.From+s.Strings-1, s.To+s.Strings-1
	words := fmt.Sprintf("strings %d–%d here are strings %d–%d there, same frets", s.From, here, s.To, there)
	switch {
	case s.Semitones > 0:
		return words + fmt.Sprintf(", sounding %s higher", say.Count(s.Semitones, "semitone"))
	case s.Semitones < 0:
		return words + fmt.Sprintf(", sounding %s lower", say.Count(-s.Semitones, "semitone"))
	}
	return words + ", at the same pitch"
}

// SharedRuns lists the runs of three strings or more that two rigs share, the
// longest first; of equal ones that which moves the pitch least.
func SharedRuns(from, to *rig.Rig) []SharedRun {
	var out []SharedRun
	n, k := len(from.Strings), len(to.Strings)
	for by := 1 - n; by < k; by++ {
		for s := max(1, 1-by); s <= n && s+by <= k; {
			up := to.OpenKey(s+by, 0) - from.OpenKey(s, 0)
			end := s
			for end+1 <= n && end+1+by <= k && to.OpenKey(end+1+by, 0)-from.OpenKey(end+1, 0) == up {
				end++
			}
			if end-s >= 2 {
				out = append(out, SharedRun{s, s + by, end - s + 1, up})
			}
			s = end + 1
		}
	}
	slices.SortStableFunc(out, func(a, b SharedRun) int {
		if a.Strings != b.Strings {
			return b.Strings - a.Strings
		}
		return abs(a.Semitones) - abs(b.Semitones)
	})
	return out
}

// Transferred is a tab taken from one rig to another.
type Transferred struct {
	Result *Result
	Shared []SharedRun // what the rigs have in common
	// Whole says that the whole shape moved: every note keeps its place in the
	// run Moved, its fret shifted by Frets.
	Whole bool
	Moved SharedRun
	Frets int
	// Kept counts the notes that keep their place in the shape, of Notes.
	Kept, Notes int
	// Vibrato counts the notes that keep their vibrato, Still those that lose it:
	// on an open string or as a harmonic there is none.
	Vibrato, Still int
	Words          []string // what was done, for the player
}

// What leaving the old way of playing costs where a tab is arranged anew, in
// hundredths of a point.
const (
	costOtherString = 60 // another string than the shape has
	costOtherOpen   = 40 // stopped for open, or open for stopped
	costOtherLean   = 60 // slanted for square, or square for slanted
	costOtherAttack = 90 // another way to begin the note
)

// Transfer takes a tab to another rig. Pitches are kept unless the options name
// a key or octave. Where the rigs share an interval pattern on all strings that
// the tab uses, its shape is moved whole: at the same pitch when it has no open
// strings, whose sound would be lost, else at the same frets, which moves the
// key. Otherwise it is arranged anew, keeping string pattern, open strings,
// slants, glides and held notes as far as the rig allows; and in the key that
// keeps most when the pitches can't all be had.
func Transfer(ctx context.Context, from *tab.Tab, to *rig.Rig, o Options) (*Transferred, error) {
	// A tab that a person typed may have a bar that can't quite be laid or a held
	// note that moves: what it plays is clear all the same. But it must play the
	// moments of its tune.
	if l := from.Check(); len(l) > 0 && len(from.Strokes) != len(from.Performance().Moments()) {
		return nil, l
	}
	q, err := newRequest(newWatch(ctx), from.Tune, to, o)
	if err != nil {
		return nil, err
	}
	out := &Transferred{Shared: SharedRuns(from.Rig, to)}
	src := newSource(q, from)
	free := o.Key == nil && o.Octave == nil && o.Capo == nil
	for _, run := range out.Shared {
		if !src.within(run) {
			continue
		}
		for _, frets := range [2]int{-run.Semitones, 0} {
			if src.opens && frets != 0 && free || !free && !src.lands(o, run.Semitones+frets) {
				continue
			}
			res, err := src.whole(to, run, frets)
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err != nil || len(res.Tab.Compromises) > len(from.Compromises) {
				continue
			}
			out.Result, out.Whole, out.Moved, out.Frets = res, true, run, frets
			out.finish(src)
			return out, nil
		}
	}
	res, err := src.rearrange(to, o, out.best(src))
	if err != nil {
		return nil, err
	}
	out.Result = res
	out.finish(src)
	return out, nil
}

// source is a tab that is taken over.
type source struct {
	q     *request
	t     *tab.Tab
	opens bool // it plays open strings
	used  []bool
	notes int
}

func newSource(q *request, t *tab.Tab) *source {
	s := &source{q: q, t: t, used: make([]bool, len(t.Rig.Strings)+1)}
	for i := range t.Strokes {
		for _, p := range t.Strokes[i].Plucks {
			s.used[p.String] = true
			s.notes++
			s.opens = s.opens || p.Fret == 0 && p.Attack != tab.Harmonic
		}
	}
	return s
}

// within reports whether every string that the tab uses lies in a run.
func (s *source) within(run SharedRun) bool {
	for str, used := range s.used {
		if used && (str < run.From || str >= run.From+run.Strings) {
			return false
		}
	}
	return true
}

// lands reports whether moving the tab by so many semitones meets the key and
// octave asked for.
func (s *source) lands(o Options, semitones int) bool {
	oct := floorDiv(semitones+6, 12)
	if o.Octave != nil && oct != *o.Octave || o.Capo != nil && *o.Capo != 0 {
		return false
	}
	if o.Key == nil {
		return semitones%12 == 0
	}
	return mod(s.t.Tune.Bars[0].Key.Tonic.Semitone()+semitones, 12) == o.Key.Semitone()
}

// played is how a note was played on the old rig, its string counted in the new
// rig's numbers.
type played struct {
	str, fret int
	act       grip.Act
	slanted   bool
}

// plan looks the old way up for every note of a moment.
func (s *source) plan(i int, m *moment, by, frets int) []played {
	st := &s.t.Strokes[i]
	out := make([]played, len(m.Wants))
	for j := range m.Wants {
		for _, p := range st.Plucks {
			if p.Ref != m.Wants[j].Ref {
				continue
			}
			fret := int(math.Round(p.Fret))
			if p.Attack != tab.Harmonic {
				fret += frets
			}
			out[j] = played{p.String + by, fret, actOf(p.Attack, m.Wants[j].Kind), st.Placement.Slanted()}
		}
	}
	return out
}

func actOf(a tab.Attack, k grip.Kind) grip.Act {
	switch a {
	case tab.Tied:
		return grip.On
	case tab.Glided:
		return grip.Glide
	case tab.Hammered:
		return grip.Hammer
	case tab.PulledOff:
		return grip.Pull
	}
	if k == grip.Tied {
		return grip.Again
	}
	return grip.Pluck
}

// whole moves the shape of a tab by a run of strings and a number of frets: it
// searches among the grips that do just that.
func (s *source) whole(to *rig.Rig, run SharedRun, frets int) (*Result, error) {
	q := *s.q
	q.o.Level = grip.Seasoned // what was played there can be played here
	sr, err := q.newSearch(Setting{run.Semitones + frets, to.Capo.At})
	if err != nil {
		return nil, err
	}
	if len(sr.layers) != len(s.t.Strokes) {
		return nil, refuse("the tab's strokes are not its tune's moments")
	}
	for i := range sr.layers {
		if err := s.q.w.moment(); err != nil {
			return nil, err
		}
		m := &sr.p.moments[i]
		plan := s.plan(i, m, run.To-run.From, frets)
		var kept []grip.Grip
		for gi := range sr.layers[i].grips {
			if follows(&sr.layers[i].grips[gi], m, plan) {
				kept = append(kept, sr.layers[i].grips[gi])
			}
		}
		if len(kept) == 0 {
			return nil, refuse("the shape can't be laid there")
		}
		sr.layers[i].grips = kept
	}
	if err := sr.run(); err != nil {
		return nil, err
	}
	way, cost, stuck := sr.cheapest()
	if stuck >= 0 {
		return nil, sr.stuck(stuck)
	}
	return sr.result(way, cost, run.Semitones+frets)
}

// follows reports whether a grip plays every note as planned. Held notes follow
// from where they began.
func follows(g *grip.Grip, m *moment, plan []played) bool {
	for j := range m.Wants {
		if m.Wants[j].Kind == grip.Held {
			continue
		}
		p := &plan[j]
		if int(g.Strings[j]) != p.str || p.str > 0 && (g.Acts[j] != p.act || g.Node == 0 && int(g.Frets[j]) != p.fret) {
			return false
		}
	}
	return true
}

// best returns the string shift that keeps most of the tab's notes within a
// shared run; 0 when the rigs share nothing.
func (t *Transferred) best(s *source) int {
	by, most := 0, 0
	for _, run := range t.Shared {
		n := 0
		for i := range s.t.Strokes {
			for _, p := range s.t.Strokes[i].Plucks {
				if p.String >= run.From && p.String < run.From+run.Strings {
					n++
				}
			}
		}
		if n > most {
			by, most = run.To-run.From, n
		}
	}
	return by
}

// rearrange arranges the tab's tune on the new rig, with a price on leaving the old
// way of playing it.
func (s *source) rearrange(to *rig.Rig, o Options, by int) (*Result, error) {
	choices := []Setting{{0, to.Capo.At}}
	if o.Key != nil || o.Octave != nil || o.Capo != nil {
		var err error
		if choices, err = s.q.settings(); err != nil {
			return nil, err
		}
	} else if others, err := s.q.settings(); err == nil {
		choices = append(choices, others...)
	}
	var best *Result
	var first error
	for _, c := range choices {
		sr, err := s.q.newSearch(c)
		if s.q.w.ctx.Err() != nil {
			return nil, s.q.w.ctx.Err()
		}
		if err != nil {
			first = err
			continue
		}
		for i := range sr.layers {
			s.prefer(&sr.layers[i], i, &sr.p.moments[i], by)
		}
		if err := sr.run(); err != nil {
			return nil, err
		}
		way, cost, stuck := sr.cheapest()
		if stuck >= 0 {
			first = sr.stuck(stuck)
			continue
		}
		res, err := sr.result(way, cost, c.Semitones)
		if err != nil {
			return nil, err
		}
		if best == nil || len(res.Tab.Compromises) < len(best.Tab.Compromises) {
			best = res
		}
		if len(best.Tab.Compromises) <= len(s.t.Compromises) {
			break
		}
	}
	if best == nil {
		return nil, first
	}
	return best, nil
}

// prefer adds to each grip of a layer what it costs to leave the old way.
func (s *source) prefer(l *layer, i int, m *moment, by int) {
	if i >= len(s.t.Strokes) {
		return
	}
	plan := s.plan(i, m, by, 0)
	l.grips = slices.Clone(l.grips)
	for gi := range l.grips {
		g := &l.grips[gi]
		for j := range m.Wants {
			if m.Wants[j].Kind == grip.Held || g.Strings[j] == 0 || plan[j].str == 0 {
				continue
			}
			if int(g.Strings[j]) != plan[j].str {
				g.Habit += costOtherString
			}
			if (g.Frets[j] == 0) != (plan[j].fret == 0) {
				g.Habit += costOtherOpen
			}
			if g.Acts[j] != plan[j].act {
				g.Habit += costOtherAttack
			}
			if j == 0 && g.Slanted() != plan[j].slanted {
				g.Habit += costOtherLean
			}
		}
		g.Cost += g.Habit
	}
}

// finish takes the marks of the old tab over and tells what was done.
func (t *Transferred) finish(s *source) {
	t.shake(s)
	t.count(s)
	t.tell(s.t)
}

// shake keeps the vibrato of the old tab, note by note.
func (t *Transferred) shake(s *source) {
	for i := range s.t.Strokes {
		for _, p := range s.t.Strokes[i].Plucks {
			if !p.Vibrato {
				continue
			}
			kept := false
			for j := range t.Result.Tab.Strokes[i].Plucks {
				q := &t.Result.Tab.Strokes[i].Plucks[j]
				if q.Ref == p.Ref && q.Fret > 0 && q.Attack != tab.Harmonic {
					q.Vibrato, kept = true, true
				}
			}
			if kept {
				t.Vibrato++
			} else {
				t.Still++
			}
		}
	}
}

// count counts the notes that keep their place in the shape.
func (t *Transferred) count(s *source) {
	by, frets := t.best(s), 0
	if t.Whole {
		by, frets = t.Moved.To-t.Moved.From, t.Frets
	} else {
		frets = t.Result.Transposed
	}
	t.Notes = s.notes
	for i := range s.t.Strokes {
		for _, p := range s.t.Strokes[i].Plucks {
			for _, q := range t.Result.Tab.Strokes[i].Plucks {
				if q.Ref == p.Ref && q.String == p.String+by && (t.Whole || math.Round(q.Fret-p.Fret) == float64(frets)) {
					t.Kept++
				}
			}
		}
	}
}

// tell puts what was done in words.
func (t *Transferred) tell(from *tab.Tab) {
	add := func(format string, a ...any) { t.Words = append(t.Words, fmt.Sprintf(format, a...)) }
	switch {
	case t.Whole && t.Frets == 0:
		add("the shape is moved whole: %s", t.Moved.Words())
	case t.Whole:
		here, there := t.Moved.From+t.Moved.Strings-1, t.Moved.To+t.Moved.Strings-1
		way := "higher"
		if t.Frets < 0 {
			way = "lower"
		}
		add("the shape is moved whole: strings %d–%d here are strings %d–%d there, %s %s, at the same pitch",
			t.Moved.From, here, t.Moved.To, there, say.Count(abs(t.Frets), "fret"), way)
	default:
		add("no run of strings carries the whole shape, so it is arranged anew: %d of %d notes keep their place in it", t.Kept, t.Notes)
		for _, run := range t.Shared {
			add("%s", run.Words())
		}
	}
	switch n := t.Result.Transposed; {
	case n == 0:
		add("every pitch is kept")
	default:
		add("%s, from %s to %s", MovedBy(n), from.Tune.Bars[0].Key, t.Result.Key)
	}
	if t.Still > 0 {
		add("%s without the vibrato of the tab: the bar does not stop the string there", say.Count(t.Still, "note"))
	}
	if n := len(t.Result.Tab.Compromises); n > 0 {
		add("%s not as in the tab", say.Count(n, "note"))
	}
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
