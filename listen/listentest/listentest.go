// Package listentest makes takes whose errors are known, because they were put in.
package listentest

import (
	"context"
	"math"
	"math/rand"
	"slices"
	"testing"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/notation"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Quarter is the length of a quarter note.
const Quarter = tune.Whole / 4

// Spot is one stroke of a test tab: strings and frets plucked together, and how
// long until the next.
type Spot struct {
	Strings []int
	Frets   []float64
	Len     tune.Ticks
}

// Lay makes a tab of spots in 4/4.
func Lay(r *rig.Rig, perMinute int64, spots []Spot) *tab.Tab {
	tn := &tune.Tune{Title: "take", Voices: []tune.Voice{{ID: "1"}}}
	out := &tab.Tab{Tune: tn, Rig: r}
	g := steel.New(r)
	at := tune.Whole
	for _, s := range spots {
		if at+s.Len > tune.Whole {
			if n := len(tn.Bars); n > 0 && at < tune.Whole {
				v, _ := tune.ValueOf(tune.Whole - at)
				b := &tn.Bars[n-1]
				b.Lines[0] = append(b.Lines[0], tune.Event{At: at, Len: tune.Whole - at, Kind: tune.Rest, Value: v})
			}
			tn.Bars = append(tn.Bars, tune.Bar{Number: len(tn.Bars) + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{nil}})
			at = 0
		}
		b := &tn.Bars[len(tn.Bars)-1]
		st := tab.Stroke{BarIndex: len(tn.Bars) - 1, At: at, Len: s.Len, Placement: Laid(r, s.Strings, s.Frets)}
		v, _ := tune.ValueOf(s.Len)
		e := tune.Event{At: at, Len: s.Len, Value: v}
		for i, str := range s.Strings {
			p := tab.Pluck{Ref: tune.Ref{Bar: st.BarIndex, Event: len(b.Lines[0]), Grace: -1, Note: i}, String: str, Fret: s.Frets[i], Finger: tab.Index, Len: s.Len}
			st.Plucks = append(st.Plucks, p)
			e.Notes = append(e.Notes, tune.Note{Name: pitch.SpellKey(int(math.Round(tab.Key(g, &st, &p))), 0)})
		}
		inorder.Stable(e.Notes, func(a, b tune.Note) int { return a.Name.Key() - b.Name.Key() })
		b.Lines[0] = append(b.Lines[0], e)
		out.Strokes = append(out.Strokes, st)
		at += s.Len
	}
	tn.Bars[0].Tempos = []tune.Tempo{{Beat: Quarter, PerMinute: perMinute * 1000}}
	return out
}

// Line makes a single line of n notes over all strings, frets up to most.
func Line(r *rig.Rig, seed int64, n int, most int) *tab.Tab {
	rnd := rand.New(rand.NewSource(seed))
	spots := make([]Spot, n)
	str, fret := 1+rnd.Intn(len(r.Strings)), 5
	for i := range spots {
		str = max(1, min(len(r.Strings), str+rnd.Intn(3)-1))
		fret = max(0, min(most, fret+rnd.Intn(7)-3))
		spots[i] = Spot{[]int{str}, []float64{float64(fret)}, []tune.Ticks{Quarter / 2, Quarter, Quarter, 2 * Quarter}[rnd.Intn(4)]}
	}
	return Lay(r, 70+int64(rnd.Intn(50)), spots)
}

// Laid returns the placement that stops the strings of a spot at its frets.
func Laid(r *rig.Rig, strings []int, frets []float64) steel.Placement {
	first, last := -1, -1
	for i := range strings {
		if frets[i] == 0 {
			continue
		}
		if first < 0 || strings[i] < strings[first] {
			first = i
		}
		if last < 0 || strings[i] > strings[last] {
			last = i
		}
	}
	switch {
	case first < 0:
		return steel.Placement{}
	case first == last || frets[first] == frets[last]:
		return steel.Placement{Kind: steel.Straight, First: 1, Last: int8(len(r.Strings)), FirstFret: frets[first], LastFret: frets[first]}
	}
	p := steel.Placement{Kind: steel.Forward, First: int8(strings[first]), Last: int8(strings[last]), FirstFret: frets[first], LastFret: frets[last]}
	if p.FirstFret < p.LastFret {
		p.Kind = steel.Reverse
	}
	return p
}

// Played is a tab as somebody plays it: a copy to be spoilt.
func Played(t *tab.Tab) *tab.Tab {
	out := *t
	out.Tune = t.Tune.Clone()
	out.Performed = nil
	out.Strokes = slices.Clone(t.Strokes)
	for i := range out.Strokes {
		out.Strokes[i].Plucks = slices.Clone(out.Strokes[i].Plucks)
	}
	return &out
}

// Off plays stroke i with each of its stopped strings so many cents off.
func Off(t *tab.Tab, i int, cents func(str int) float64) {
	st := &t.Strokes[i]
	var strings []int
	var frets []float64
	for k := range st.Plucks {
		p := &st.Plucks[k]
		if p.Fret > 0 {
			p.Fret += cents(p.String) / 100
		}
		strings, frets = append(strings, p.String), append(frets, p.Fret)
	}
	st.Placement = Laid(t.Rig, strings, frets)
}

// Mono sounds a tab on one channel.
func Mono(t testing.TB, tb *tab.Tab, o sound.Options) []float32 {
	t.Helper()
	a, err := sound.Render(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	out := slices.Clone(a.Channels[0])
	for i, v := range a.Channels[1] {
		out[i] = (out[i] + v) / 2
	}
	return out
}

// Demo places a tune of the demo lesson on a rig.
func Demo(t testing.TB, src []byte, r *rig.Rig, o arrange.Options) *tab.Tab {
	t.Helper()
	pieces, _, err := notation.Read(src, "demo.abc")
	if err != nil {
		t.Fatal(err)
	}
	result, err := arrange.Arrange(context.Background(), pieces[0].Tune, r, o)
	if err != nil {
		t.Fatal(err)
	}
	return result.Tab
}

// ByString sounds each string of a tab by itself, tuned so many cents off, and
// puts them together.
func ByString(t testing.TB, take *tab.Tab, cents map[int]float64) []float32 {
	t.Helper()
	apart := func(keep func(str int) bool, off float64) []float32 {
		one := Played(take)
		one.Rig = take.Rig.Clone()
		one.Rig.Reference *= pitch.Hz(math.Exp2(off / 1200))
		kept := 0
		for i := range one.Strokes {
			var plucks []tab.Pluck
			for _, p := range one.Strokes[i].Plucks {
				if keep(p.String) {
					plucks = append(plucks, p)
					kept++
				}
			}
			one.Strokes[i].Plucks = plucks
		}
		if kept == 0 {
			return nil
		}
		return Mono(t, one, sound.Options{Dry: true})
	}
	out := apart(func(s int) bool { return cents[s] == 0 }, 0)
	for s, c := range cents {
		if c == 0 {
			continue
		}
		for i, v := range apart(func(str int) bool { return str == s }, c) {
			if i < len(out) {
				out[i] += 0.6 * v
			}
		}
	}
	return out
}

// Bad is a take of the demo lesson played badly in three ways: string 3 is 14 cents
// flat, slants lean too much by 0.16 frets, and bar 6 is a quarter too fast.
type Bad struct {
	Want    *tab.Tab  // what should have been played
	Samples []float32 // at sound.Rate
	Slanted int       // strokes that lean
}

// PlayBadly makes the bad take of the demo lesson's tune, low-tide-steps.abc.
func PlayBadly(t testing.TB, src []byte) Bad {
	t.Helper()
	level, err := grip.ParseLevel("seasoned")
	if err != nil {
		t.Fatal(err)
	}
	want := Demo(t, src, rigtest.Builtin(t, "lap6-c6"), arrange.Options{Level: level})
	take := Played(want)
	slanted := 0
	for i := range take.Strokes {
		p := &take.Strokes[i].Placement
		if !p.Slanted() {
			continue
		}
		slanted++
		more := 0.16
		if p.FirstFret < p.LastFret {
			more = -more
		}
		p.FirstFret += more / 2
		p.LastFret -= more / 2
		for k := range take.Strokes[i].Plucks {
			pl := &take.Strokes[i].Plucks[k]
			switch pl.String {
			case int(p.First):
				pl.Fret = p.FirstFret
			case int(p.Last):
				pl.Fret = p.LastFret
			}
		}
	}
	base := want.Tune.Bars[0].Tempos[0]
	for b := range take.Tune.Bars {
		x := base
		if want.Tune.Bars[b].Number == 6 {
			x.PerMinute = base.PerMinute * 5 / 4
		}
		take.Tune.Bars[b].Tempos = []tune.Tempo{x}
	}
	rnd := rand.New(rand.NewSource(1))
	for i := range take.Strokes {
		if !take.Strokes[i].Placement.Slanted() {
			c := 2 * rnd.NormFloat64()
			Off(take, i, func(int) float64 { return c })
		}
	}
	return Bad{want, ByString(t, take, map[int]float64{3: -14}), slanted}
}
