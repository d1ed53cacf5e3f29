// Package transfer takes a tab from one rig to another: whole where the strings
// that it uses have the same intervals on both, else arranged anew after its
// shape.
//
// Entry points: Tab, SharedRuns.
package transfer

import (
	"context"
	"fmt"
	"math"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tab"
	"lapwright/tune"
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

// has reports whether a string of the first rig lies in the run.
func (s SharedRun) has(str int) bool { return str >= s.From && str < s.From+s.Strings }

// SharedRuns lists the runs of three strings or more that two rigs share, the
// longest first; of equal ones that which moves the pitch least.
func SharedRuns(from, to *rig.Rig) []SharedRun {
	var out []SharedRun
	for by := -len(from.Strings); by < len(to.Strings); by++ {
		last := min(len(from.Strings), len(to.Strings)-by)
		for s := max(1, 1-by); s <= last; {
			up := to.OpenKey(s+by, 0) - from.OpenKey(s, 0)
			end := s
			for end < last && to.OpenKey(end+1+by, 0)-from.OpenKey(end+1, 0) == up {
				end++
			}
			if end-s >= 2 {
				out = append(out, SharedRun{s, s + by, end - s + 1, up})
			}
			s = end + 1
		}
	}
	inorder.Stable(out, func(a, b SharedRun) int {
		if a.Strings != b.Strings {
			return b.Strings - a.Strings
		}
		return pitch.Abs(a.Semitones) - pitch.Abs(b.Semitones)
	})
	return out
}

// Transferred is a tab taken from one rig to another.
type Transferred struct {
	Result *arrange.Result
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

// Tab takes a tab to another rig. Pitches are kept unless the options name a key
// or octave. Where the rigs share an interval pattern on all strings that the tab
// uses, its shape is moved whole: at the same pitch when it has no open strings,
// whose sound would be lost, else at the same frets, which moves the key.
// Otherwise it is arranged anew, keeping string pattern, open strings, slants,
// glides and held notes as far as the rig allows; and in the key that keeps most
// when the pitches can't all be had.
func Tab(ctx context.Context, from *tab.Tab, to *rig.Rig, o arrange.Options) (*Transferred, error) {
	// A tab that a person typed may have a steel that can't quite be laid or a
	// held note that moves: what it plays is clear all the same. But it must play
	// the moments of its tune.
	if l := from.Check(); len(l) > 0 && len(from.Strokes) != len(from.Performance().Moments()) {
		return nil, l
	}
	from = from.Plain()
	out := &Transferred{Shared: SharedRuns(from.Rig, to)}
	src := newSource(from)
	free := o.Key == nil && o.Octave == nil && o.Capo == nil
	for _, run := range out.Shared {
		if !src.within(run) {
			continue
		}
		for _, frets := range [2]int{-run.Semitones, 0} {
			if src.opens && frets != 0 && free || !free && !src.lands(&o, run.Semitones+frets) {
				continue
			}
			res, err := src.whole(ctx, to, o, run, frets)
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
	res, err := src.rearrange(ctx, to, o, out.best(src))
	if err != nil {
		return nil, err
	}
	out.Result = res
	out.finish(src)
	return out, nil
}

// source is a tab that is taken over.
type source struct {
	t     *tab.Tab
	opens bool // it plays open strings
	used  []bool
	notes int
}

func newSource(t *tab.Tab) *source {
	s := &source{t: t, used: make([]bool, len(t.Rig.Strings)+1)}
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
		if used && !run.has(str) {
			return false
		}
	}
	return true
}

// lands reports whether moving the tab by so many semitones, without a capo,
// meets what is asked for; no key asked for is the tab's own.
func (s *source) lands(o *arrange.Options, semitones int) bool {
	if o.Capo != nil && *o.Capo != 0 || o.Key == nil && semitones%12 != 0 {
		return false
	}
	return o.Lets(s.t.Tune, semitones)
}

// shape returns how the tab was played, its strings counted in the new rig's
// numbers and its frets moved.
func (s *source) shape(by, frets int, whole bool) *arrange.Shape {
	out := arrange.ShapeOf(s.t, by, frets)
	out.Whole = whole
	return out
}

// whole moves the shape of a tab by a run of strings and a number of frets.
func (s *source) whole(ctx context.Context, to *rig.Rig, o arrange.Options, run SharedRun, frets int) (*arrange.Result, error) {
	o.Level = grip.Seasoned // what was played there can be played here
	o.In = &arrange.Setting{Semitones: run.Semitones + frets, Capo: to.Capo.At}
	o.Shape = s.shape(run.To-run.From, frets, true)
	return arrange.Arrange(ctx, s.t.Tune, to, o)
}

// best returns the string shift that keeps most of the tab's notes within a
// shared run; 0 when the rigs share nothing.
func (t *Transferred) best(s *source) int {
	by, most := 0, 0
	for _, run := range t.Shared {
		n := 0
		for i := range s.t.Strokes {
			for _, p := range s.t.Strokes[i].Plucks {
				if run.has(p.String) {
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

// rearrange arranges the tab's tune on the new rig, with a price on leaving the
// old way of playing it.
func (s *source) rearrange(ctx context.Context, to *rig.Rig, o arrange.Options, by int) (*arrange.Result, error) {
	settings, err := arrange.Settings(ctx, s.t.Tune, to, o)
	switch own := (arrange.Setting{Capo: to.Capo.At}); {
	case o.Key == nil && o.Octave == nil && o.Capo == nil:
		settings = append([]arrange.Setting{own}, settings...)
	case err != nil:
		return nil, err
	}
	o.Shape = s.shape(by, 0, false)
	var best *arrange.Result
	var failed error
	for _, in := range settings {
		o.In = &in
		res, err := arrange.Arrange(ctx, s.t.Tune, to, o)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			failed = err
			continue
		}
		if best == nil || len(res.Tab.Compromises) < len(best.Tab.Compromises) {
			best = res
		}
		if len(best.Tab.Compromises) <= len(s.t.Compromises) {
			break
		}
	}
	if best == nil {
		return nil, failed
	}
	return best, nil
}

// finish takes the marks of the old tab over and tells what was done.
func (t *Transferred) finish(s *source) {
	to := t.Result.Tab
	for _, l := range s.t.LeftOut { // an outline stays one
		if !l.Chop {
			l.Name = pitch.SpellKey(l.Name.Key()+t.Result.Transposed, to.Tune.Bars[l.BarIndex].Key.Fifths())
		}
		to.LeftOut = append(to.LeftOut, l)
	}
	t.keepVibrato(s)
	t.count(s)
	t.describe(s.t)
}

// keepVibrato keeps the vibrato of the old tab, note by note, and lists it as added
// where it was.
func (t *Transferred) keepVibrato(s *source) {
	listed := map[tune.Ref]bool{}
	for _, a := range s.t.Added {
		listed[a.Ref] = true
	}
	to := t.Result.Tab
	for i := range s.t.Strokes {
		for _, p := range s.t.Strokes[i].Plucks {
			if !p.Vibrato {
				continue
			}
			kept := false
			for j := range t.Result.Tab.Strokes[i].Plucks {
				q := &t.Result.Tab.Strokes[i].Plucks[j]
				if q.Ref == p.Ref && q.Fret > 0 && q.Attack != tab.Harmonic {
					if n := to.Tune.Note(q.Ref); listed[p.Ref] && !q.Vibrato && n != nil {
						st := &to.Strokes[i]
						to.Added = append(to.Added, tab.Added{Kind: tab.AddVibrato, Ref: q.Ref, BarNumber: to.Tune.Bars[st.BarIndex].Number, At: st.At, String: q.String, Name: n.Name})
					}
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
	tab.SortAdded(to.Added)
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

// describe puts what was done in words.
func (t *Transferred) describe(from *tab.Tab) {
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
			t.Moved.From, here, t.Moved.To, there, say.Count(pitch.Abs(t.Frets), "fret"), way)
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
		add("%s, from %s to %s", say.MovedBy(n), from.Tune.Bars[0].Key, t.Result.Key)
	}
	if t.Still > 0 {
		add("%s without the vibrato of the tab: the steel does not stop the string there", say.Count(t.Still, "note"))
	}
	if n := len(t.Result.Tab.Compromises); n > 0 {
		add("%s not as in the tab", say.Count(n, "note"))
	}
}
