package refcheck

import (
	"slices"
	"testing"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
)

// taste counts what a player notices first in the tabs of many tunes.
type taste struct {
	joined, steps        int // of quick tunes: steps on one string, and those joined unasked
	longOpen, long       int // of slow tunes: long notes, and those on open strings
	open, notes          int
	against, moves, back int // see reading.line
	graces, onePluck     int // notes after a grace, and those that are one pluck with it
	threes, hasty        int // third notes running joined unasked; joins quicker than the player hammers
	written, fit, broken int // tunes that fit four strings as written, and are played so; compromises
}

func (x *taste) add(r *reading, fits bool) {
	if r.slow {
		open, long := r.longOpen()
		x.longOpen, x.long = x.longOpen+open, x.long+long
	} else {
		joined, steps := r.joinedSteps()
		x.joined, x.steps = x.joined+joined, x.steps+steps
	}
	x.touches(r)
	against, moves, back := r.line()
	x.against, x.moves, x.back = x.against+against, x.moves+moves, x.back+back
	x.notes += len(r.notes)
	for _, n := range r.notes {
		if n.open {
			x.open++
		}
	}
	if fits {
		x.fit++
		if r.res.Transposed == 0 {
			x.written++
		}
	}
	x.broken += len(r.res.Tab.Compromises)
}

// touches counts graces, and joins that nobody's hand would make.
func (x *taste) touches(r *reading) {
	limit := grip.LimitsOf(grip.Steady).Hammer
	running := 0
	for i := 1; i < len(r.notes); i++ {
		was, n := &r.notes[i-1], &r.notes[i]
		unasked := n.joined && !n.slurred && !was.grace
		if was.grace && !n.grace {
			x.graces++
			if n.joined {
				x.onePluck++
			}
		}
		if running++; !unasked {
			running = 0
		}
		if running > 2 {
			x.threes++
		}
		if unasked && was.seconds < limit-0.001 {
			x.hasty++
		}
	}
}

// TestTaste arranges every fifth tune of the books on every rig with the light touch
// and holds what docs/arranging.md says of it. The bounds are common practice, no
// source.
func TestTaste(t *testing.T) {
	all := corpusTunes(t)
	for _, r := range rig.Builtins() {
		var x taste
		fits := onFour(r.Name)
		for i := 0; i < len(all); i += 5 {
			made := arrangedAsIs(all, i, r)
			if made.err != nil {
				t.Fatal(made.err)
			}
			x.add(read(made.res), fits(all[i]))
		}
		share := func(a, b int) float64 { return 100 * float64(a) / float64(max(b, 1)) }
		t.Logf("| `%s` | %.0f %% | %.1f %% | %.1f %% | %.1f %% | %.1f %% | %d of %d | %d |", r.Name, share(x.joined, x.steps), share(x.longOpen, x.long), share(x.open, x.notes),
			share(x.against, x.moves), share(x.back, x.notes), x.written, x.fit, x.broken)
		for _, c := range []struct {
			what        string
			got, lo, hi float64
			holds       bool
		}{
			{"steps joined in quick tunes", share(x.joined, x.steps), 25, 50, true},
			{"long notes open in slow tunes", share(x.longOpen, x.long), 0, 10, true},
			{"notes open on pedals", share(x.open, x.notes), 0, 2, r.Body == rig.PedalSteel},
			{"moves against the melody", share(x.against, x.moves), 0, 1, true},
			{"up the neck, open and back", share(x.back, x.notes), 0, 1, true},
			{"third notes running joined unasked", float64(x.threes), 0, 0, true},
			{"joins quicker than the player hammers", float64(x.hasty), 0, 0, true},
			{"tunes that fit, as written", share(x.written, x.fit), 100, 100, x.fit > 0},
		} {
			if c.holds && (c.got < c.lo || c.got > c.hi) {
				t.Errorf("%s: %s: %.2f %%, want %g to %g", r.Name, c.what, c.got, c.lo, c.hi)
			}
		}
		if x.notes < 10000 || x.broken > 0 {
			t.Errorf("%s: %d notes, %d compromises, where there were none", r.Name, x.notes, x.broken)
		}
	}
}

// TestGracesAreOnePluck: the books have no graces, so each bar of every twentieth tune is
// begun with one a step of the key above its first note. Nine of ten are one pluck with
// their note, on rigs of every kind (common practice, no source).
func TestGracesAreOnePluck(t *testing.T) {
	all := corpusTunes(t)
	for _, r := range rig.Builtins() {
		var x taste
		for i := 0; i < len(all); i += 20 {
			res, err := arrange.Arrange(t.Context(), graced(all[i]), r, arrange.Options{})
			if err != nil {
				t.Fatal(err)
			}
			x.touches(read(res))
		}
		t.Logf("%s: %d of %d graces are one pluck", r.Name, x.onePluck, x.graces)
		if x.graces < 100 || 10*x.onePluck < 9*x.graces {
			t.Errorf("%s: %d of %d graces are one pluck", r.Name, x.onePluck, x.graces)
		}
	}
}

// graced returns a tune with a grace before the first note of every bar.
func graced(of *tune.Tune) *tune.Tune {
	out := of.Clone()
	for b := range out.Bars {
		bar := &out.Bars[b]
		if len(bar.Lines[0]) == 0 {
			continue
		}
		e := &bar.Lines[0][0]
		if before := out.EventBefore(b, 0, 0); e.Kind != tune.Sounding || len(e.Notes) != 1 || before != nil && slices.ContainsFunc(before.Notes, func(n tune.Note) bool { return n.Tie }) {
			continue
		}
		n := e.Notes[0].Name
		up := pitch.Name{Class: pitch.Class{Letter: pitch.Letter(pitch.Mod(int(n.Letter)+1, 7))}, Octave: n.Octave}
		up.Alter = int8(bar.Key.Alter(up.Letter))
		if up.Letter == pitch.C {
			up.Octave++
		}
		e.Graces = []tune.Grace{{Notes: []tune.Note{{Name: up}}, Value: tune.Value{Log2: 4}}}
	}
	return out
}
