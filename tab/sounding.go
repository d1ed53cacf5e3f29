package tab

import (
	"cmp"
	"math"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tune"
)

// NodeFret returns the fret nearest the n-th harmonic's first node, which lies a
// fraction 1/n of the string from the nut: 12, 7, 5 and 4 for n = 2 to 5. It is
// 0 for n below 2.
func NodeFret(n int) float64 {
	if n < 2 {
		return 0
	}
	return math.Round(12 * math.Log2(float64(n)/float64(n-1)))
}

// Key returns the fractional key number that a pluck of stroke s sounds, from
// string, steel and benders alone. The n-th harmonic of a string sounds
// 12·log2(n) above it (harmonic series).
func Key(g *steel.Geometry, s *Stroke, p *Pluck) float64 {
	switch p.Attack {
	case Harmonic:
		return g.Key(steel.Placement{}, p.String, s.Benders) + 12*math.Log2(float64(max(p.Node, 1)))
	case Chopped: // as it is named: see tune.Note
		return g.Key(steel.Placement{}, p.String, 0)
	case PalmHarmonic:
		return g.Key(s.Placement, p.String, s.Benders) + 12*math.Log2(float64(max(p.Node, 1)))
	}
	return g.Key(s.Placement, p.String, s.Benders)
}

// SameStop reports whether two key numbers at which a string is stopped are one, at
// most a little out of tune (CentsAllowed).
func SameStop(a, b float64) bool { return math.Abs(a-b)*100 <= CentsAllowed }

// Sounding returns the tune that a tab sounds. Rhythm, bars, voices and words
// come from the tune that the tab plays; every pitch, tie, glide and scoop
// comes from the strokes; a tie over a repeat or a jump is there where both its
// notes are played on one string at one place. Pitches are spelled for the bar's
// key, so compare by key number. A note that nothing plays is left out, and an
// event without notes becomes a rest.
func Sounding(t *Tab) *tune.Tune {
	out := t.Tune.Clone()
	played := playedNotes(t)
	went := map[tune.Ref]note{}
	for v := range out.Voices {
		for b := range out.Bars {
			if v >= len(out.Bars[b].Lines) {
				continue
			}
			for e := range out.Bars[b].Lines[v] {
				refill(&out.Bars[b].Lines[v][e], played, event{b, v, e, -1}, went)
			}
		}
	}
	perf := t.Performance()
	first := perf.Before
	for v := range out.Voices {
		for b := range out.Bars {
			if v >= len(out.Bars[b].Lines) {
				continue
			}
			before := event{first[b], v, -1, -1}
			if first[b] >= 0 && v < len(out.Bars[first[b]].Lines) {
				before.event = len(out.Bars[first[b]].Lines[v]) - 1
			}
			for e := range out.Bars[b].Lines[v] {
				now := event{b, v, e, -1}
				for _, n := range played[now] {
					if n.tied {
						tieTo(played[before], n)
					}
				}
				before = now
			}
		}
	}
	for _, tie := range perf.TiesOverJumps() {
		held, ok := went[tie.Held]
		begun, ok2 := went[tie.Begun]
		if ok && ok2 && !tie.First && held.str == begun.str && begun.plain && SameStop(held.stop, begun.stop) {
			held.is.Tie = true
		}
	}
	return out
}

// playedNotes gathers what the strokes sound by where it stands in the tune, each
// event from the lowest note up.
func playedNotes(t *Tab) map[event][]note {
	g := steel.New(t.Rig)
	played := map[event][]note{}
	for i := range t.Strokes {
		s := &t.Strokes[i]
		if s.BarIndex < 0 || s.BarIndex >= len(t.Tune.Bars) {
			continue
		}
		fifths := t.Tune.Bars[s.BarIndex].Key.Fifths()
		for j := range s.Plucks {
			p := &s.Plucks[j]
			at := event{p.Ref.Bar, p.Ref.Voice, p.Ref.Event, p.Ref.Grace}
			played[at] = append(played[at], note{
				Note: tune.Note{Name: pitch.SpellKey(int(math.Round(Key(g, s, p))), fifths), Glide: p.Glide && t.asks(p.Ref), Scoop: int8(math.Round(p.Scoop)), Chop: p.Attack == Chopped},
				ref:  p.Ref, str: p.String, tied: p.Attack == Tied, plain: p.Node == 0 && p.Attack != Chopped,
				stop: g.Key(s.Placement, p.String, s.Benders),
			})
		}
	}
	for at := range played {
		inorder.Stable(played[at], func(a, b note) int {
			return cmp.Or(cmp.Compare(a.Name.Key(), b.Name.Key()), cmp.Compare(b.str, a.str))
		})
	}
	return played
}

// asks reports whether the tune has a glide from a note: other glides are how the
// player joins two notes, and no part of what is said.
func (t *Tab) asks(ref tune.Ref) bool {
	n := t.Tune.Note(ref)
	return n == nil || n.Glide
}

// refill puts into an event and its graces what is played there, and notes where
// each note went.
func refill(ev *tune.Event, played map[event][]note, at event, went map[tune.Ref]note) {
	if ev.Kind != tune.Sounding {
		return
	}
	graces := ev.Graces[:0]
	for i := range ev.Graces {
		gr := ev.Graces[i]
		gr.Notes = plain(played[event{at.bar, at.voice, at.event, i}])
		if len(gr.Notes) > 0 {
			graces = append(graces, gr)
		}
	}
	ev.Graces = graces
	now := played[at]
	ev.Notes = plain(now)
	if len(ev.Notes) == 0 {
		ev.Kind, ev.Graces = tune.Rest, nil
	}
	for i := range now {
		now[i].is = &ev.Notes[i]
		went[now[i].ref] = now[i]
	}
}

// event is where a group of notes stands in the tune.
type event struct{ bar, voice, event, grace int }

// note is one sounded note on its string.
type note struct {
	tune.Note
	ref   tune.Ref
	str   int
	stop  float64 // the key number at which the steel and the benders have the string
	tied  bool
	plain bool       // no harmonic
	is    *tune.Note // where it went in the new tune
}

// tieTo marks the note before that n goes on from: the one on its string.
func tieTo(before []note, n note) {
	for _, b := range before {
		if b.is != nil && b.str == n.str && b.Name.Key() == n.Name.Key() {
			b.is.Tie = true
			return
		}
	}
}

func plain(ns []note) []tune.Note {
	var out []tune.Note
	for _, n := range ns {
		out = append(out, n.Note)
	}
	return out
}
