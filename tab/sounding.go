package tab

import (
	"cmp"
	"math"
	"slices"

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
	case PalmHarmonic:
		return g.Key(s.Placement, p.String, s.Benders) + 12*math.Log2(float64(max(p.Node, 1)))
	}
	return g.Key(s.Placement, p.String, s.Benders)
}

// Sounding returns the tune that a tab sounds. Rhythm, bars, voices and words
// come from the tune that the tab plays; every pitch, tie, glide and scoop
// comes from the strokes. Pitches are spelled for the bar's key, so compare by
// key number. A note that nothing plays is left out, and an event without
// notes becomes a rest.
func Sounding(t *Tab) *tune.Tune {
	out := t.Tune.Clone()
	g := steel.New(t.Rig)
	played := map[event][]note{}
	for i := range t.Strokes {
		s := &t.Strokes[i]
		if s.Bar < 0 || s.Bar >= len(out.Bars) {
			continue
		}
		fifths := out.Bars[s.Bar].Key.Fifths()
		for j := range s.Plucks {
			p := &s.Plucks[j]
			name := pitch.SpellKey(int(math.Round(Key(g, s, p))), fifths)
			at := event{p.Ref.Bar, p.Ref.Voice, p.Ref.Event, p.Ref.Grace}
			played[at] = append(played[at], note{
				Note: tune.Note{Name: name, Glide: p.Glide, Scoop: int8(math.Round(p.Scoop))},
				str:  p.String, tied: p.Attack == Tied,
			})
		}
	}
	for at := range played {
		slices.SortFunc(played[at], func(a, b note) int {
			return cmp.Or(cmp.Compare(a.Name.Key(), b.Name.Key()), cmp.Compare(b.str, a.str))
		})
	}
	for v := range out.Voices {
		var before []note // of the voice's last event
		for b := range out.Bars {
			if v >= len(out.Bars[b].Lines) {
				continue
			}
			for e := range out.Bars[b].Lines[v] {
				ev := &out.Bars[b].Lines[v][e]
				if ev.Kind != tune.Sounding {
					before = nil
					continue
				}
				graces := ev.Graces[:0]
				for i := range ev.Graces {
					gr := ev.Graces[i]
					gr.Notes = plain(played[event{b, v, e, i}])
					if len(gr.Notes) > 0 {
						graces = append(graces, gr)
					}
				}
				ev.Graces = graces
				now := played[event{b, v, e, -1}]
				for i := range now {
					if now[i].tied {
						tieTo(before, now[i])
					}
				}
				ev.Notes = plain(now)
				if len(ev.Notes) == 0 {
					ev.Kind, ev.Graces = tune.Rest, nil
				}
				before = nil
				for i := range now {
					before = append(before, note{str: now[i].str, is: &ev.Notes[i]})
				}
			}
		}
	}
	return out
}

// event is where a group of notes stands in the tune.
type event struct{ bar, voice, event, grace int }

// note is one sounded note on its string.
type note struct {
	tune.Note
	str  int
	tied bool
	is   *tune.Note // where it went in the new tune
}

// tieTo marks the note before that n goes on from: the one on its string.
func tieTo(before []note, n note) {
	for _, b := range before {
		if b.str == n.str && b.is.Name.Key() == n.Name.Key() {
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
