package listen

import (
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/further"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// hits counts what was found, against the definition of precision, recall and
// F-measure (C. J. van Rijsbergen, Information Retrieval, 1979).
type hits struct{ right, found, there int }

func (h hits) f() float64 {
	if h.found+h.there == 0 {
		return 1
	}
	return 2 * float64(h.right) / float64(h.found+h.there)
}

func TestFMeasure(t *testing.T) {
	// Worked by hand: precision 6/8, recall 6/10, F = 2·0.75·0.6/(0.75 + 0.6) = 2/3.
	if got := (hits{6, 8, 10}).f(); math.Abs(got-2.0/3) > 1e-12 {
		t.Errorf("F is %g, want 2/3", got)
	}
}

// spoil leaves notes out, adds some and plays others wrongly; it gives the indexes
// of the notes left out and the times of those added.
func spoil(t *testing.T, want *tab.Tab, seed int64) (take *tab.Tab, missed, wrong []int, added []float64) {
	t.Helper()
	rnd := rand.New(rand.NewSource(seed))
	take = played(want)
	var out []tab.Stroke
	perf := want.Performance()
	for i := range take.Strokes {
		st := take.Strokes[i]
		switch p := rnd.Intn(14); {
		case p == 0 && i > 0 && i+1 < len(take.Strokes):
			missed = append(missed, i)
			continue
		case p == 1:
			wrong = append(wrong, i)
			st.Plucks = slices.Clone(st.Plucks)
			st.Plucks[0].Fret += 2
			st.Placement = laid(take.Rig, []int{st.Plucks[0].String}, []float64{st.Plucks[0].Fret})
			out = append(out, st)
			continue
		}
		out = append(out, st)
		if rnd.Intn(14) == 0 && st.Len >= quarter {
			extra := st
			extra.At += st.Len / 2
			extra.Len = st.Len / 2
			extra.Plucks = slices.Clone(st.Plucks)
			extra.Plucks[0].Fret += 3
			extra.Placement = laid(take.Rig, []int{extra.Plucks[0].String}, []float64{extra.Plucks[0].Fret})
			added = append(added, perf.Clock.Seconds(perf.Passes[st.BarIndex].Start+extra.At))
			out = append(out, extra)
		}
	}
	take.Strokes = out
	return take, missed, wrong, added
}

func TestMissedAndExtraNotes(t *testing.T) {
	t.Parallel()
	takes := 4
	if sweeping() {
		takes = 20
	}
	var m, e, w hits
	for k := range takes {
		want := line(rigtest.Builtin(t, []string{"reso-open-g", "lap6-c6"}[k%2]), int64(500+k), 48, 12)
		take, missed, wrong, added := spoil(t, want, int64(k))
		v := review(t, mono(t, take, sound.Options{}), want)
		if v.Refused != "" {
			t.Errorf("take %d is refused: %s", k, v.Refused)
			continue
		}
		if len(v.Notes) != len(want.Strokes) {
			t.Errorf("take %d: %d notes of %d", k, len(v.Notes), len(want.Strokes))
			continue
		}
		m.there += len(missed)
		w.there += len(wrong)
		for i, n := range v.Notes {
			switch n.Status {
			case Missed:
				m.found++
				if slices.Contains(missed, i) {
					m.right++
				} else {
					t.Logf("take %d: note %d string %d fret %g at %.2f s is no missed one", k, i, n.String, n.Fret, n.Onset)
				}
			case Wrong:
				w.found++
				if slices.Contains(wrong, i) {
					w.right++
				} else {
					t.Logf("take %d: note %d string %d fret %g at %.2f s is no wrong one", k, i, n.String, n.Fret, n.Onset)
				}
			}
		}
		for _, i := range wrong {
			if n := v.Notes[i]; n.Status != Wrong {
				t.Logf("take %d: note %d string %d fret %g at %.2f s is wrong and called %s, %.0f cents (key %.0f after %.0f)", k, i, n.String, n.Fret, n.Onset, n.Status, n.Cents, n.Key, v.Notes[max(0, i-1)].Key)
			}
		}
		e.there += len(added)
		e.found += len(v.Extra)
		for _, at := range added {
			if slices.ContainsFunc(v.Extra, func(x Extra) bool { return math.Abs(x.Onset-at) < 0.05 }) {
				e.right++
			} else {
				t.Logf("take %d: extra at %.2f s not found", k, at)
			}
		}
	}
	t.Logf("missed %+v: F %.3f; extra %+v: F %.3f; wrong %+v: F %.3f", m, m.f(), e, e.f(), w, w.f())
	both := hits{m.right + e.right, m.found + e.found, m.there + e.there}
	if both.f() <= 0.97 || w.f() < 0.95 || m.there+e.there < 12 || w.there < 8 {
		t.Errorf("missed and extra notes: F %.3f, want above 0.97; wrong ones %.3f, want 0.95", both.f(), w.f())
	}
}

// stretches cuts stretches of a tab out and plays them one after the
// other: bars named by index, each [from, to).
func stretches(want *tab.Tab, spans ...[2]int) *tab.Tab {
	out := &tab.Tab{Rig: want.Rig, Tune: &tune.Tune{Voices: want.Tune.Voices}}
	for _, s := range spans {
		for b := s[0]; b < s[1]; b++ {
			bar := want.Tune.Bars[b]
			bar.Tempos = want.Tune.Bars[0].Tempos
			for _, st := range want.Strokes {
				if st.BarIndex == b {
					st.BarIndex = len(out.Tune.Bars)
					st.Plucks = slices.Clone(st.Plucks)
					for i := range st.Plucks {
						st.Plucks[i].Ref.Bar = st.BarIndex
					}
					out.Strokes = append(out.Strokes, st)
				}
			}
			out.Tune.Bars = append(out.Tune.Bars, bar)
		}
	}
	return out
}

func TestRestartsAndTheMiddle(t *testing.T) {
	t.Parallel()
	want := line(rigtest.Builtin(t, "reso-open-g"), 77, 48, 12)
	last := len(want.Tune.Bars)
	for _, c := range []struct {
		name   string
		spans  [][2]int
		lo, hi int // bars that are listed
	}{
		{"from the middle", [][2]int{{4, last}}, 4, last},
		{"begun anew after five bars", [][2]int{{0, 5}, {0, last}}, 0, last},
		{"four bars left out", [][2]int{{0, 4}, {8, last}}, 0, last},
		{"to the middle", [][2]int{{0, last - 4}}, 0, last - 4},
		{"back two bars", [][2]int{{0, 6}, {4, last}}, 0, last},
	}[:further.Few(3, 5)] {
		take := stretches(want, c.spans...)
		v := review(t, mono(t, take, sound.Options{}), want)
		if v.Refused != "" {
			t.Errorf("%s: refused: %s", c.name, v.Refused)
			continue
		}
		there := map[int]bool{}
		for _, s := range c.spans {
			for b := s[0]; b < s[1]; b++ {
				there[b+1] = true
			}
		}
		bad, seen := 0, map[int]bool{}
		for _, n := range v.Notes {
			seen[n.BarNumber] = true
			if n.Status != Played || !there[n.BarNumber] {
				bad++
			}
		}
		if bad > 1 || len(v.Extra) > 1 {
			t.Errorf("%s: %d notes are not as played, %d extra", c.name, bad, len(v.Extra))
		}
		for b := range there {
			if !seen[b] {
				t.Errorf("%s: bar %d was played and is not listed", c.name, b)
			}
		}
	}
}

func TestTempoMayDriftAndPause(t *testing.T) {
	t.Parallel()
	want := line(rigtest.Builtin(t, "lap6-c6"), 91, 48, 12)
	for name, tempo := range map[string]func(bar int) float64{
		"a fifth faster by the end": func(bar int) float64 { return 1 + 0.2*float64(bar)/float64(len(want.Tune.Bars)) },
		"a fifth slower by the end": func(bar int) float64 { return 1 - 0.2*float64(bar)/float64(len(want.Tune.Bars)) },
		"at half speed":             func(int) float64 { return 0.5 },
		"a pause in bar 5": func(bar int) float64 {
			if bar == 4 {
				return 0.4
			}
			return 1
		},
	} {
		if strings.HasPrefix(name, "a fifth") && !further.Asked() {
			continue
		}
		take := played(want)
		base := want.Tune.Bars[0].Tempos[0]
		for b := range take.Tune.Bars {
			x := base
			x.PerMinute = int64(float64(base.PerMinute) * tempo(b))
			take.Tune.Bars[b].Tempos = []tune.Tempo{x}
		}
		times, err := sound.Timeline(take, sound.Options{})
		if err != nil {
			t.Fatal(err)
		}
		v := review(t, mono(t, take, sound.Options{}), want)
		if v.Refused != "" {
			t.Errorf("%s: refused: %s", name, v.Refused)
			continue
		}
		bad, late := 0, 0
		for i, n := range v.Notes {
			if n.Status != Played || math.Abs(n.Onset-times.Strokes[i].At) > 0.02 {
				bad++
			}
			// Where the tempo breaks there is no steady hand to compare with.
			if math.Abs(n.Late) > 0.06 && (n.BarNumber < 4 || n.BarNumber > 6) {
				late++
			}
		}
		if bad > 0 || len(v.Notes) != len(want.Strokes) || len(v.Extra) > 0 || late > 4 {
			t.Errorf("%s: %d of %d notes amiss, %d extra, %d called late", name, bad, len(v.Notes), len(v.Extra), late)
		}
	}
}

func TestLatenessIsMeasured(t *testing.T) {
	t.Parallel()
	want := line(rigtest.Builtin(t, "reso-open-g"), 15, 48, 12)
	take := played(want)
	rnd := rand.New(rand.NewSource(3))
	perf := want.Performance()
	late := make([]float64, len(take.Strokes))
	for i := range take.Strokes {
		if i > 0 && rnd.Intn(5) == 0 {
			late[i] = 0.03 + 0.05*rnd.Float64()
			st := &take.Strokes[i]
			at := perf.Passes[st.BarIndex].Start + st.At
			st.At = perf.Clock.At(perf.Clock.Seconds(at)+late[i]) - perf.Passes[st.BarIndex].Start
		}
	}
	v := review(t, mono(t, take, sound.Options{}), want)
	var off []float64
	for i, n := range v.Notes {
		if !math.IsNaN(n.Late) {
			off = append(off, math.Abs(n.Late-late[i]))
		}
	}
	t.Logf("lateness of %d notes: median %.1f ms off, 95 %% %.1f", len(off), 1000*quantile(off, 0.5), 1000*quantile(off, 0.95))
	if len(off) < 40 || !(quantile(off, 0.95) < 0.02) {
		t.Errorf("lateness of %d notes: 95 %% within %.1f ms, want 20", len(off), 1000*quantile(off, 0.95))
	}
}

// Noise, and the stopping of strings, are no plucks beyond the tab.
func TestNoiseIsNoPluck(t *testing.T) {
	t.Parallel()
	found, notes := 0, 0
	for k, db := range []float64{30, 20, 10} {
		want := line(rigtest.Builtin(t, []string{"reso-open-g", "lap6-c6", "hollow-neck-open-d"}[k]), int64(60+k), 48, 12)
		v := review(t, noisy(mono(t, want, sound.Options{}), db, int64(k)), want)
		if v.Refused != "" {
			t.Errorf("%g dB: refused: %s", db, v.Refused)
		}
		found += len(v.Extra)
		notes += len(v.Notes)
		for _, e := range v.Extra {
			t.Logf("%g dB: %s at %.2f s", db, e.Pitch, e.Onset)
		}
	}
	if notes < 130 || found > 1 {
		t.Errorf("%d plucks beyond the tab in %d notes with noise, want one at most", found, notes)
	}
}
