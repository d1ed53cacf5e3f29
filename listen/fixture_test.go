package listen

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

const quarter = tune.Whole / 4

// spot is one stroke of a test tab: strings and frets plucked together, and how
// long until the next.
type spot struct {
	strings []int
	frets   []float64
	len     tune.Ticks
}

// What makes takes whose errors are known.
var (
	laid     = listentest.Laid
	played   = listentest.Played
	off      = listentest.Off
	mono     = listentest.Mono
	builtin  = listentest.Builtin
	byString = listentest.ByString
)

// lay makes a tab of spots in 4/4.
func lay(r *rig.Rig, perMinute int64, spots []spot) *tab.Tab {
	tn := &tune.Tune{Title: "take", Voices: []tune.Voice{{ID: "1"}}}
	out := &tab.Tab{Tune: tn, Rig: r}
	g := steel.New(r)
	at := tune.Whole
	for _, s := range spots {
		if at+s.len > tune.Whole {
			if n := len(tn.Bars); n > 0 && at < tune.Whole {
				v, _ := tune.ValueOf(tune.Whole - at)
				b := &tn.Bars[n-1]
				b.Lines[0] = append(b.Lines[0], tune.Event{At: at, Len: tune.Whole - at, Kind: tune.Rest, Value: v})
			}
			tn.Bars = append(tn.Bars, tune.Bar{Number: len(tn.Bars) + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{nil}})
			at = 0
		}
		b := &tn.Bars[len(tn.Bars)-1]
		st := tab.Stroke{BarIndex: len(tn.Bars) - 1, At: at, Len: s.len, Placement: laid(r, s.strings, s.frets)}
		v, _ := tune.ValueOf(s.len)
		e := tune.Event{At: at, Len: s.len, Value: v}
		for i, str := range s.strings {
			p := tab.Pluck{Ref: tune.Ref{Bar: st.BarIndex, Event: len(b.Lines[0]), Grace: -1, Note: i}, String: str, Fret: s.frets[i], Finger: tab.Index, Len: s.len}
			st.Plucks = append(st.Plucks, p)
			e.Notes = append(e.Notes, tune.Note{Name: pitch.SpellKey(int(math.Round(tab.Key(g, &st, &p))), 0)})
		}
		slices.SortFunc(e.Notes, func(a, b tune.Note) int { return a.Name.Key() - b.Name.Key() })
		b.Lines[0] = append(b.Lines[0], e)
		out.Strokes = append(out.Strokes, st)
		at += s.len
	}
	tn.Bars[0].Tempos = []tune.Tempo{{Beat: quarter, PerMinute: perMinute * 1000}}
	return out
}

// noisy adds white noise so many dB below the whole take.
func noisy(samples []float32, db float64, seed int64) []float32 {
	sum := 0.0
	for _, v := range samples {
		sum += float64(v) * float64(v)
	}
	sigma := math.Sqrt(sum/float64(len(samples))) * math.Pow(10, -db/20)
	r := rand.New(rand.NewSource(seed))
	out := make([]float32, len(samples))
	for i, v := range samples {
		out[i] = v + float32(sigma*r.NormFloat64())
	}
	return out
}

// line makes a single line of n notes over all strings, frets up to most.
func line(r *rig.Rig, seed int64, n int, most int) *tab.Tab {
	rnd := rand.New(rand.NewSource(seed))
	spots := make([]spot, n)
	str, fret := 1+rnd.Intn(len(r.Strings)), 5
	for i := range spots {
		str = max(1, min(len(r.Strings), str+rnd.Intn(3)-1))
		fret = max(0, min(most, fret+rnd.Intn(7)-3))
		spots[i] = spot{[]int{str}, []float64{float64(fret)}, []tune.Ticks{quarter / 2, quarter, quarter, 2 * quarter}[rnd.Intn(4)]}
	}
	return lay(r, 70+int64(rnd.Intn(50)), spots)
}

func review(t testing.TB, samples []float32, tb *tab.Tab) *Reviewed {
	t.Helper()
	v, err := Review(hear(t, samples, sound.Rate), tb, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// quantile returns a quantile of v, which it sorts.
func quantile(v []float64, q float64) float64 {
	slices.Sort(v)
	if len(v) == 0 {
		return math.NaN()
	}
	return v[min(len(v)-1, int(q*float64(len(v))))]
}
