package sound

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapwright/arrange"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// joinOverJumps ties, or lets glide, the last note of some bars into the first
// of the bar that a repeat, an ending or a jump leads to.
func joinOverJumps(rt *rapid.T, t *tune.Tune) {
	passes, _ := tune.Unfold(t)
	for p := 1; p < len(passes); p++ {
		a, b := passes[p-1].BarIndex, passes[p].BarIndex
		if b == a+1 && len(t.Bars[b].Endings) == 0 {
			continue
		}
		for v := range t.Voices {
			last, first := &t.Bars[a].Lines[v][len(t.Bars[a].Lines[v])-1], &t.Bars[b].Lines[v][0]
			if last == first || last.Kind != tune.Sounding || first.Kind != tune.Sounding || len(first.Graces) > 0 || len(last.Graces) > 0 {
				continue
			}
			switch rapid.IntRange(0, 3).Draw(rt, "over the jump") {
			case 0, 1:
				last.Notes = slices.Clone(first.Notes)
				for n := range last.Notes {
					last.Notes[n].Tie, last.Notes[n].Glide, last.Notes[n].Scoop = true, false, 0
				}
			case 2:
				// Only where it also lands in the bar written next, which the arranger
				// looks at.
				lands := tune.GlideLands(last, first, 0) && (a+1 == len(t.Bars) || tune.GlideLands(last, &t.Bars[a+1].Lines[v][0], 0))
				if n := len(last.Notes) - 1; !last.Notes[n].Tie && lands {
					last.Notes[n].Glide = true
				}
			}
		}
	}
}

// heardAt is a written note on one pass.
type heardAt struct {
	pass int
	ref  tune.Ref
}

// stretchOf is what one string should do: sound a note from at to end, in
// seconds, begun with a stroke of a finger or gone on from what it sounded.
type stretchOf struct {
	str     int
	at, end float64
	key     float64
	struck  bool
	excused bool // its length, by a compromise or a mark
	scoop   bool
	glides  bool // the tab has it glide
	node    bool // a harmonic, which nothing is held on from or into
	either  bool // what it goes on from may have been let go: struck or not
}

// wantedOf lists what the strings should do, by the tune (tune.Sound) and by
// where the tab puts its notes.
func wantedOf(rt *rapid.T, tb *tab.Tab, w func(tune.Ticks) float64) []stretchOf {
	passes, _ := tune.Unfold(tb.Tune)
	first := tune.FirstFrom(tb.Tune, passes)
	sounded := tune.Sound(tb.Tune)
	begins := map[heardAt]int{}
	glidesFrom := map[int]int{}
	for i, s := range sounded {
		begins[heardAt{s.PassIndex, s.Ref}] = i
	}
	for i, s := range sounded {
		if s.GlideTo >= 0 && sounded[s.GlideTo].At == s.At+s.Len {
			glidesFrom[s.GlideTo] = i
		}
	}
	excused := map[tune.Ref]bool{}
	for _, c := range tb.Compromises {
		excused[c.Ref] = true
	}
	var out []stretchOf
	lastOf := map[int]int{} // of each sounded note, its latest stretch
	lastOn := map[int]int{} // and of each string
	for p, pass := range passes {
		for i := range tb.Strokes {
			st := &tb.Strokes[i]
			if st.BarIndex != pass.BarIndex {
				continue
			}
			for j := range st.Plucks {
				pl := &st.Plucks[j]
				at := pass.Start + st.At
				note := tb.Tune.Note(pl.Ref)
				e := &tb.Tune.Bars[pl.Ref.Bar].Lines[pl.Ref.Voice][pl.Ref.Event]
				key := note.Name.Key()
				x := stretchOf{
					str: pl.String, at: w(at), end: w(at + pl.Len), key: float64(key), struck: true,
					excused: excused[pl.Ref] || slices.Contains(e.Marks, tune.Staccato), scoop: pl.Scoop != 0, glides: pl.Glide, node: pl.Node > 0,
				}
				of, begun := begins[heardAt{p, pl.Ref}]
				if begun {
					if from, ok := glidesFrom[of]; ok {
						if was, ok := lastOf[from]; ok && lastOn[pl.String] == was && out[was].str == pl.String && out[was].glides && !x.node {
							x.struck = false
						}
					}
					// What the player joins unasked, and a grace to its note, is the tab's own.
					if was, ok := lastOn[pl.String]; ok && out[was].glides && !out[was].node {
						next := st.At > 0 || p > 0 && passes[p-1].BarIndex == pass.BarIndex-1
						x.struck = x.struck && !(next && pl.Attack.Carried())
						x.either = x.either || !next // a slurred slide may be come to from elsewhere
					}
				} else {
					of = slices.IndexFunc(sounded, func(s tune.Sounded) bool {
						return s.Ref.Voice == pl.Ref.Voice && s.Ref.Grace < 0 && s.Name.Key() == key && s.At < at && s.At+s.Len > at
					})
					if of < 0 {
						rt.Fatalf("nothing that the tune sounds takes in %s at %s of bar %d on pass %d", note.Name, st.At, st.BarIndex, p)
					}
					was, ok := lastOf[of]
					x.struck = !ok || out[was].str != pl.String || lastOn[pl.String] != was || out[was].end < x.at-1e-6
				}
				if was, ok := lastOn[pl.String]; ok && !x.struck {
					x.struck = !begun && (x.node || out[was].node)
					x.either = out[was].excused
				}
				if !begun && st.At > 0 && pl.Ref.Event == 0 && pl.Ref.Grace < 0 && len(e.Graces) > 0 {
					x.either = true // the tab leaves its graces time, as the first time wants
				}
				lastOf[of], lastOn[pl.String] = len(out), len(out)
				if excused[pl.Ref] && (st.At > 0 || p == 0 && first[pass.BarIndex] < 0 || p > 0 && first[pass.BarIndex] == passes[p-1].BarIndex) {
					// A tie or glide that is not kept is plucked.
					if glides := pl.Attack.Carried(); !glides || st.At > 0 || p > 0 && passes[p-1].BarIndex == pass.BarIndex-1 {
						x.struck = pl.Attack != tab.Tied && !glides
					}
				}
				out = append(out, x)
			}
		}
	}
	return out
}

// struckOn lists when a string is struck, in seconds.
func struckOn(p *stringPart) []float64 {
	var out []float64
	for _, a := range p.actions {
		if a.kind == pluck {
			out = append(out, float64(a.at)/Rate)
		}
	}
	return out
}

// Over repeats, endings and jumps the strings begin, hold and end the notes that
// the tune sounds (tune.Sound), each at its time.
func TestStringsFollowTheTune(t *testing.T) {
	rigs := rig.Builtins()
	tabs, notes, jumps, joined := 0, 0, 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		for range 12 {
			in := tunetest.With(tunetest.Options{MaxBars: 6, MaxVoices: 2}).Draw(rt, "tune")
			for i := range in.Bars {
				in.Bars[i].Tempos = nil
			}
			joinOverJumps(rt, in)
			if len(in.Check()) > 0 {
				continue
			}
			res, err := arrange.Arrange(t.Context(), in, rapid.SampledFrom(rigs).Draw(rt, "rig"), arrange.Options{})
			if err != nil {
				continue // nothing to play, or nothing that can be
			}
			tb := res.Tab
			sc, err := write(tb, Options{Speed: 1})
			if err != nil {
				continue // too low or too long
			}
			clock := tune.NewClock(tb.Tune)
			want := wantedOf(rt, tb, clock.Seconds)
			tabs++
			for p := 1; p < len(sc.passes); p++ {
				if sc.passes[p].BarIndex != sc.passes[p-1].BarIndex+1 {
					jumps++
				}
			}
			for s := range sc.parts {
				part := &sc.parts[s]
				struck := struckOn(part)
				var mine []stretchOf
				for _, x := range want {
					if x.str == s+1 {
						mine = append(mine, x)
					}
				}
				for i, x := range mine {
					notes++
					label := fmt.Sprintf("string %d, %.3f to %.3f s, key %g", x.str, x.at, x.end, x.key)
					if x.either {
						x.struck = len(struck) > 0 && struck[0] < x.at+brushMost && (i+1 == len(mine) || struck[0] < mine[i+1].at-0.001)
					}
					begun := x.at
					if x.struck {
						if len(struck) == 0 || struck[0] < x.at-0.001 || struck[0] > x.at+brushMost+0.001 {
							rt.Fatalf("%s: struck at %.3f", label, struck)
						}
						begun = struck[0]
						struck = struck[1:]
					} else {
						joined++
						if len(struck) > 0 && struck[0] < x.at+0.001 {
							rt.Fatalf("%s is held on or glided into, and struck at %.3f", label, struck[0])
						}
					}
					if long := x.end - x.at; !x.excused && long > 0.06 {
						for _, a := range part.actions {
							if when := float64(a.at) / Rate; a.kind == damp && when > x.at+brushMost && when < x.end-moveBlock-0.001 && when < x.end-1.01*glideShare*long {
								rt.Fatalf("%s: stopped at %.3f", label, when)
							}
						}
						if got := keyAt(part, begun+liftTravel+0.002); !x.scoop && math.Abs(got-x.key)*100 > tab.CentsAllowed+0.1 {
							rt.Fatalf("%s: at key %.3f", label, got)
						}
					}
				}
				if len(struck) > 0 {
					rt.Fatalf("string %d is struck at %.3f for no note", s+1, struck)
				}
			}
		}
	})
	least := 50
	if testing.Short() {
		least /= 5 // as rapid draws a fifth of the cases
	}
	if tabs < least || jumps < 2*least/5 || joined < least {
		t.Errorf("only %d tabs with %d jumps, %d notes, %d of them joined", tabs, jumps, notes, joined)
	}
	t.Logf("%d tabs with %d jumps, %d notes, %d of them joined", tabs, jumps, notes, joined)
}

// keyAt returns where the bar and the benders have a string.
func keyAt(p *stringPart, when float64) float64 {
	key, n := p.first, sampleAt(when)
	for _, s := range p.sweeps {
		if s.to <= n {
			key = s.key
		}
	}
	return key
}
