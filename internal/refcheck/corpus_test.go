package refcheck

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"lapwright/arrange"
	"lapwright/arrange/transfer"
	"lapwright/notation/midi"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// corpusTunes returns the tunes of the witness folder in a fixed order. Where a
// test compares, the witness is the tune as read, moved by counting semitones,
// and what it is compared with goes the long way: strings, bar and benders →
// MIDI file → MIDI reader.
func corpusTunes(t testing.TB) []*tune.Tune {
	t.Helper()
	books := tuneBooks(t)
	var out []*tune.Tune
	for _, name := range slices.Sorted(maps.Keys(books)) {
		out = append(out, books[name]...)
	}
	if len(out) < 600 {
		t.Fatalf("only %d tunes", len(out))
	}
	return out
}

// asIs is a tune of the corpus on a built-in rig, arranged with key, octave and capo free and nothing asked.
type asIs struct {
	once  sync.Once
	res   *arrange.Result // without its Events: there are thousands
	spent time.Duration
	err   error
}

// allAsIs are those that some test has asked for, by tune and rig: several judge the same. None changes them.
var allAsIs sync.Map

// arrangedAsIs returns tune i of the corpus arranged on a rig.
func arrangedAsIs(tunes []*tune.Tune, i int, r *rig.Rig) *asIs {
	type key struct {
		tuneIndex int
		rig       string
	}
	made, _ := allAsIs.LoadOrStore(key{i, r.Name}, &asIs{})
	p := made.(*asIs)
	p.once.Do(func() {
		start := time.Now()
		p.res, p.err = arrange.Arrange(context.Background(), tunes[i], r, arrange.Options{})
		p.spent = time.Since(start)
		if p.res != nil {
			p.res.Events = nil
		}
	})
	return p
}

// onset is where a pitch begins, as text.
func onset(at fmt.Stringer, key int) string { return fmt.Sprintf("%s=%d", at, key) }

// checkExact compares what the MIDI file of a tab sounds with a tune moved by
// so many semitones: every pitch and onset, but for those that the tab lists as
// compromises. It gives the number of notes compared.
func checkExact(t *testing.T, what string, in *tune.Tune, semitones int, tb *tab.Tab) int {
	t.Helper()
	b, err := midi.Write(tb)
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return 0
	}
	f, err := midi.Read(b, what)
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return 0
	}
	heard := map[string]int{}
	for _, h := range f.Sounding() {
		heard[onset(h.At, h.Key)]++
	}
	excused := map[tune.Ref]bool{}
	loose := map[string]bool{}
	passes, _ := tune.Unfold(in)
	for _, c := range tb.Compromises {
		excused[c.Ref] = true
		for _, p := range passes {
			if n := tb.Tune.Note(c.Ref); p.BarIndex == c.Ref.Bar && n != nil {
				loose[onset(p.Start+c.At, n.Name.Key())] = true
			}
		}
	}
	sounded := tune.Sound(in)
	for _, s := range sounded {
		k := onset(s.At, s.Name.Key()+semitones)
		if heard[k] > 0 {
			heard[k]--
		} else if !excused[s.Ref] && !loose[k] {
			t.Errorf("%s: %s at %s is not heard", what, s.Name, s.At)
		}
	}
	for k, n := range heard {
		if n > 0 && !loose[k] {
			t.Errorf("%s: %s is heard and not in the tune", what, k)
		}
	}
	return len(sounded)
}

// TestCorpus arranges every tune on every built-in rig with key, octave and
// capo free. Nothing may change silently, and under one note in a hundred may be
// a compromise.
func TestCorpus(t *testing.T) {
	tunes := corpusTunes(t)
	for _, r := range rig.Builtins() {
		t.Run(r.Name, func(t *testing.T) {
			t.Parallel()
			var (
				spent                 time.Duration
				work                  arrange.Work
				written, heard, lost  int
				shifted, slants, fail int
				hard                  float64
			)
			for i, in := range tunes {
				made := arrangedAsIs(tunes, i, r)
				spent += made.spent
				if made.err != nil {
					t.Errorf("%s: %v", in.Title, made.err)
					fail++
					continue
				}
				res := made.res
				if l := res.Tab.Check(); len(l) > 0 {
					t.Errorf("%s: %v", in.Title, l)
				}
				heard += checkExact(t, in.Title, in, res.Transposed, res.Tab)
				for _, m := range tune.Moments(in) {
					written += len(m.Notes)
				}
				lost += len(res.Tab.Compromises)
				all, _ := res.Tab.Slants()
				slants += all
				hard += res.Difficulty
				if res.Transposed%12 != 0 {
					shifted++
				}
				work.Moments += res.Work.Moments
				work.States += res.Work.States
				work.Transitions += res.Work.Transitions
				work.Pruned += res.Work.Pruned
			}
			share := 100 * float64(lost) / float64(written)
			if share >= 1 {
				t.Errorf("%.2f %% of the notes are compromises, and 1 %% is the most there may be", share)
			}
			t.Logf("%d tunes in %v: %d notes written, %d heard, %d compromises (%.3f %%), %d slants, %d in another key, mean difficulty %.1f; %+v",
				len(tunes)-fail, spent.Round(time.Millisecond), written, heard, lost, share, slants, shifted, hard/float64(len(tunes)), work)
		})
	}
}

// TestCorpusTransfer takes tabs from every built-in rig to every other: what
// sounds is the tune, moved by as much as the transfer says.
func TestCorpusTransfer(t *testing.T) {
	const step = 14
	tunes := corpusTunes(t)
	rigs := rig.Builtins()
	for f, from := range rigs {
		t.Run(from.Name, func(t *testing.T) {
			t.Parallel()
			tabs, whole, notes, kept := 0, 0, 0, 0
			for k, to := range rigs {
				if to == from || to.Name == from.Name {
					continue
				}
				for i := (f*len(rigs) + k) % step; i < len(tunes); i += step {
					made := arrangedAsIs(tunes, i, from)
					if made.err != nil {
						t.Fatal(made.err)
					}
					first := made.res
					what := fmt.Sprintf("%s to %s", tunes[i].Title, to.Name)
					moved, err := transfer.Tab(t.Context(), first.Tab, to, arrange.Options{})
					if err != nil {
						t.Errorf("%s: %v", what, err)
						continue
					}
					if l := moved.Result.Tab.Check(); len(l) > 0 {
						t.Errorf("%s: %v", what, l)
					}
					checkExact(t, what, tunes[i], first.Transposed+moved.Result.Transposed, moved.Result.Tab)
					tabs++
					notes += moved.Notes
					kept += moved.Kept
					if moved.Whole {
						whole++
					}
				}
			}
			t.Logf("%d tabs taken over, %d whole; %d of %d notes kept their place in the shape", tabs, whole, kept, notes)
			if tabs < 200 {
				t.Errorf("only %d tabs were taken over", tabs)
			}
		})
	}
}

// TestCorpusHarmony adds harmony under the tunes: the melody is heard exactly,
// as the highest voice, and what is added lies under a note of it.
func TestCorpusHarmony(t *testing.T) {
	const step = 9
	tunes := corpusTunes(t)
	for _, h := range []arrange.Harmony{arrange.Thirds, arrange.Sixths, arrange.Chords} {
		t.Run(h.String(), func(t *testing.T) {
			t.Parallel()
			done, melody, added := 0, 0, 0
			for i := int(h); i < len(tunes); i += step {
				in := tunes[i]
				rigs := rig.Builtins()
				r := rigs[done%len(rigs)]
				res, err := arrange.Arrange(t.Context(), in, r, arrange.Options{Harmony: h})
				if err != nil {
					continue // two voices here and there: said in the error, counted below
				}
				done++
				if l := res.Tab.Check(); len(l) > 0 {
					t.Errorf("%s on %s: %v", in.Title, r.Name, l)
				}
				top := map[string]int{}
				for _, s := range tune.Sound(tab.Sounding(res.Tab)) {
					k := s.At.String()
					if key, ok := top[k]; !ok || s.Name.Key() > key {
						top[k] = s.Name.Key()
					}
					added++
				}
				excused := map[tune.Ref]bool{}
				for _, c := range res.Tab.Compromises {
					excused[c.Ref] = true
				}
				for _, s := range tune.Sound(in) {
					melody++
					if len(excused) == 0 && top[s.At.String()] != s.Name.Key()+res.Transposed {
						t.Errorf("%s on %s: %s at %s is not the highest note heard", in.Title, r.Name, s.Name, s.At)
					}
				}
			}
			added -= melody
			t.Logf("%d tunes, %d melody notes, %d added under them", done, melody, added)
			if done < 60 || added < melody/5 {
				t.Errorf("%d tunes and %d added notes are too few to show anything", done, added)
			}
		})
	}
}

// withBass returns a tune with a second voice: the root of each bar's first chord
// held through the bar, low enough to stay under the melody.
func withBass(in *tune.Tune) *tune.Tune {
	out := in.Clone()
	if len(out.Voices) != 1 {
		return nil
	}
	lowest := math.MaxInt
	for _, s := range tune.Sound(in) {
		lowest = min(lowest, s.Name.Key())
	}
	out.Voices = append(out.Voices, tune.Voice{ID: "bass"})
	for b := range out.Bars {
		bar := &out.Bars[b]
		e := tune.Event{Len: bar.Len, Kind: tune.Rest, Value: tune.Value{BarRest: true}}
		value, ok := wholeValue(bar.Len)
		if len(bar.Chords) > 0 && bar.Chords[0].Chord != nil && ok {
			root := bar.Chords[0].Chord.Root
			n := tune.Note{}
			n.Name.Class = root
			for n.Name.Octave = 6; n.Name.Key() >= lowest; n.Name.Octave-- {
			}
			e.Kind, e.Value, e.Notes = tune.Sounding, value, []tune.Note{n}
		}
		bar.Lines = append(bar.Lines, []tune.Event{e})
	}
	if len(out.Check()) > 0 {
		return nil
	}
	return out
}

// wholeValue finds the plain or dotted value of a length.
func wholeValue(l tune.Ticks) (tune.Value, bool) {
	for log := int8(-1); log < 4; log++ {
		for dots := int8(0); dots < 2; dots++ {
			if v := (tune.Value{Log2: log, Dots: dots}); v.Len() == l {
				return v, true
			}
		}
	}
	return tune.Value{}, false
}

// TestCorpusHolds gives tunes a held bass and follows every note through its
// length: until it is over, its string is played by nothing else, and bar and
// benders leave its pitch alone, unless a compromise names it.
func TestCorpusHolds(t *testing.T) {
	const step = 12
	tunes := corpusTunes(t)
	for k, r := range rig.Builtins() {
		t.Run(r.Name, func(t *testing.T) {
			t.Parallel()
			done, notes, held, broken := 0, 0, 0, 0
			for i := k; i < len(tunes); i += step {
				in := withBass(tunes[i])
				if in == nil {
					continue
				}
				res, err := arrange.Arrange(t.Context(), in, r, arrange.Options{})
				if err != nil {
					t.Errorf("%s: %v", in.Title, err)
					continue
				}
				done++
				checkExact(t, in.Title, in, res.Transposed, res.Tab)
				n, h := checkHolds(t, in.Title, res.Tab)
				notes, held, broken = notes+n, held+h, broken+len(res.Tab.Compromises)
			}
			t.Logf("%d tunes with a held bass, %d notes, %d strokes under a held note, %d compromises", done, notes, held, broken)
			if done < 20 || held < 500 {
				t.Errorf("%d tunes and %d strokes under held notes are too few to show anything", done, held)
			}
		})
	}
}

// checkHolds follows every note of a tab through its length. It works the
// pitch out from the string's own ratio: open frequency times L/(L − x).
func checkHolds(t *testing.T, what string, tb *tab.Tab) (notes, held int) {
	t.Helper()
	excused := map[tune.Ref]bool{}
	for _, c := range tb.Compromises {
		excused[c.Ref] = true
	}
	g := steel.New(tb.Rig)
	pitch := func(s *tab.Stroke, str int) float64 {
		x := float64(g.X(g.Contact(s.Placement, str)))
		length := float64(tb.Rig.Scale)
		return float64(tb.Rig.OpenKey(str, s.Benders)) + 12*math.Log2(length/(length-x))
	}
	for i := range tb.Strokes {
		s := &tb.Strokes[i]
		for _, p := range s.Plucks {
			notes++
			if excused[p.Ref] {
				continue
			}
			for j := i + 1; j < len(tb.Strokes); j++ {
				u := &tb.Strokes[j]
				if u.BarIndex != s.BarIndex || u.At >= s.At+p.Len {
					break
				}
				held++
				for _, q := range u.Plucks {
					if q.String == p.String {
						t.Errorf("%s: bar %d: string %d is played while it holds a note", what, u.BarIndex, p.String)
					}
				}
				open := g.Contact(s.Placement, p.String) == 0
				if off := 100 * math.Abs(pitch(u, p.String)-pitch(s, p.String)); off > 2*tab.CentsAllowed || open != (g.Contact(u.Placement, p.String) == 0) {
					t.Errorf("%s: bar %d: string %d moves by %.0f cents while it holds a note", what, u.BarIndex, p.String, off)
				}
			}
		}
	}
	return notes, held
}
